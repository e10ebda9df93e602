"""What planning an entry needs of its surroundings: the ledger, the clock, chance, and who enters."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, index_of
from caskbook.cli.numbers import numbers_of, tell_names
from caskbook.ledger.machine import has_shift

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence
    from datetime import date

    from caskbook.entry.build import Asker
    from caskbook.entry.plan import Desk
    from caskbook.entry.request import Request
    from caskbook.ledger.shift import Shift


def random_bits(count: int) -> int:
    """So many bits that cannot be guessed."""
    size = (count + 7) // 8
    return int.from_bytes(os.urandom(size), "big") >> (size * 8 - count)


def desk_of(book: Book, shift: Shift | None = None, cautioned: Collection[str] = ()) -> Desk:
    """The planning desk of an open ledger; a job of no day that is typed is of the shift's. `cautioned`: kinds of cautions told already."""
    from caskbook.entry.plan import Desk

    def files_at(berths: Sequence[str]) -> Sequence[str] | None:
        return index_of(book).files_at(berths)

    def due_known(name: str, data: bytes, day: date) -> list[tuple[str, str, str | None]] | None:
        return index_of(book).due_known(name, data, day)

    return Desk(
        book.ledger,
        book.today,
        book.now,
        random_bits,
        joins=book.ledger.joins,
        files_at=files_at,
        due_known=due_known,
        files_of_vat=lambda vat: index_of(book).files_marked(vat, vat=True),
        numbers=numbers_of(book),
        day=shift.day if shift else None,
        sheet=shift.usual.get("sheet") if shift else None,
        cautioned={*cautioned, *(shift.cautioned if shift else ())},
    )


def shift_here(book: Book, *, by: str | None, told: bool = True) -> Shift | None:
    """The shift in force, as `shift.shift_for`; where none is noted, nothing is loaded for it."""
    if not has_shift(book.root):
        return None
    from caskbook.cli.entering.shift import shift_for

    return shift_for(book, by=by, told=told)


def name_in_full(desk: Desk, request: Request) -> None:
    """The casks of a request by their full numbers; what short names stand for is said. CaskbookError for one that means none, or several."""
    from caskbook.entry import fields

    if not (request.named or any(fields.names_casks(*place) for place in request.given)):
        return  # Every number is typed in full, as most are.
    from caskbook.entry.naming import name_casks

    name_casks(request, desk.numbers)
    if desk.numbers is not None:
        tell_names(desk.numbers)


def name_absent(desk: Desk, request: Request) -> None:
    """A number that the book has not may be an old mark: then the request is about the cask that bears it, which is said."""
    from caskbook.entry.naming import name_by_marks

    if desk.numbers is not None:
        name_by_marks(request, request.casks, desk.numbers)
        tell_names(desk.numbers)


def asker_of(book: Book, desk: Desk, shift: Shift | None = None) -> Asker:
    """Who enters by default: whose shift it is, if any; and the comment of a new file."""
    from caskbook.entry.build import Asker, default_by

    if shift is not None:
        return Asker(shift.by, schema_comment(book))
    return Asker(default_by(desk, os.environ.get("CASKBOOK_BY")), schema_comment(book))


def schema_comment(book: Book) -> str:
    """The line by which an editor finds the schema, where there is one beside the ledger or in it."""
    for up, folder in (("../../../", book.root.resolve().parent), ("../../", book.root)):
        if (folder / "schemas" / "cask.schema.json").is_file():
            return f"yaml-language-server: $schema={up}schemas/cask.schema.json"
    return ""
