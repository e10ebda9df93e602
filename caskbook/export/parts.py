"""The parts of one ledger put into a new state: each written, or kept where it says the same as before."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from caskbook.core.finding import CaskbookError, Finding
from caskbook.export.changes import Told
from caskbook.export.columns import Table
from caskbook.export.held import Held, One, digest_of, held, lies_at
from caskbook.export.lake import SEEN, Manifest, NewState, make_last
from caskbook.export.origin import Origin
from caskbook.export.place import SQLITE
from caskbook.export.rows import entry_rows, rows_of
from caskbook.export.schema import TABLES, UNKNOWN_YEAR
from caskbook.export.sqlite_file import SqliteFile
from caskbook.ledger.parallel import FEW

_BEGUN = ".begun"
_PARTED_BY = ("as_of", "year", "bucket")


@dataclass(frozen=True)
class Book:
    """What is exported. `ledger`: its name as paths bear it; `findings`: asked once it is known that anything changed; `begin`: tells that they will be; `settings`: house.yaml as written;
    `about`: what its manifest says of all of it: commit, as_of, ledger, format, inputs …; `origin`: where it comes from"""

    ledger: str
    whole: Told
    findings: Callable[[], Sequence[Finding]]
    begin: Callable[[], None]
    settings: Mapping[str, Any]
    about: Mapping[str, Any]
    origin: Origin

    def findings_ahead(self) -> None:
        """They will be asked for: of a large book they are worked out meanwhile."""
        if self.whole.count() >= FEW:
            self.begin()


class Parts:
    """The parts of a ledger in a new state, and what its manifest says of each. `old`: its manifest of before, whose parts may stay."""

    def __init__(self, state: NewState, book: Book, old: Manifest | None) -> None:
        self._state, self._book, self._day, self._form = state, book, book.about["as_of"], book.about["format"]
        named: list[One] = old["files"] if old is not None else []
        # Who took a file away, or altered it, gets it written anew.
        there = held(state.old, old, self._day) if state.old is not None and old is not None else Held([], [])
        self._old = {one["path"]: one for one in there.sound}
        self._named = {_key(one): one for one in named}
        self.days = _days_kept({one["as_of"] for one in named if one.get("as_of")}, self._day, book.about["keep"])
        self.altered = [one for one in there.altered if one.get("as_of") is None or one["as_of"] in self.days]
        self.seen = self._seen_of(old)
        self.files, self.written = list[One](), 0

    def _seen_of(self, old: Manifest | None) -> Path | None:
        """What the export of before was made of; None where that is not there as it was written."""
        if old is None or self._state.old is None:
            return None
        path = self._state.old / SEEN / f"{old['ledger']}.json"
        return path if path.is_file() and not path.is_symlink() and digest_of(path)[0] == old.get(SEEN) else None

    def has_all_of(self, old: Manifest) -> bool:
        """Whether every file that a manifest names is there as it was written."""
        return len(self._old) == len(old["files"])

    def keep_all(self) -> None:
        """Every part stays as it is, but of days that are kept no longer."""
        for one in self._old.values():
            if one.get("as_of") is None or one["as_of"] in self.days:
                self.keep(one)
        if self.seen is not None:
            self._state.keep(f"{SEEN}/{self._book.ledger}.json", str(self.seen.relative_to(self.seen.parents[1])))

    def keep_other_days(self, name: str) -> None:
        """The parts of a table that are of other days stay, of those days that are kept."""
        for one in self._old.values():
            if one["table"] == name and one["as_of"] != self._day and one["as_of"] in self.days:
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

    def base(self, one: One) -> Path:
        """The file of a part that is there, to make another one of."""
        assert self._state.old is not None
        return self._state.old / lies_at(one)

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
            return sum(file.write(of, (ledger, int(year) if year else None), entry_rows(whole, year or None)) for year in whole.years())
        before = (
            file.take_over(self._state.old / name, of, self._day, self._book.about["keep"])
            if of.parts and self._state.old is not None and name in self._old
            else 0
        )
        parts = (ledger, *(self._day for _ in of.parts))
        findings = self._book.findings() if of.name == "finding" else ()
        return before + file.write(of, parts, rows_of(whole, of.name, findings, self._book.settings))


def _days_kept(days: Iterable[str], day: str, keep: int | None) -> set[str]:
    """The day that is exported, and of the others the latest, so that they are `keep` with it."""
    others = sorted({*days} - {day})
    return {day, *(others if keep is None else others[max(0, len(others) - keep + 1) :])}


def _key(one: Mapping[str, Any]) -> tuple[Any, ...]:
    return (one["table"], *map(one.get, _PARTED_BY))
