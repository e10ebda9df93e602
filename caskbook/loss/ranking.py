"""The account put in order and cut to the first rows, what is left off summed in one row, so that the sums still close."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.loss.account import By, FillRow, GroupRow, doubtful, grouped, name_of, sum_of, total

OTHERS = "(others)"
GROUP_KEYS: Mapping[str, str] = {
    "name": "name", "casks": "casks", "fills": "fills", "gauged": "gauged", "held": "held", "put_in": "put_in", "litres": "litres", "lpa": "lpa",
    "share": "share", "rate": "middle", "times": "times", "act": "act", "watch": "watch", "doubtful": "doubtful",
}  # fmt: skip
FILL_KEYS: Mapping[str, str] = {
    "name": "cask", "filled": "filled", "years": "years", "held": "held", "put_in": "put_in", "litres": "litres", "lpa": "lpa",
    "share": "share", "rate": "after_in_drink", "times": "times",
}  # fmt: skip
_MOST_FIRST = (("lpa", True),)


@dataclass(frozen=True, slots=True)
class Account:
    """What is told: `rows` shown, a fill each or a group each; `others`: those left off, in one row; `whole`: all together; `doubtful`:
    fills in no sum. `since`, `until`: the days between which it went, None where all of it counts. `only`: the filters, in words."""

    by: By
    day: date
    rows: Sequence[FillRow] | Sequence[GroupRow]
    others: GroupRow | None
    left_off: int
    whole: GroupRow
    doubtful: Sequence[FillRow]
    since: date | None = None
    until: date | None = None
    only: tuple[str, ...] = ()


Order = Sequence[tuple[str, bool]]
"""Names of figures, and whether the largest comes first."""


def order_of(text: str | None, by: By, top: int | None) -> Order:
    """`share` or `-share,name`: a minus begins with the largest. Without a word the first ones are those that lost most, and all
    stand in order of name. CaskbookError for a name that is none of this account's, and for one given twice."""
    if text is None:
        return _MOST_FIRST if top is not None else ()
    keys = FILL_KEYS if by == "fill" else GROUP_KEYS
    order: list[tuple[str, bool]] = []
    for word in text.split(","):
        name = word.strip().removeprefix("-")
        if name not in keys:
            raise CaskbookError(f"--sort {word.strip()}: with --by {by} expected {', '.join(keys)}; a minus before it begins with the largest")
        if name in [known for known, _ in order]:
            raise CaskbookError(f"--sort {text}: {name} stands there twice; leave one of them out")
        order.append((name, word.strip().startswith("-")))
    return order


def account_of(
    rows: Sequence[FillRow],
    by: By,
    day: date,
    *,
    order: Order = (),
    top: int | None = None,
    span: tuple[date | None, date | None] = (None, None),
    only: tuple[str, ...] = (),
) -> Account:
    """The account of these rows: by fill as they are, else in groups, in order, `top` of them; what is left off is one row."""
    shown: list[Any] = list(rows) if by == "fill" else list(grouped(rows, by))
    keys = FILL_KEYS if by == "fill" else GROUP_KEYS
    for name, largest in reversed(order):
        shown = _sorted(shown, keys[name], largest=largest)
    kept = shown if top is None else shown[:top]
    rest = shown[len(kept) :]
    others = None
    if rest:
        names = {row.name for row in rest} if by != "fill" else set()
        others = sum_of(OTHERS, rest if by == "fill" else [row for row in rows if name_of(row, by) in names])
    return Account(by, day, kept, others, len(rest), total(rows), doubtful(rows), *span, only)


def _sorted(rows: list[Any], key: str, *, largest: bool) -> list[Any]:
    """In order of a figure, those of which it is not known at the end; of equal ones the order stays."""
    known = [row for row in rows if getattr(row, key) is not None]
    unknown = [row for row in rows if getattr(row, key) is None]
    return [*sorted(known, key=lambda row: getattr(row, key), reverse=largest), *unknown]
