"""The tables of one ledger put down as files of their own: which parts of each are told anew, which are made of what was there, and which stay."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from typing import Any

from caskbook.core.digest import short_digest
from caskbook.export.buckets import bucket_of
from caskbook.export.changes import Changes, by_cask
from caskbook.export.columns import Table
from caskbook.export.held import One
from caskbook.export.parts import Book, Parts
from caskbook.export.rows import Row, entry_rows, finding_row, rows_of
from caskbook.export.schema import BUCKETED, GIFT, TABLES
from caskbook.export.spliced import Daily, splice
from caskbook.export.writers import WRITERS

Others = Mapping[str, list[Row]]


class Tables:
    """All tables of a book. `last`: the day of the last export; `found`: what it noted of the findings of each bucket."""

    def __init__(self, parts: Parts, book: Book, changes: Changes, last: str | None, found: list[str]) -> None:
        self._parts, self._book, self._whole, self._changes = parts, book, book.whole, changes
        self._last, self._found, self._form = last, found, book.about["format"]

    def write(self) -> None:
        """Put down all tables; what they were made of is then noted in the changes."""
        for of in TABLES:
            if of.name == "event":
                self._years(of)
            elif of.parts:
                self._day(of)
            elif of.name in BUCKETED:
                self._buckets(of)
            elif of.name == GIFT:
                self._gifts(of)
            elif of.name == "finding":
                self._findings(of)
            else:
                self._put(of, rows_of(self._whole, of.name, (), self._book.settings), {})

    @property
    def _splices(self) -> bool:
        """Whether files are made of those that are there."""
        return bool(self._form == "parquet" and not self._changes.whole)

    def _put(self, of: Table, rows: Iterable[Row], by: Mapping[str, Any], *, empty: bool = True) -> None:
        self._parts.put(of, lambda path: WRITERS[self._form](path, of, rows), by, empty=empty)

    def _spliced(self, of: Table, one: One | None, others: Others | Callable[[], Others], daily: Daily, by: Mapping[str, Any], *, empty: bool = True) -> bool:
        """Whether a part could be made of one that is there, by its rows of some casks alone."""
        base = self._parts.base(one) if one is not None and self._splices else None
        if base is None:
            return False
        found = others() if callable(others) else others
        self._parts.put(of, lambda path: splice(path, base, of, found, daily), by, empty=empty)
        return True

    def _years(self, of: Table) -> None:
        """The entries, a part for each year: those alone are written in which an entry is another."""
        changes, parts = self._changes, self._parts
        before = len(parts.files)
        for year in sorted(changes.years | {one["year"] or "" for one in parts.named_of(of.name)}):
            by = {"year": year or None}
            one = parts.there(of.name, **by)
            others = partial(self._others, of, changes.casks, partial(entry_rows, year=year or None))
            if one is not None and changes.alike and year not in changes.years:
                parts.keep(one)
            elif not self._spliced(of, one, others, {}, by, empty=False):
                self._put(of, entry_rows(self._whole, year or None), by, empty=False)
        if len(parts.files) == before:  # So that there is a table to read.
            self._put(of, (), {"year": None})

    def _others(self, of: Table, casks: set[str], rows: Callable[[Any], Iterable[Row]]) -> Others:
        """Cask → its rows now, none of one that has no more."""
        return {**{cask: [] for cask in casks}, **(dict(by_cask(of, rows(self._whole.of(sorted(casks))))) if casks else {})}

    def _day(self, of: Table) -> None:
        """A table that has a part for each day: those of other days stay, as many as are kept."""
        changes, day, name = self._changes, self._book.about["as_of"], of.name
        self._parts.keep_other_days(name)
        casks = changes.casks | (changes.judged if name == "due" else set())
        last = self._parts.there(name, as_of=self._last)
        if last is not None and not (changes.whole or changes.turned or casks):
            self._parts.keep(last)
            return
        others = partial(self._others, of, casks, lambda whole: self._rows(of, whole))
        daily = self._daily(of)[0] if changes.turned and self._splices else {}
        if not self._spliced(of, last, others, daily, {"as_of": day}):
            self._put(of, self._rows(of, self._whole), {"as_of": day})

    def _rows(self, of: Table, whole: Any) -> Iterable[Row]:
        return rows_of(whole, of.name, (), {})

    def _daily(self, of: Table, buckets: int = 1) -> dict[int, dict[str, list[Any]]]:
        """Bucket → column → its values, of the columns that are reckoned to the day."""
        daily = [one for one in of.fields if one.daily]
        found: dict[int, dict[str, list[Any]]] = {bucket: {one.name: [] for one in daily} for bucket in range(buckets)}
        for cask, *values in self._whole.rows(of.name, ["cask", *(one.source for one in daily)]) if daily else ():
            for column, value in zip(found[bucket_of(cask, buckets)].values(), values, strict=True):
                column.append(value)
        return found

    def _buckets(self, of: Table) -> None:
        """A table in buckets: those alone are written in which a cask has other rows, or in which the day itself makes them others."""
        changes, many = self._changes, self._changes.buckets
        ages = changes.turned and any(one.daily for one in of.fields)
        daily = self._daily(of, many) if ages and self._splices else {}
        others = {} if changes.whole else changes.others(of.name)
        for bucket in range(many):
            by = {"bucket": bucket}
            one, named = self._parts.there(of.name, **by), self._parts.named(of.name, **by) is not None
            if not changes.whole and not (bucket in others or ages) and (one is not None) == named:
                if one is not None:
                    self._parts.keep(one)
            elif not self._spliced(of, one, others.get(bucket, {}), daily.get(bucket, {}), by, empty=not bucket):
                rows = self._rows(of, self._whole.of(changes.of_bucket.get(bucket, ())))
                self._put(of, changes.noted(of, rows), by, empty=not bucket)

    def _gifts(self, of: Table) -> None:
        """Who gave parts to whom: one file, which stays where nobody has others."""
        known = self._parts.there(of.name)
        if known is not None and not (self._changes.whole or self._changes.gifts):
            self._parts.keep(known)
            return
        rows = list(self._rows(of, self._whole))
        self._changes.note_gifts(rows)
        self._put(of, rows, {})

    def _findings(self, of: Table) -> None:
        """The findings by the bucket of the cask that they are told of."""
        many = self._changes.buckets
        found: dict[int, list[Row]] = {bucket: [] for bucket in range(many)}
        for one in self._book.findings():
            found[bucket_of(one.cask, many)].append(finding_row(one))
        noted = self._changes.now["findings"] = [short_digest(found[bucket]) for bucket in range(many)]
        for bucket, rows in found.items():
            by = {"bucket": bucket}
            known = self._parts.there(of.name, **by)
            if known is not None and len(self._found) == many and self._found[bucket] == noted[bucket]:
                self._parts.keep(known)
            else:
                self._put(of, rows, by, empty=not bucket)
