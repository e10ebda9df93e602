"""`export`: the book as tables for other programs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from caskbook import __version__
from caskbook.checks import Report, check_ledger
from caskbook.cli.checked_on import checked_on
from caskbook.cli.common import Book, index_of, one_of, open_book, say, write
from caskbook.cli.data_output import write_data
from caskbook.cli.index_answer import answered
from caskbook.cli.progress import progress
from caskbook.cli.remarks import left_out, say_left_out
from caskbook.core.finding import CaskbookError, Finding
from caskbook.export.place import check_place, plain_ledger
from caskbook.export.schema import SCHEMA, schema_text
from caskbook.ledger.aside import Aside
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.export.parts import Book as Tables
    from caskbook.export.put_down import Done
    from caskbook.index.index import Index


def run(folder: str | None, form: str, records: str | None, as_of: str | None, at: str | None, keep: int | None, *, schema: bool) -> int:
    """Write the tables; with `schema` print what they are. 0. CaskbookError where the folder holds anything else, or the format needs what is not installed."""
    from caskbook.export.writers import FORMATS

    if schema:
        write_data(schema_text())
        return 0
    if folder is None:
        raise CaskbookError("no folder given: caskbook export DIR --format parquet; --schema prints the tables and their columns")
    one_of("--format", form, FORMATS)
    if form == "parquet":
        from caskbook.core.extra import library

        library("pyarrow.parquet", "lake", "--format parquet")
    book = open_book(records, as_of, at)
    target = Path(folder)
    check_place(target, book.root)
    # Forked here, while nothing of the index is open.
    with Aside(partial(_findings, book, at)) as findings:
        return _export(target, book, findings, form, at, keep)


def _export(target: Path, book: Book, findings: Aside[tuple[Finding, ...]], form: str, at: str | None, keep: int | None) -> int:
    """Write the tables of a book, and say what was written."""
    for _ in range(2):
        index, answer = answered(book, at, beside=True)
        with index.reading():
            done, tables = _put_down(target, book, index, findings, form, at, keep)
            left_out(answer)
            say_left_out(index.root, at, answer.overlooked, answer.linked, answer.strays)
            _say_of_names(target, done, shallow=tables.origin.shallow)
            _say_what_was_altered(done, tables)
            said = f"{number_of(done.written, 'file')} written, {done.kept} as before" if done.written or done.lost else "nothing changed"
            said += f", {number_of(done.let_go, 'day')} let go" if done.let_go else ""
            write(f"{said}: {number_of(done.rows, 'row')} as of {book.day} in {target}")
            return 0
    raise CaskbookError("the index was damaged, and is made anew; ask again")


def _say_of_names(target: Path, done: Done, *, shallow: bool) -> None:
    """Say which names of before went, and of which nobody can tell whether they are such."""
    for name, days in done.gone.items():
        many = "one day" if days == 1 else f"{days} days"
        say(f"{target} held this book as {name}, its name before ({many}): nothing of it stands under that name any more, where it would be counted twice")
    if done.unsure:
        way = "`git fetch --unshallow`, or " if shallow else ""
        say(
            f"{target} also holds {', '.join(done.unsure)}, of which nobody can tell here whether it is this book under an earlier name: if it is, both are counted; "
            f"{way}name another folder"
        )


def _say_what_was_altered(done: Done, tables: Tables) -> None:
    """Say, in a line each, what of the files and of the manifest was not as an export wrote it."""
    day = tables.about["as_of"]
    if done.unsaid:
        say(f"manifest/{tables.ledger}.json was not what the export wrote: all of it written anew, of {day} alone")
    if done.altered:
        alone = f", of {day} alone" if tables.about["format"] == "sqlite" else ""
        say(f"{_named(done.altered)} not what the export wrote: written anew{alone}")
    if done.lost:
        days = ", ".join(f"`--as-of {one}`" for one in sorted({*done.lost.values()}))
        say(f"{_named([*done.lost])} not what the export wrote: taken out; {days} writes that day anew")


def _named(paths: Sequence[str]) -> str:
    """The first of some files by its path, how many more there are, and the verb."""
    return f"{paths[0]} was" if len(paths) == 1 else f"{paths[0]} and {len(paths) - 1} more were"


def _put_down(target: Path, book: Book, index: Index, findings: Aside[tuple[Finding, ...]], form: str, at: str | None, keep: int | None) -> tuple[Done, Tables]:
    """Export what the index answers about the book; and what that is."""
    from caskbook.export.origin import origin_of
    from caskbook.export.parts import Book as Tables
    from caskbook.export.put_down import put_down

    whole = index.whole_book()
    name, made = book.ledger.house.on(book.day).name or book.root.resolve().name, _commit(book, at)
    origin = origin_of(book.root, made["commit"], partial(_name_at, book))
    about = {
        "name": name, "ledger": plain_ledger(name), "as_of": book.day.isoformat(), "format": form, "schema": SCHEMA, "caskbook": __version__,
        "inputs": whole.inputs(book.today), "keep": keep, **made, **origin.about,
    }  # fmt: skip
    settings = book.ledger.house.raw
    tables = Tables(about["ledger"], whole, cache(findings), findings.begin, settings, about, origin)
    return put_down(target, book.root, tables), tables


def _name_at(book: Book, commit: str) -> str | None:
    """What the house was called at a commit; None where it had no name, or was not there."""
    from caskbook.ledger.opening import open_ledger

    try:
        return open_ledger(book.root, book.root, commit).house.on(book.day).name
    except CaskbookError:
        return None


def _findings(book: Book, at: str | None) -> tuple[Finding, ...]:
    """What check says of the book on the day, each file named from the ledger's folder on. By an index of its own, for it may be asked in a process of its own."""
    from dataclasses import replace

    def check(day: date, names: Sequence[str] | None) -> Report:
        if names is not None:
            return check_ledger(book.ledger, day, names)
        with progress("checked") as advance:
            return index_of(book, at, memory=True).check(book.ledger, day, advance)

    found = checked_on(book, check).findings
    shown = book.ledger.file_store.shown
    return tuple(replace(one, path=one.path.removeprefix(shown)) for one in found)


def _commit(book: Book, at: str | None) -> dict[str, Any]:
    """{commit, uncommitted}: which commit the files are of, null without git or before the first one; and whether some of them are otherwise."""
    from caskbook.git import open_git

    own = ("casks", "house.yaml")
    try:
        git = open_git(book.root)
        if at:
            return {"commit": git.resolve(at), "uncommitted": False}
        head = git.head()
    except CaskbookError:
        if at:
            raise
        return {"commit": None, "uncommitted": True}
    uncommitted = head is None or bool(git.changes(head, None, *own, renames=False) or git.touched(*own) or git.untracked(*own))
    return {"commit": head, "uncommitted": uncommitted}
