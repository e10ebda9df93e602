"""The parts of one ledger put into a new state: each written, or kept where it says the same as before."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from caskbook.core.finding import CaskbookError, Finding
from caskbook.export.columns import Table
from caskbook.export.lake import SEEN, Manifest, NewState, make_last
from caskbook.export.origin import Origin
from caskbook.export.place import SQLITE
from caskbook.export.rows import Row, Whole, entry_rows, rows_of
from caskbook.export.schema import TABLES, UNKNOWN_YEAR
from caskbook.export.sqlite_file import SqliteFile
from caskbook.export.writers import WRITERS
from caskbook.export.years import Entries, all_years, seen_of

_BEGUN = ".begun"


class Told(Whole, Entries, Protocol):
    """Both that the rows and that the years are made of."""


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
        there = state.old if old is not None else None
        # Who took a file away gets it written anew.
        self._old = (
            {one["path"]: one for one in old["files"] if there is not None and (there / one.get("was", one["path"])).is_file()} if old is not None else {}
        )
        self.files: list[dict[str, Any]] = []
        self.written = 0

    def has_all_of(self, old: Manifest) -> bool:
        """Whether every file that a manifest names is there."""
        return len(self._old) == len(old["files"])

    def keep_all(self) -> None:
        """Every part stays as it is."""
        for one in self._old.values():
            self._keep(one)
        seen = f"{SEEN}/{self._book.ledger}.json"
        if self._state.old is not None and (self._state.old / seen).is_file():
            self._state.keep(seen)

    def write(self, seen: Mapping[str, Any] | None) -> None:
        """All tables as files of their own. `seen`: what the last export was made of, None where nothing of it may be believed."""
        now, changed = seen_of(self._book.whole, seen)
        self._state.put_json(f"{SEEN}/{self._book.ledger}.json", now)
        known = {one["year"] or "": one for one in self._old.values() if one["table"] == "event"}
        findings = self._book.findings()
        for of in TABLES:
            if of.name == "event":
                self._write_years(of, all_years(now), known, changed)
                continue
            parts = dict.fromkeys(of.parts, self._day)
            for one in self._old.values() if of.parts else ():
                if one["table"] == of.name and one["as_of"] != self._day:
                    self._keep(one)
            self._put(of, parts, rows_of(self._book.whole, of.name, findings, self._book.settings))

    def _write_years(self, of: Table, years: Sequence[str], known: Mapping[str, Any], changed: set[str] | None) -> None:
        for year in years:
            if changed is not None and year in known and year not in changed:
                self._keep(known[year])
            else:
                self._put(of, {"year": year or None}, entry_rows(self._book.whole, year or None), empty=years == [""])

    def _keep(self, one: dict[str, Any]) -> None:
        self._state.keep(one["path"], one.get("was", ""))
        self.files.append({key: value for key, value in one.items() if key != "was"})

    def _put(self, of: Table, parts: Mapping[str, str | None], rows: Iterable[Row], *, empty: bool = True) -> None:
        """Write a part; where one of the same content is there, it stays. `empty`: also where it has no row."""
        begun = self._state.path / _BEGUN
        count = WRITERS[self._form](begun, of, rows)
        if not count and not empty:
            begun.unlink()
            return
        digest, size = digest_of(begun)
        folder = "/".join([of.name, f"ledger={self._book.ledger}", *(f"{part}={UNKNOWN_YEAR if value is None else value}" for part, value in parts.items())])
        self._place(begun, f"{folder}/part-{digest[:16]}.{self._form}", {"table": of.name, **parts, "rows": count, "sha256": digest, "bytes": size})

    def _place(self, begun: Path, name: str, told: Mapping[str, Any]) -> None:
        """A file that was written takes its place, unless the same one is there."""
        known = self._old.get(name)
        if known is not None and known["sha256"] == told["sha256"]:
            begun.unlink()
            self._keep(known)
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
            years = all_years(seen_of(whole, None)[0])
            return sum(file.write(of, (ledger, int(year) if year else None), entry_rows(whole, year or None)) for year in years)
        before = file.take_over(self._state.old / name, of, self._day) if of.parts and self._state.old is not None and name in self._old else 0
        parts = (ledger, *(self._day for _ in of.parts))
        findings = self._book.findings() if of.name == "finding" else ()
        return before + file.write(of, parts, rows_of(whole, of.name, findings, self._book.settings))


def digest_of(path: Path) -> tuple[str, int]:
    """(the SHA-256 of a file, hexadecimal; how many bytes it has)."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest(), path.stat().st_size
