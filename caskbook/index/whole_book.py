"""The tables of an answer whole, row by row, for who puts the book down for other programs; and which entries changed since it was put down last."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from datetime import date
from functools import cached_property
from itertools import groupby
from operator import itemgetter
from typing import Any

from caskbook.core.digest import short_digest
from caskbook.index.answer import Answer
from caskbook.index.beside import beside_kept, fills_judged, until_kept
from caskbook.index.events import keep_events
from caskbook.index.gauges import gauges_kept
from caskbook.index.places import stores_on
from caskbook.index.report_facts import GIVEN, told_kept
from caskbook.index.schema import fingerprint
from caskbook.index.views import among_of, event_columns, rows_of
from caskbook.stats.donors import Gift, donors_of
from caskbook.stats.parts import Cask

_LAST = 3
"""The figures at the end of a number that do not count for which casks are told together: in thousands."""
_FILES = "main.answer_life a JOIN main.life l ON l.id = a.life JOIN main.version v ON v.id = l.version WHERE a.answer = ? AND a.cask = ? ORDER BY v.name"
"""The lives of a cask of an answer, one for each of its files."""
_OWN = "v.name, v.key, l.from_day, l.until_day, l.needs, d.fill, d.start, d.back, d.doubt"
_JUDGED = "p.rule, p.verdict, p.since, p.well_past, p.severity, p.reasons, p.decided, p.changes_on, w.words, w.whole"
_PARTED = 1 + len(_OWN.split(","))
_MADE = (
    f"SELECT a.cask, {_OWN}, {_JUDGED} FROM main.answer_life a JOIN main.life l ON l.id = a.life JOIN main.version v ON v.id = l.version"
    " LEFT JOIN main.peer_doubt d ON d.answer = a.answer AND d.life = a.life LEFT JOIN main.peer_due p ON p.answer = a.answer AND p.life = a.life"
    " LEFT JOIN main.peer_words w ON w.answer = a.answer AND w.life = a.life WHERE a.answer = ? ORDER BY a.cask"
)


class Lives:
    """What the rows of some casks are made of, whose numbers begin alike: their files, what these rest on, the days they are good for, and what their peers make of
    what is due. Where the digest of all is as it was, nothing of them has to be looked at one by one."""

    def __init__(self, head: str, rows: list[tuple[Any, ...]]) -> None:
        self.head, self._rows = head, rows

    @cached_property
    def digest(self) -> str:
        """Of all of it, hexadecimal."""
        return short_digest(self._rows)

    @property
    def casks(self) -> list[str]:
        """Their numbers, in order."""
        return list(dict.fromkeys(row[0] for row in self._rows))

    def words(self) -> Iterator[tuple[str, str]]:
        """(cask, two words: of what its files and what they rest on are, and of what its peers make of it)."""
        for cask, group in groupby(self._rows, itemgetter(0)):
            # Its files stand in an order of their own in each index.
            own = sorted(group, key=itemgetter(1))
            yield cask, f"{short_digest([row[1:_PARTED] for row in own])} {short_digest([row[_PARTED:] for row in own])}"


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
        casks = (Cask(cask, mends) for cask, mends in told_kept(self._answer, "mends", self._among, GIVEN))
        return donors_of(casks, {}, self._answer.joined).gifts

    def joined(self) -> Mapping[str, str]:
        """Number that was joined → number that goes on."""
        return self._answer.joined

    def inputs(self, real_day: date) -> str:
        """All that the tables are made of: program, settings, day, and each file by its content. Hexadecimal; another one where anything of it is another.
        `real_day`: by which is told what lies in the future."""
        files = self._answer.store.execute(
            "SELECT v.name, v.key FROM main.answer_life a JOIN main.life l ON l.id = a.life JOIN main.version v ON v.id = l.version WHERE a.answer = ?",
            (self._answer.number,),
        )
        days = [self.day.isoformat(), *([real_day.isoformat()] if real_day != self.day else [])]
        told = json.dumps([fingerprint(), self._settings(), *days, self._answer.unreadable, sorted(files)], default=str)
        return hashlib.sha256(told.encode("utf-8", "surrogatepass")).hexdigest()

    def basis(self) -> str:
        """What all rows are told by, beside the files: this program, the settings, and which store a berth lies in on the day. Hexadecimal."""
        told = json.dumps([fingerprint(), self._settings(), stores_on(self._answer)], sort_keys=True, default=str)
        return hashlib.sha256(told.encode()).hexdigest()

    def _settings(self) -> Any:
        return self._answer.store.execute("SELECT key FROM house WHERE id = ?", (self._answer.snapshot.house,)).fetchone()[0]

    def count(self) -> int:
        """How many casks there are."""
        return int(self._answer.store.execute("SELECT count(DISTINCT cask) FROM main.answer_life WHERE answer = ?", (self._answer.number,)).fetchone()[0])

    def lives(self) -> Iterator[Lives]:
        """What the rows of all casks are made of, by cask, those together whose numbers begin alike: where it is as it was, on whatever day, so are the rows but
        for what is reckoned to the day."""
        first = self._answer.store.execute("SELECT min(cask) FROM main.answer_life WHERE answer = ?", (self._answer.number,)).fetchone()[0] or ""
        begin = max(1, len(first) - _LAST)
        rows = self._answer.store.execute(_MADE, (self._answer.number,))
        return (Lives(head, list(own)) for head, own in groupby(rows, lambda row: row[0][:begin]))

    def entered_between(self, first: date, last: date) -> Iterator[tuple[str, str]]:
        """(cask, year) of entries behind the first of two days, up to the last one."""
        return self._answer.store.execute(
            "SELECT DISTINCT a.cask, substr(e.date, 1, 4) FROM main.event e INDEXED BY event_date CROSS JOIN main.life l ON l.version = e.version"
            " CROSS JOIN main.answer_life a ON a.answer = ? AND a.life = l.id WHERE e.date > ? AND e.date <= ?",
            (self._answer.number, first.isoformat(), last.isoformat()),
        )

    @cached_property
    def _by_type(self) -> bool:
        """Whether the store of a berth goes by the type of the cask that lies there."""
        return any(stores_on(self._answer))

    def years(self) -> list[str]:
        """The years of which the entries are, in order; empty for those whose day cannot be read."""
        rows = self._answer.store.execute(
            "SELECT DISTINCT ifnull(substr(e.date, 1, 4), '') FROM main.answer_life a JOIN main.life l ON l.id = a.life JOIN main.event e ON e.version = l.version"
            " WHERE a.answer = ? ORDER BY 1",
            (self._answer.number,),
        )
        return [year for (year,) in rows]

    def digests(self, cask: str) -> dict[str, str]:
        """{year, empty where it cannot be read: what the entries of that year say in the files of a cask, and what they tell of stores by beside themselves}."""
        store, by_type = self._answer.store, self._by_type
        files = store.execute(f"SELECT l.version, l.type, l.stays FROM {_FILES}", (self._answer.number, cask)).fetchall()
        laid = [one for _, kind, stays in files for one in (kind if by_type else None, stays)]
        # The other columns are fields of the entry, which `data` has whole.
        asked = "SELECT date, id, stands, voided_by, berth, data FROM main.event WHERE version = ? ORDER BY row"
        seen: dict[str, list[Any]] = {}
        for version, *_ in files:
            for row in store.execute(asked, (version,)):
                seen.setdefault((row[0] or "")[:4], []).append(row)
        return {year: short_digest([laid, rows]) for year, rows in seen.items()}
