"""The parts of one ledger put into a new state: each written, or kept where it says the same as before."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from caskbook.core.finding import CaskbookError, Finding
from caskbook.export.changes import Told
from caskbook.export.columns import Table
from caskbook.export.lake import SEEN, Manifest, NewState, make_last
from caskbook.export.origin import Origin
from caskbook.export.place import SQLITE
from caskbook.export.rows import entry_rows, rows_of
from caskbook.export.schema import TABLES, UNKNOWN_YEAR
from caskbook.export.sqlite_file import SqliteFile

_BEGUN = ".begun"
One = dict[str, Any]
"""What a manifest says of a file."""
_PARTED_BY = ("as_of", "year", "bucket")


@dataclass(frozen=True)
class Book:
    """What is exported. `ledger`: its name as paths bear it; `findings`: asked once it is known that anything changed; `settings`: house.yaml as written;
    `about`: what its manifest says of all of it: commit, as_of, ledger, format, inputs …; `origin`: where it comes from"""

    ledger: str
    whole: Told
    findings: Callable[[], Sequence[Finding]]
    settings: Mapping[str, Any]
    about: Mapping[str, Any]
    origin: Origin


class Parts:
    """The parts of a ledger in a new state, and what its manifest says of each. `old`: its manifest of before, whose parts may stay."""

    def __init__(self, state: NewState, book: Book, old: Manifest | None) -> None:
        self._state, self._book = state, book
        self._day, self._form = book.about["as_of"], book.about["format"]
        named: list[One] = old["files"] if old is not None else []
        # Who took a file away gets it written anew.
        self._old = {one["path"]: one for one in named if state.old is not None and (state.old / lies_at(one)).is_file()}
        self._named = {_key(one): one for one in named}
        self._days = _days_kept({one["as_of"] for one in self._named.values() if one.get("as_of")}, self._day, book.about["keep"])
        self._was = old["ledger"] if old is not None else book.ledger
        self.files: list[One] = []
        self.written = 0

    def has_all_of(self, old: Manifest) -> bool:
        """Whether every file that a manifest names is there."""
        return len(self._old) == len(old["files"])

    def keep_all(self) -> None:
        """Every part stays as it is, but of days that are kept no longer."""
        for one in self._old.values():
            if one.get("as_of") is None or one["as_of"] in self._days:
                self.keep(one)
        seen = f"{SEEN}/{self._was}.json"
        if self._state.old is not None and (self._state.old / seen).is_file():
            self._state.keep(f"{SEEN}/{self._book.ledger}.json", seen)

    def keep_other_days(self, name: str) -> None:
        """The parts of a table that are of other days stay, of those days that are kept."""
        for one in self._old.values():
            if one["table"] == name and one["as_of"] != self._day and one["as_of"] in self._days:
                self.keep(one)

    def named_of(self, name: str) -> list[One]:
        """The parts of a table that the last export named, there or not."""
        return [one for one in self._named.values() if one["table"] == name]

    def named(self, name: str, **by: Any) -> One | None:
        """The part of a table, by what it is parted by, that the last export named."""
        return self._named.get((name, *map(by.get, _PARTED_BY)))

    def there(self, name: str, **by: Any) -> One | None:
        """The same, where it is still there."""
        one = self.named(name, **by)
        return one if one is not None and one["path"] in self._old else None

    def base(self, one: One) -> Path | None:
        """The file of a part, to make another one of; None where it is not as it was written."""
        assert self._state.old is not None
        path = self._state.old / lies_at(one)
        return path if digest_of(path)[0] == one["sha256"] else None

    def keep(self, one: One) -> None:
        """A part stays as it is."""
        self._state.keep(one["path"], one.get("was", ""))
        self.files.append({key: value for key, value in one.items() if key != "was"})

    def put(self, of: Table, write: Callable[[Path], int], by: Mapping[str, Any], *, empty: bool = True) -> None:
        """Write a part; where one of the same content is there, it stays. `by`: what it is parted by; `empty`: also where it has no row."""
        begun = self._state.path / _BEGUN
        count = write(begun)
        if not count and not empty:
            begun.unlink()
            return
        digest, size = digest_of(begun)
        folders = [f"{part}={UNKNOWN_YEAR if by[part] is None else by[part]}" for part in of.parts]
        bucket = f"{by['bucket']:03}-" if "bucket" in by else ""
        name = "/".join([of.name, f"ledger={self._book.ledger}", *folders, f"part-{bucket}{digest[:16]}.{self._form}"])
        self._place(begun, name, {"table": of.name, **by, "rows": count, "sha256": digest, "bytes": size})

    def _place(self, begun: Path, name: str, told: Mapping[str, Any]) -> None:
        """A file that was written takes its place, unless the same one is there."""
        known = self._old.get(name)
        if known is not None and known["sha256"] == told["sha256"]:
            begun.unlink()
            self.keep(known)
            return
        target = self._state.path / name
        target.parent.mkdir(parents=True, exist_ok=True)
        make_last(begun)
        begun.rename(target)
        self.written += 1
        self.files.append({"path": name, **told, "commit": self._book.about["commit"]})

    def write_sqlite(self) -> None:
        """All tables in one file. CaskbookError where SQLite cannot write it."""
        name, begun = f"{SQLITE}/{self._book.ledger}.sqlite", self._state.path / _BEGUN
        file = SqliteFile(begun)
        try:
            rows = {of.name: self._fill(file, of, name) for of in TABLES}
            file.close(TABLES)
        except sqlite3.Error as error:
            raise CaskbookError(f"{self._state.folder}: SQLite cannot write there ({error}); nothing written") from None
        finally:
            file.drop()
        digest, size = digest_of(begun)
        self._place(begun, name, {"table": None, "rows": rows, "sha256": digest, "bytes": size})

    def _fill(self, file: SqliteFile, of: Table, name: str) -> int:
        """One table of the SQLite file; how many rows it has."""
        whole, ledger = self._book.whole, self._book.ledger
        file.lay_out(of)
        if of.name == "event":
            made = whole.lives().values()
            years = sorted({year for one in made for year in whole.digests(one)})
            return sum(file.write(of, (ledger, int(year) if year else None), entry_rows(whole, year or None)) for year in years)
        before = (
            file.take_over(self._state.old / name, of, self._day, self._book.about["keep"])
            if of.parts and self._state.old is not None and name in self._old
            else 0
        )
        parts = (ledger, *(self._day for _ in of.parts))
        findings = self._book.findings() if of.name == "finding" else ()
        return before + file.write(of, parts, rows_of(whole, of.name, findings, self._book.settings))


def digest_of(path: Path) -> tuple[str, int]:
    """(the SHA-256 of a file, hexadecimal; how many bytes it has)."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest(), path.stat().st_size


def _days_kept(days: Iterable[str], day: str, keep: int | None) -> set[str]:
    """The day that is exported, and of the others the latest, so that they are `keep` with it."""
    others = sorted({*days} - {day})
    return {day, *(others if keep is None else others[max(0, len(others) - keep + 1) :])}


def lies_at(one: Mapping[str, Any]) -> str:
    """Where a part lies that a manifest names: its path, or what that was under a name before."""
    return str(one.get("was", one["path"]))


def _key(one: Mapping[str, Any]) -> tuple[Any, ...]:
    return (one["table"], *map(one.get, _PARTED_BY))
