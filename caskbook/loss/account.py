"""The losses of many fills as an account: one row a fill, and their sums by cask, parcel or store, in decimal arithmetic, so that
what is shown adds up to what is shown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from statistics import median
from typing import Literal, get_args

from caskbook.life import Life
from caskbook.loss.fills import FillLoss, fill_losses
from caskbook.loss.intervals import GAIN
from caskbook.loss.peers import PeerTable
from caskbook.loss.verdicts import Level, judge_fill

By = Literal["cask", "fill", "parcel", "store"]
BY: tuple[By, ...] = get_args(By)
NONE = Decimal("0.00")


@dataclass(frozen=True, slots=True)
class FillRow:
    """One fill in the account. `litres`, `lpa`: lost, to the hundredth; `put_in`: LPA at the first gauge and put in since. Rates
    are fractions a year. None where there is no second gauge. `doubts`: in words."""

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


@dataclass(frozen=True, slots=True)
class GroupRow:
    """Fills together. `fills` of which `gauged` twice or more; sums of what the rows show; the middle of their rates after
    in-drink; how many are at act and at watch."""

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


def rows_of(life: Life, peers: PeerTable) -> list[FillRow]:
    """A row for every fill of a cask, oldest first."""
    return [_row(life, loss, peers) for loss in fill_losses(life)]


def _row(life: Life, loss: FillLoss, peers: PeerTable) -> FillRow:
    head, record, one = life.cask.head, loss.record, loss.whole
    verdict = judge_fill(life, loss, peers)
    known = one if one is not None and one.lost is not None else None
    return FillRow(
        head.cask, head.type, head.parcel, record.store, record.band, record.filling.event, record.filling.start,
        known.first.day if known else None, known.last.day if known else None, known.years if known else None,
        known.litres if known else None, known.lost if known else None, _put_in(loss) if known else None,
        known.share if known else None, known.per_year if known else None, known.plus_minus if known else None,
        known.steady if known else None, known.steady_plus_minus if known else None, verdict.expected.rate if verdict.expected else None, verdict.level, _doubts(loss),
    )  # fmt: skip


def _put_in(loss: FillLoss) -> Decimal:
    assert loss.whole is not None
    moved = [move.counted for move in loss.whole.moves if move.counted is not None and move.counted > 0]
    return sum(moved, loss.whole.first.counted or NONE)


def _doubts(loss: FillLoss) -> tuple[str, ...]:
    flags = {flag for one in loss.intervals for flag in one.flags}
    words = ["gain"] if GAIN in flags else []
    words += ["gauge set aside"] if loss.set_aside else []
    return (*words, *sorted(flags - {GAIN}))


def grouped(rows: Iterable[FillRow], by: By) -> list[GroupRow]:
    """The rows summed by cask, fill, parcel or store, in order of name."""
    found: dict[str, list[FillRow]] = {}
    for row in rows:
        found.setdefault(_name(row, by), []).append(row)
    return [_group(name, found[name]) for name in sorted(found)]


def total(rows: Iterable[FillRow]) -> GroupRow:
    """All rows together."""
    return _group("all", list(rows))


def _name(row: FillRow, by: By) -> str:
    names = {"cask": row.cask, "fill": f"{row.cask}/{row.fill}", "parcel": row.parcel or "(no parcel)", "store": row.store or "(no store)"}
    return names[by]


def _group(name: str, rows: list[FillRow]) -> GroupRow:
    known = [row for row in rows if row.lpa is not None]
    lpa = sum((row.lpa for row in known if row.lpa is not None), NONE)
    put_in = sum((row.put_in for row in known if row.put_in is not None), NONE)
    rates = [row.after_in_drink for row in known if row.after_in_drink is not None]
    levels = [row.verdict for row in rows]
    return GroupRow(
        name, len({row.cask for row in rows}), len(rows), len(known), sum((row.litres for row in known if row.litres is not None), NONE),
        lpa, put_in, float(lpa / put_in) if put_in else None, median(rates) if rates else None, levels.count("act"), levels.count("watch"),
    )  # fmt: skip


def in_percent(part: Decimal, whole: Decimal) -> Decimal:
    """How many percent, to the tenth, half up: by decimal, so that 0.29 of 1 is 29.0."""
    return (part * 100 / whole).quantize(Decimal("0.1"), ROUND_HALF_UP)
