"""What planning an entry needs of its surroundings: the ledger, the clock, chance, and who enters."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, index_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from caskbook.entry.build import Asker
    from caskbook.entry.plan import Desk


def random_bits(count: int) -> int:
    """So many bits that cannot be guessed."""
    size = (count + 7) // 8
    return int.from_bytes(os.urandom(size), "big") >> (size * 8 - count)


def desk_of(book: Book) -> Desk:
    """The planning desk of an open ledger."""
    from caskbook.entry.plan import Desk

    def files_at(berths: Sequence[str]) -> Sequence[str] | None:
        return index_of(book).files_at(berths)

    return Desk(book.ledger, book.today, book.now, random_bits, joins=book.ledger.joins, files_at=files_at)


def asker_of(book: Book, desk: Desk) -> Asker:
    """Who enters by default, and the comment of a new file."""
    from caskbook.entry.build import Asker, default_by

    return Asker(default_by(desk, os.environ.get("CASKBOOK_BY")), schema_comment(book))


def schema_comment(book: Book) -> str:
    """The line by which an editor finds the schema, where there is one beside the ledger or in it."""
    for up, folder in (("../../../", book.root.resolve().parent), ("../../", book.root)):
        if (folder / "schemas" / "cask.schema.json").is_file():
            return f"yaml-language-server: $schema={up}schemas/cask.schema.json"
    return ""
