"""The losses of many fills as an account: one row a fill, or a part of it, and their sums, in decimal arithmetic, so that what is
shown adds up to what is shown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from statistics import median
from typing import Literal, get_args

from caskbook.core.days import years_between
from caskbook.life import Life
from caskbook.loss.doubts import doubt_with
from caskbook.loss.fills import FillLoss, fill_losses
from caskbook.loss.intervals import GAIN, Interval
from caskbook.loss.parts import Division, Part, parts_of
from caskbook.loss.peers import PeerTable
from caskbook.loss.verdicts import Level, judge_fill

By = Literal["cask", "fill", "parcel", "store", "type", "year", "supplier"]
BY: tuple[By, ...] = get_args(By)
NONE = Decimal("0.00")


@dataclass(frozen=True, slots=True)
class FillRow:
    """One fill in the account, or what went of it in one store or year. `litres`, `lpa`: lost, to the hundredth; `put_in`: LPA at
    the first gauge and put in since; `held`: LPA that was there at the beginning, and put in since. Rates are fractions a year.

    None where there is no second gauge, or the figure is in doubt: then `doubt` is its kind and `reason` says more. `doubts`: what is
    to be said of the gauges. `times`: of what peers lose. `leaked`: of `lpa`, what went by a leak that is acted on, and `to_air` the rest. `complete`: gauged to the end of what is shown.
    """

    cask: str
    type: str
    parcel: str | None
    store: str | None
    band: str
    fill: str
    filled: date
    first: date | None
    last: date | None
    years: float | None
    litres: Decimal | None
    lpa: Decimal | None
    put_in: Decimal | None
    share: float | None
    per_year: float | None
    plus_minus: float | None
    after_in_drink: float | None
    after_plus_minus: float | None
    expected: float | None
    verdict: Level
    doubts: tuple[str, ...]
    supplier: str | None = None
    year: int | None = None
    held: Decimal | None = None
    times: float | None = None
    complete: bool = False
    doubt: str | None = None
    reason: str | None = None
    to_air: Decimal | None = None
    leaked: Decimal | None = None

    @property
    def which(self) -> tuple[str, str, date]:
        """What tells the fill from every other: of a cask with several files one id may have begun two."""
        return self.cask, self.fill, self.filled


@dataclass(frozen=True, slots=True)
class GroupRow:
    """Fills together. `fills` of which `gauged` twice or more; sums of what the rows show; the middle of their rates after
    in-drink, and of `times` what peers lose; how many are at act and at watch, gauged to the end, or in doubt and so in no sum."""

    name: str
    casks: int
    fills: int
    gauged: int
    litres: Decimal
    lpa: Decimal
    put_in: Decimal
    share: float | None
    middle: float | None
    act: int
    watch: int
    held: Decimal = NONE
    times: float | None = None
    complete: int = 0
    doubtful: int = 0
    to_air: Decimal = NONE
    leaked: Decimal = NONE


WHOLE = Division()


def rows_of(life: Life, peers: PeerTable, division: Division = WHOLE) -> list[FillRow]:
    """A row for every fill of a cask, oldest first, or for each part of it that counts."""
    return [row for loss in fill_losses(life) for row in _rows(life, loss, peers, division)]


def _rows(life: Life, loss: FillLoss, peers: PeerTable, division: Division) -> list[FillRow]:
    """The rows of one fill: one, or one a part."""
    head, record = life.cask.head, loss.record
    verdict = judge_fill(life, loss, peers)
    parts = parts_of(loss, life.day, division, verdict.leak if verdict.level == "act" else None)
    doubt = doubt_with(loss, verdict)
    kind, reason = doubt or (None, None)
    expected = verdict.expected.rate if verdict.expected else None
    found = []
    for part in parts:
        known = loss.whole if doubt is None and part.lpa is not None else None
        steady = known.steady if known else None
        found.append(FillRow(
            head.cask, head.type, head.parcel, part.store if division.by_place else record.store, record.band, record.filling.event, record.filling.start,
            part.first if known else None, part.last if known else None, _years(part) if known else None,
            part.litres if known else None, part.lpa if known else None, part.put_in if known else None,
            _share(known, part) if known else None, known.per_year if known else None, known.plus_minus if known else None,
            steady, known.steady_plus_minus if known else None, expected, verdict.level, _doubts(loss),
            head.supplier, part.year, part.held if known else None, steady / expected if steady is not None and expected else None,
            part.complete and known is not None, kind, reason, part.lpa - part.leaked if known and part.lpa is not None else None, part.leaked if known else None,
        ))  # fmt: skip
    return found


def _years(part: Part) -> float | None:
    return None if part.first is None or part.last is None else years_between(part.first, part.last)


def _share(whole: Interval, part: Part) -> float | None:
    """The share lost of what was there and put in: of a whole fill by what was measured, of a part by what is shown of it."""
    if (part.first, part.last) == whole.days:
        return whole.share
    return float(part.lpa / part.held) if part.lpa is not None and part.held > 0 else None


def _doubts(loss: FillLoss) -> tuple[str, ...]:
    flags = {flag for one in loss.intervals for flag in one.flags}
    words = ["gain"] if GAIN in flags else []
    words += ["gauge set aside"] if loss.set_aside else []
    return (*words, *sorted(flags - {GAIN}))


def grouped(rows: Iterable[FillRow], by: By) -> list[GroupRow]:
    """The rows summed by what `by` names, in order of name."""
    found: dict[str, list[FillRow]] = {}
    for row in rows:
        found.setdefault(name_of(row, by), []).append(row)
    return [sum_of(name, found[name]) for name in sorted(found)]


def total(rows: Iterable[FillRow]) -> GroupRow:
    """All rows together."""
    return sum_of("all", list(rows))


def doubtful(rows: Iterable[FillRow]) -> list[FillRow]:
    """The fills that are in no sum, one row each."""
    return list({row.which: row for row in rows if row.doubt is not None}.values())


def name_of(row: FillRow, by: By) -> str:
    """The name of the group that a row belongs to."""
    if by == "fill":
        return f"{row.cask}/{row.fill}"
    value = getattr(row, by)
    return str(value) if value else f"(no {by})"


def sum_of(name: str, rows: Sequence[FillRow]) -> GroupRow:
    """Rows together under a name; of a fill in several rows everything but the sums counts once."""
    known = [row for row in rows if row.lpa is not None]
    lpa, litres, put_in, leaked = (_sum(known, key) for key in ("lpa", "litres", "put_in", "leaked"))
    held = _held(known)
    fills = {row.which: row for row in rows}
    gauged = {row.which: row for row in known}
    ended = fills.keys() - {row.which for row in rows if not row.complete}
    levels = [row.verdict for row in fills.values()]
    return GroupRow(
        name, len({row.cask for row in rows}), len(fills), len(gauged), litres, lpa, put_in, float(lpa / held) if held else None,
        _middle([row.after_in_drink for row in gauged.values()]), levels.count("act"), levels.count("watch"),
        held, _middle([row.times for row in gauged.values()]), len(ended), len(doubtful(rows)), lpa - leaked, leaked,
    )  # fmt: skip


def _sum(rows: Sequence[FillRow], key: str) -> Decimal:
    return sum((value for row in rows if (value := getattr(row, key)) is not None), NONE)


def _held(rows: Sequence[FillRow]) -> Decimal:
    """What was there at the beginning and put in since: what a fill took along from one of these parts into the next counts once."""
    last: dict[tuple[str, str, date], date] = {}
    held = NONE
    for row in sorted(rows, key=lambda row: (row.first or date.max, row.last or date.max)):
        fill = row.which
        goes_on = fill in last and row.first is not None and row.first <= last[fill]
        held += (row.put_in if goes_on else row.held) or NONE
        last[fill] = max(last.get(fill, date.min), row.last or date.min)
    return held


def _middle(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return median(known) if known else None
