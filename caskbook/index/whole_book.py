"""The tables of an answer whole, row by row, for who puts the book down for other programs; and which entries changed since it was put down last."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from caskbook.index.answer import Answer
from caskbook.index.beside import beside_kept, fills_judged, until_kept
from caskbook.index.events import keep_events
from caskbook.index.gauges import gauges_kept
from caskbook.index.places import stores_on
from caskbook.index.schema import fingerprint
from caskbook.index.told import told_kept
from caskbook.index.views import event_columns, rows_of
from caskbook.stats.donors import Gift, donors_of
from caskbook.stats.parts import Cask

_SIZE = 8


class WholeBook:
    """What an answer has, all of it: each question gives rows as they are read, in an order that is always the same."""

    def __init__(self, answer: Answer) -> None:
        self._answer = answer
        until_kept(answer, lambda found: beside_kept(found) and fills_judged(found) and keep_events(found))

    @property
    def day(self) -> date:
        """The day asked about."""
        return self._answer.day

    def rows(self, name: str, columns: Sequence[str]) -> Iterator[Sequence[Any]]:
        """These columns of the table cask, fill or due, by cask; days as ISO text, lists and maps as JSON."""
        shown = ", ".join(f'"{column}"' for column in columns)
        order = {"cask": "cask", "fill": "cask, n", "due": "cask, rule"}[name]
        return self._answer.store.execute(f"SELECT {shown} FROM ({rows_of(self._answer, name)}) ORDER BY {order}")

    def entries(self, columns: Sequence[str], year: str | None) -> Iterator[Sequence[Any]]:
        """These columns of the table event, of one year (four figures), or None of those whose day cannot be read; by cask, day and id."""
        when = "e.date IS NULL" if year is None else "e.date BETWEEN ? AND ?"
        values = () if year is None else (f"{year}-01-01", min(f"{year}-12-31", self.day.isoformat()))
        return self._answer.store.execute(
            f"SELECT {event_columns(self._answer, columns)} FROM main.event e INDEXED BY event_date CROSS JOIN main.life l ON l.version = e.version"
            f" CROSS JOIN main.answer_life a ON a.answer = {self._answer.number} AND a.life = l.id WHERE {when} ORDER BY a.cask, e.date, e.id, l.cask",
            values,
        )

    def gauges(self) -> Iterator[tuple[str, Iterable[Sequence[Any]]]]:
        """(cask, its gauges as `gauges._gauge` has them), by number."""
        return gauges_kept(self._answer)

    def leaks(self) -> Iterator[tuple[str, Any]]:
        """(cask, its leaks), by number; those alone that have any."""
        return ((cask, found.leaks) for cask, found in self._told("leaks") if found.leaks)

    def receipts(self) -> Iterator[tuple[str, Any]]:
        """(cask, its receipt and what followed, a `Received`), by number; not of a cask that is told in part."""
        return self._told("receipt")

    def gifts(self) -> Iterable[Gift]:
        """Which cask gave parts to which, in order of giver and taker, as `report parts` has it."""
        casks = (Cask(cask, mends) for cask, mends in self._told("mends"))
        return donors_of(casks, {}, self._answer.joined).gifts

    def _told(self, what: str) -> Iterator[tuple[str, Any]]:
        """(cask, what reports tell of it), by number."""
        return told_kept(self._answer, what)

    def inputs(self) -> str:
        """All that the tables are made of: program, settings, day, and each file by its content. Hexadecimal; another one where anything of it is another."""
        house = self._answer.store.execute("SELECT key FROM house WHERE id = ?", (self._answer.snapshot.house,)).fetchone()
        files = sorted((name, key) for name, (key, _) in self.files().items())
        told = json.dumps([fingerprint(), house[0], self.day.isoformat(), self._answer.unreadable, files], default=str)
        return hashlib.sha256(told.encode("utf-8", "surrogatepass")).hexdigest()

    def basis(self) -> str:
        """What all entries are told by, beside the files: this program, what is joined, and which store a berth lies in on the day. Hexadecimal."""
        told = json.dumps([fingerprint(), sorted(self._answer.joined.items()), stores_on(self._answer)], sort_keys=True)
        return hashlib.sha256(told.encode()).hexdigest()

    def files(self) -> dict[str, tuple[str, int]]:
        """Name of a file → (name of its content, its number in the index)."""
        rows = self._answer.store.execute(
            "SELECT v.name, v.key, v.id FROM main.answer_life a JOIN main.life l ON l.id = a.life JOIN main.version v ON v.id = l.version WHERE a.answer = ?",
            (self._answer.number,),
        )
        return {name: (key, version) for name, key, version in rows}

    def years_between(self, first: date, last: date) -> set[str]:
        """The years with entries behind the first of two days, up to the last one."""
        rows = self._answer.store.execute(
            "SELECT DISTINCT substr(date, 1, 4) FROM main.event INDEXED BY event_date WHERE date > ? AND date <= ?", (first.isoformat(), last.isoformat())
        )
        return {row[0] for row in rows}

    def digests(self, versions: Iterable[int]) -> Mapping[int, Mapping[str, str]]:
        """Number of a file → {year, empty where it cannot be read: what its entries of that year say, hexadecimal}."""
        found: dict[int, dict[str, str]] = {}
        # The other columns are fields of the entry, which `data` has whole.
        asked = "SELECT date, id, stands, voided_by, berth, data FROM main.event WHERE version = ? ORDER BY row"
        for version in versions:
            seen: dict[str, list[Any]] = {}
            for day, *rest in self._answer.store.execute(asked, (version,)):
                seen.setdefault((day or "")[:4], []).append((day, *rest))
            found[version] = {year: hashlib.blake2b(repr(rows).encode("utf-8", "surrogatepass"), digest_size=_SIZE).hexdigest() for year, rows in seen.items()}
        return found
