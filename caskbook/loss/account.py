"""The losses of many fills as an account: one row a fill, or a part of it, and their sums, in decimal arithmetic, so that what is
shown adds up to what is shown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Literal, NamedTuple, get_args

from caskbook.core.days import years_between
from caskbook.life import Life
from caskbook.loss.account_fill import AccountFill, Judged, account_fill, in_doubt, judged
from caskbook.loss.account_rows import FillRow, GroupRow
from caskbook.loss.fills import fill_losses
from caskbook.loss.parts import Division, Part, parts_of
from caskbook.loss.peers import PeerTable
from caskbook.loss.sums import Sums, together
from caskbook.loss.verdicts import judge_fill

By = Literal["cask", "fill", "parcel", "store", "type", "year", "supplier"]
BY: tuple[By, ...] = get_args(By)


WHOLE = Division()


class Whose(NamedTuple):
    """The cask of a fill."""

    cask: str
    type: str
    parcel: str | None
    supplier: str | None


def whose(life: Life) -> Whose:
    """The cask of a life."""
    head = life.cask.head
    return Whose(head.cask, head.type, head.parcel, head.supplier)


def rows_of(life: Life, peers: PeerTable, division: Division = WHOLE) -> list[FillRow]:
    """A row for every fill of a cask, oldest first, or for each part of it that counts."""
    told = ((account_fill(loss), judged(judge_fill(life, loss, peers))) for loss in fill_losses(life))
    return [row for fill, found in told for row in fill_rows(whose(life), fill, found, life.day, division)]


def fill_rows(cask: Whose, fill: AccountFill, judged: Judged, day: date, division: Division) -> list[FillRow]:
    """The rows of one fill up to a day: one, or one a part."""
    doubt = in_doubt(fill, judged)
    kind, reason = doubt or (None, None)
    expected = judged.expected
    found = []
    for part in parts_of(fill, day, division, judged.gone):
        known = fill.rates if doubt is None and part.lpa is not None else None
        steady = known.steady if known else None
        found.append(FillRow(
            cask.cask, cask.type, cask.parcel, part.store if division.by_place else fill.store, fill.band, fill.fill, fill.start,
            part.first if known else None, part.last if known else None, _years(part) if known else None,
            part.litres if known else None, part.lpa if known else None, part.put_in if known else None,
            _share(fill, part) if known else None, known.per_year if known else None, known.plus_minus if known else None,
            steady, known.steady_plus_minus if known else None, expected, judged.level, fill.doubts,
            cask.supplier, part.year, part.held if known else None, steady / expected if steady is not None and expected else None,
            part.complete and known is not None, kind, reason, part.lpa - part.leaked if known and part.lpa is not None else None, part.leaked if known else None,
        ))  # fmt: skip
    return found


def _years(part: Part) -> float | None:
    return None if part.first is None or part.last is None else years_between(part.first, part.last)


def _share(fill: AccountFill, part: Part) -> float | None:
    """The share lost of what was there and put in: of a whole fill by what was measured, of a part by what is shown of it."""
    course, rates = fill.course, fill.rates
    if course is not None and rates is not None and (part.first, part.last) == (course.whole.first.day, course.whole.last.day):
        return rates.share
    return float(part.lpa / part.held) if part.lpa is not None and part.held > 0 else None


def grouped(rows: Iterable[FillRow], by: By) -> list[GroupRow]:
    """The rows summed by what `by` names, in order of name."""
    found: dict[str, list[FillRow]] = {}
    for row in rows:
        found.setdefault(name_of(row, by), []).append(row)
    return [_sum_of(name, found[name]) for name in sorted(found)]


def total(rows: Iterable[FillRow]) -> GroupRow:
    """All rows together."""
    return _sum_of("all", rows)


def _sum_of(name: str, rows: Iterable[FillRow]) -> GroupRow:
    sums = Sums()
    for some in by_cask(rows):
        sums.take(some)
    return sums.row(name)


def doubtful(rows: Iterable[FillRow]) -> list[FillRow]:
    """The fills that are in no sum, one row each."""
    return list({row.which: row for row in rows if row.doubt is not None}.values())


def by_cask(rows: Iterable[FillRow]) -> list[list[FillRow]]:
    """The rows of each cask by themselves, in the order in which the casks come first."""
    found: dict[str, list[FillRow]] = {}
    for row in rows:
        found.setdefault(row.cask, []).append(row)
    return list(found.values())


class Accounting:
    """The sums of casks, taken one after the other: of each group, and of all; and the fills that are in none, a row each. `apart`: all of them, where a cask may
    be in several groups or in none; else its group alone is summed."""

    def __init__(self, by: By, casks: Iterable[Sequence[FillRow]] = ()) -> None:
        self.by = by
        self.groups: dict[str, Sums] = {}
        self.apart = Sums() if by in ("store", "year", "fill") else None
        self.rows = 0
        self.doubtful: list[FillRow] = []
        for rows in casks:
            self.take(rows)

    @property
    def whole(self) -> Sums:
        """All of them together."""
        return together(self.groups.values()) if self.apart is None else self.apart

    def take(self, rows: Sequence[FillRow]) -> None:
        """All rows of one cask more."""
        if not rows:
            return
        names: dict[str, list[FillRow]] = {}
        for row in rows if self.by != "fill" else ():
            names.setdefault(name_of(row, self.by), []).append(row)
        for name, some in names.items():
            self.group(name).take(some)
        if self.apart is not None:
            self.apart.take(rows)
        self.rows += len(rows)
        self.doubtful += doubtful(rows)

    def group(self, name: str) -> Sums:
        """The sums of a group, none of it yet where it is new."""
        found = self.groups.get(name)
        if found is None:
            found = self.groups[name] = Sums()
        return found


def name_of(row: FillRow, by: By) -> str:
    """The name of the group that a row belongs to."""
    if by == "fill":
        return f"{row.cask}/{row.fill}"
    return named(getattr(row, by), by)


def named(value: object, by: By) -> str:
    """The name of the group of a value, be it none."""
    return str(value) if value else f"(no {by})"
