"""One export of a ledger into a folder: nothing where nothing changed, else a new state that takes the place of the old one."""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from caskbook.core.finding import CaskbookError
from caskbook.export.changes import changes_since, seen_lines, seen_of
from caskbook.export.held import OWN, digest_of, held, lies_at, own_digest
from caskbook.export.lake import SEEN, Manifest, NewState, clear, current_state, left_over, locked, manifests, read_lines, under_name
from caskbook.export.origin import KIN, SAME, UNSURE, Relation
from caskbook.export.parts import Book, Parts
from caskbook.export.place import MANIFEST, check_place
from caskbook.export.schema import SCHEMA
from caskbook.export.tables import Tables


class Done(NamedTuple):
    """What an export did: how many files it wrote, how many stay as they were, how many rows all of them have, and how many days it let go. `gone`: name → how many
    days of it were there, of the names this book had before, whose tables it took away or on; `unsure`: other names of which nobody can tell whether they are such;
    `altered`: files that were not as they were written, and are anew; `lost`: those of days gone by, path → day, which are taken out; `unsaid`: whether the manifest was such."""

    written: int
    kept: int
    rows: int
    let_go: int = 0
    gone: Mapping[str, int] = {}
    unsure: Sequence[str] = ()
    altered: Sequence[str] = ()
    lost: Mapping[str, str] = {}
    unsaid: bool = False


def put_down(folder: Path, root: Path, book: Book) -> Done:
    """Export a book into a folder; `root` is the ledger's. CaskbookError where that must not be, or another book or format is there: then nothing is written."""
    check_place(folder, root)
    found, damaged = manifests(folder)
    if _stands(folder, book, found.get(book.ledger)) and not _of_relation(found, book, SAME):
        _sweep(folder)
        return _told(found[book.ledger], written=0)
    with locked(folder):
        check_place(folder, root)
        clear(folder)
        found, damaged = manifests(folder)
        known = book.ledger in (*found, *damaged)
        _refuse_others(folder, found, book, known=known)
        before, unsure = _of_relation(found, book, SAME), [] if known else [*_of_relation(found, book, UNSURE), *damaged]
        old = found.get(book.ledger)
        if old is None and before and book.about["format"] != "sqlite":
            old = under_name(found[before[-1]], book.ledger)  # The days that were exported under it go on.
        if old is not None and old["schema"] != SCHEMA:
            old = None
        state = NewState(folder)
        try:
            made = _built(state, book, old, {one: found.get(one) for one in (book.ledger, *before)})
            state.take_place()
        except OSError as error:
            raise CaskbookError(f"{folder}: {error.strerror or error}; what was there stays") from None
        finally:
            if current_state(folder) != state.path:
                shutil.rmtree(state.path, ignore_errors=True)
    return made._replace(
        gone={found[one]["name"]: len(_days(found[one])) or 1 for one in before},
        unsure=[found[one]["name"] if one in found else one for one in unsure],
        unsaid=book.ledger in damaged,
    )


def _sweep(folder: Path) -> None:
    """What an export that was ended left goes."""
    if left_over(folder):
        with contextlib.suppress(CaskbookError), locked(folder):  # Where another export is at it, that one sweeps.
            clear(folder)


def _of_relation(found: Mapping[str, Manifest], book: Book, relation: Relation) -> list[str]:
    """The other ledgers of the folder that are this to the book."""
    return [ledger for ledger, one in found.items() if ledger != book.ledger and book.origin.relation(one) == relation]


def _stands(folder: Path, book: Book, old: Manifest | None) -> bool:
    """Whether the folder holds just what would be written, and all of its files as they were."""
    state = current_state(folder)
    if old is None or state is None or any(old.get(key) != value for key, value in book.about.items()):
        return False
    return len(held(state, old, book.about["as_of"]).sound) == len(old["files"])


def _refuse_others(folder: Path, found: dict[str, Manifest], book: Book, *, known: bool) -> None:
    """CaskbookError where another book has this name, or one that a disk may take for it, or what is there is of another format. `known`: whether anything stands under its name."""
    for ledger, one in found.items():
        if one["format"] != book.about["format"]:
            raise CaskbookError(f"{folder} holds {one['format']}: name another folder for {book.about['format']}")
        if ledger == book.ledger and one["name"] != book.about["name"]:
            raise CaskbookError(f"{folder} holds the ledger {one['name']!r} under {ledger}, which {book.about['name']!r} is called too: name another folder")
        if ledger != book.ledger and ledger.casefold() == book.ledger.casefold() and book.origin.relation(one) != SAME:
            raise CaskbookError(
                f"{folder} holds the ledger {one['name']!r}, which {book.about['name']!r} differs from in capitals alone: give one house another `name`, or name another folder"
            )
    kin = [] if known else _of_relation(found, book, KIN)
    if kin:
        raise CaskbookError(
            f"{folder} holds {found[kin[0]]['name']}, a book with the same first commit as this one, as of a commit that is not in its history: whether it is this book under "
            f"an earlier name cannot be told, and both would be counted; fetch that commit ({str(found[kin[0]]['commit'])[:12]}), or name another folder"
        )


def _built(state: NewState, book: Book, old: Manifest | None, own: Mapping[str, Manifest | None]) -> Done:
    """The new state is filled, its manifest last. `old`: whose parts may stay; `own`: the manifests of this book, by what it is and was called."""
    state.keep_others({book.ledger, *own})
    parts = Parts(state, book, old)
    of_one_file = book.about["format"] == "sqlite"
    same = ("inputs", "as_of", *(("keep",) if of_one_file else ()))
    if old is not None and parts.has_all_of(old) and all(old.get(key) == book.about[key] for key in same):
        parts.keep_all()  # Another commit, which changed nothing of the book.
    elif of_one_file:
        book.findings_ahead()
        parts.write_sqlite()
    else:
        book.findings_ahead()
        _write_tables(state, parts, book)
    seen = state.path / SEEN / f"{book.ledger}.json"
    made = {**book.about, "files": sorted(parts.files, key=lambda one: str(one["path"])), SEEN: digest_of(seen)[0] if seen.is_file() else None}
    state.put_json(f"{MANIFEST}/{book.ledger}.json", {**made, OWN: own_digest(made)}, indent=1)
    for ledger, before in own.items():
        state.keep_strange(ledger, None if before is None else {one["path"] for one in before["files"]})
    lost = {lies_at(one): one["as_of"] for one in parts.altered if one.get("as_of") not in (None, book.about["as_of"])}
    altered = [path for path in map(lies_at, parts.altered) if path not in lost]
    return _told(made, parts.written)._replace(let_go=len(_days(old) - parts.days) if old is not None else 0, altered=altered, lost=lost)


def _days(made: Manifest) -> set[str]:
    """The days of which the tables are that have a part for each."""
    return {one["as_of"] for one in made["files"] if one.get("as_of")}


def _write_tables(state: NewState, parts: Parts, book: Book) -> None:
    """All tables as files of their own, and what they were made of."""
    seen = seen_of(read_lines(parts.seen)) if parts.seen is not None else None
    changes = changes_since(book.whole, seen)
    Tables(parts, book, changes, seen["day"] if seen is not None else None, seen.get("findings", []) if seen is not None else []).write()
    state.put_lines(f"{SEEN}/{book.ledger}.json", seen_lines(changes.now))


def _told(made: Manifest, written: int) -> Done:
    rows = (one["rows"] for one in made["files"])
    return Done(written, len(made["files"]) - written, sum(sum(count.values()) if isinstance(count, dict) else count for count in rows))
