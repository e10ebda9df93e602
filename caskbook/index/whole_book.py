"""The tables of an answer whole, row by row, for who puts the book down for other programs; and which entries changed since it was put down last."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from copy import copy
from datetime import date
from itertools import groupby
from operator import itemgetter
from typing import Any, NamedTuple

from caskbook.core.digest import short_digest
from caskbook.index.answer import Answer
from caskbook.index.beside import beside_kept, fills_judged, until_kept
from caskbook.index.events import keep_events
from caskbook.index.gauges import gauges_kept
from caskbook.index.places import stores_on
from caskbook.index.report_facts import told_kept
from caskbook.index.schema import fingerprint
from caskbook.index.views import among_of, event_columns, rows_of
from caskbook.stats.donors import Gift, donors_of
from caskbook.stats.parts import Cask


class Made(NamedTuple):
    """What the rows of a cask are made of. `own`: its files with their content, what they rest on and the days they are good for; `judged`: what its peers
    make of what is due, both hexadecimal; `versions`: the numbers of its files in the index; `laid`: what their entries tell of stores by, beside themselves."""

    own: str
    judged: str
    versions: tuple[int, ...]
    laid: tuple[str | None, ...]


class WholeBook:
    """What an answer has, all of it: each question gives rows as they are read, in an order that is always the same."""

    def __init__(self, answer: Answer) -> None:
        self._answer, self._among = answer, ""
        until_kept(answer, lambda found: beside_kept(found) and fills_judged(found) and keep_events(found))

    def of(self, casks: Iterable[str]) -> WholeBook:
        """The same, of these casks alone."""
        other = copy(self)
        other._among = among_of(casks)
        return other

    @property
    def _and(self) -> str:
        return f" AND a.cask IN {self._among}" if self._among else ""

    @property
    def day(self) -> date:
        """The day asked about."""
        return self._answer.day

    def rows(self, name: str, columns: Sequence[str]) -> Iterator[Sequence[Any]]:
        """These columns of the table cask, fill or due, by cask; days as ISO text, lists and maps as JSON."""
        shown = ", ".join(f'"{column}"' for column in columns)
        order = {"cask": "cask", "fill": "cask, n", "due": "cask, rule"}[name]
        return self._answer.store.execute(f"SELECT {shown} FROM ({rows_of(self._answer, name, self._among)}) ORDER BY {order}")

    def entries(self, columns: Sequence[str], year: str | None) -> Iterator[Sequence[Any]]:
        """These columns of the table event, of one year (four figures), or None of those whose day cannot be read; by cask, day and id."""
        when = "e.date IS NULL" if year is None else "e.date BETWEEN ? AND ?"
        values = () if year is None else (f"{year}-01-01", min(f"{year}-12-31", self.day.isoformat()))
        mine = f"a.answer = {self._answer.number}{self._and}"
        all_of_year = (
            f"main.event e INDEXED BY event_date CROSS JOIN main.life l ON l.version = e.version CROSS JOIN main.answer_life a ON a.life = l.id AND {mine}"
        )
        of_some = f"main.answer_life a CROSS JOIN main.life l ON l.id = a.life AND {mine} CROSS JOIN main.event e ON e.version = l.version"
        return self._answer.store.execute(
            f"SELECT {event_columns(self._answer, columns)} FROM {of_some if self._among else all_of_year} WHERE {when} ORDER BY a.cask, e.date, e.id, l.cask",
            values,
        )

    def gauges(self) -> Iterator[tuple[str, Iterable[Sequence[Any]]]]:
        """(cask, its gauges as `gauges._gauge` has them), by number."""
        return gauges_kept(self._answer, self._among)

    def leaks(self) -> Iterator[tuple[str, Any]]:
        """(cask, its leaks), by number; those alone that have any."""
        return ((cask, found.leaks) for cask, found in told_kept(self._answer, "leaks", self._among) if found.leaks)

    def receipts(self) -> Iterator[tuple[str, Any]]:
        """(cask, its receipt and what followed, a `Received`), by number; not of a cask that is told in part."""
        return told_kept(self._answer, "receipt", self._among)

    def gifts(self) -> Iterable[Gift]:
        """Which cask gave parts to which, in order of giver and taker, as `report parts` has it."""
        casks = (Cask(cask, mends) for cask, mends in told_kept(self._answer, "mends"))
        return donors_of(casks, {}, self._answer.joined).gifts

    def inputs(self) -> str:
        """All that the tables are made of: program, settings, day, and each file by its content. Hexadecimal; another one where anything of it is another."""
        files = self._answer.store.execute(
            "SELECT v.name, v.key FROM main.answer_life a JOIN main.life l ON l.id = a.life JOIN main.version v ON v.id = l.version WHERE a.answer = ?",
            (self._answer.number,),
        )
        told = json.dumps([fingerprint(), self._settings(), self.day.isoformat(), self._answer.unreadable, sorted(files)], default=str)
        return hashlib.sha256(told.encode("utf-8", "surrogatepass")).hexdigest()

    def basis(self) -> str:
        """What all rows are told by, beside the files: this program, the settings, and which store a berth lies in on the day. Hexadecimal."""
        told = json.dumps([fingerprint(), self._settings(), stores_on(self._answer)], sort_keys=True, default=str)
        return hashlib.sha256(told.encode()).hexdigest()

    def _settings(self) -> Any:
        return self._answer.store.execute("SELECT key FROM house WHERE id = ?", (self._answer.snapshot.house,)).fetchone()[0]

    def lives(self) -> dict[str, Made]:
        """Number of a cask → what its rows are made of: where that is as it was, on whatever day, so are they but for what is reckoned to the day."""
        number = self._answer.number
        doubts = self._by_life("SELECT life, fill, start, back, doubt FROM main.peer_doubt WHERE answer = ?")
        judged = self._by_life("SELECT life, rule, verdict, since, well_past, severity, reasons, decided, changes_on FROM main.peer_due WHERE answer = ?")
        for life, words in self._by_life("SELECT life, words, whole FROM main.peer_words WHERE answer = ?").items():
            judged.setdefault(life, []).extend(words)
        rows = self._answer.store.execute(
            "SELECT a.cask, a.life, v.id, l.type, l.stays, v.name, v.key, l.from_day, l.until_day, l.needs FROM main.answer_life a JOIN main.life l ON l.id = a.life"
            " JOIN main.version v ON v.id = l.version WHERE a.answer = ? ORDER BY a.cask, v.name",
            (number,),
        )
        by_type, found = any(stores_on(self._answer)), {}
        for cask, group in groupby(rows, itemgetter(0)):
            own = list(group)
            told = [[row[5:], doubts.get(row[1])] for row in own], [judged.get(row[1]) for row in own]
            laid = tuple(one for row in own for one in (row[3] if by_type else None, row[4]))
            found[cask] = Made(short_digest(told[0]), short_digest(told[1]), tuple(row[2] for row in own), laid)
        return found

    def _by_life(self, asked: str) -> dict[int, list[Any]]:
        found: dict[int, list[Any]] = {}
        for life, *rest in self._answer.store.execute(asked, (self._answer.number,)):
            found.setdefault(life, []).append(rest)
        return found

    def entered_between(self, first: date, last: date) -> Iterator[tuple[str, str]]:
        """(cask, year) of entries behind the first of two days, up to the last one."""
        return self._answer.store.execute(
            "SELECT DISTINCT a.cask, substr(e.date, 1, 4) FROM main.event e INDEXED BY event_date CROSS JOIN main.life l ON l.version = e.version"
            " CROSS JOIN main.answer_life a ON a.answer = ? AND a.life = l.id WHERE e.date > ? AND e.date <= ?",
            (self._answer.number, first.isoformat(), last.isoformat()),
        )

    def digests(self, made: Made) -> dict[str, str]:
        """{year, empty where it cannot be read: what the entries of that year say in the files of a cask, hexadecimal}."""
        # The other columns are fields of the entry, which `data` has whole.
        asked = "SELECT date, id, stands, voided_by, berth, data FROM main.event WHERE version = ? ORDER BY row"
        seen: dict[str, list[Any]] = {}
        for version in made.versions:
            for row in self._answer.store.execute(asked, (version,)):
                seen.setdefault((row[0] or "")[:4], []).append(row)
        return {year: short_digest([made.laid, rows]) for year, rows in seen.items()}
