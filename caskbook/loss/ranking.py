"""The account put in order and cut to the first rows, what is left off summed in one row, so that the sums still close."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import chain
from operator import itemgetter
from typing import Any, Protocol

from caskbook.core.finding import CaskbookError
from caskbook.loss.account import Accounting, By, by_cask, name_of
from caskbook.loss.account_rows import FillRow, GroupRow
from caskbook.loss.sums import Sums, together

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


_OF_SEVERAL = ("store", "year")
"""By these a cask, and a fill, may be in more than one group."""


class Casks(Protocol):
    """The fills of a book, cask by cask: they can be gone through again."""

    def __iter__(self) -> Iterator[Sequence[FillRow]]: ...
    def accounting(self, by: By) -> Accounting: ...


class InMemory:
    """The fills of a book that are held."""

    def __init__(self, rows: Iterable[FillRow]) -> None:
        self._casks = by_cask(rows)

    def __iter__(self) -> Iterator[Sequence[FillRow]]:
        return iter(self._casks)

    def accounting(self, by: By) -> Accounting:
        """All of them summed."""
        return Accounting(by, self._casks)


@dataclass(frozen=True, slots=True)
class AllFills:
    """Every row of a book, a fill each, made when it is looked at."""

    casks: Casks
    count: int

    def __len__(self) -> int:
        return self.count

    def __iter__(self) -> Iterator[FillRow]:
        return chain.from_iterable(self.casks)


@dataclass(frozen=True, slots=True)
class Account:
    """What is told: `rows` shown, a fill each or a group each; `others`: those left off, in one row; `whole`: all together; `doubtful`:
    fills in no sum. `since`, `until`: the days between which it went, None where all of it counts. `only`: the filters, in words."""

    by: By
    day: date
    rows: Sequence[FillRow] | Sequence[GroupRow] | AllFills
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
    rows: Iterable[FillRow],
    by: By,
    day: date,
    *,
    order: Order = (),
    top: int | None = None,
    span: tuple[date | None, date | None] = (None, None),
    only: tuple[str, ...] = (),
) -> Account:
    """The account of rows that are held, as `account_from` has it."""
    return account_from(InMemory(rows), by, day, order=order, top=top, span=span, only=only)


def account_from(
    casks: Casks,
    by: By,
    day: date,
    *,
    order: Order = (),
    top: int | None = None,
    most: int | None = None,
    span: tuple[date | None, date | None] = (None, None),
    only: tuple[str, ...] = (),
) -> Account:
    """The account of these casks: by fill as they are, else in groups, in order, `top` of them; what is left off is one row. `most`: of more rows than that
    so many are shown where no other number was asked for, those that lost most unless there is an order."""
    found = casks.accounting(by)
    count = found.rows if by == "fill" else len(found.groups)
    if top is None and most is not None and count > most:
        order, top = order or _MOST_FIRST, most
    rows, others, left_off = (_fills if by == "fill" else _groups)(casks, found, order, count if top is None else top)
    whole = found.apart if found.apart is not None else together((*found.groups.values(), *([others] if others is not None else [])))
    return Account(by, day, rows, None if others is None else others.row(OTHERS), left_off, whole.row("all"), found.doubtful, *span, only)


_Cut = tuple[Sequence[FillRow] | Sequence[GroupRow] | AllFills, Sums | None, int]


def _groups(casks: Casks, found: Accounting, order: Order, top: int) -> _Cut:
    """(the groups that are shown, what is left off summed, of how many groups that is)."""
    groups, names = found.groups, sorted(found.groups)
    for key, largest in reversed(order):
        names = _sorted(names, lambda name, key=GROUP_KEYS[key]: name if key == "name" else groups[name].figure(key), largest=largest)  # type: ignore[misc]
    others, left_off = None, max(0, len(names) - top)
    if left_off and found.by in _OF_SEVERAL:
        others, rest = Sums(), set(names[top:])
        for rows in casks:
            if some := [row for row in rows if name_of(row, found.by) in rest]:
                others.take(some)
    elif left_off:  # From here on all together are the others and the groups that are shown.
        shown = {name: groups.pop(name) for name in names[:top]}
        others = together(groups.values())
        found.groups = groups = shown
    return [groups[name].row(name) for name in names[:top]], others, left_off


def _fills(casks: Casks, found: Accounting, order: Order, top: int) -> _Cut:
    """The same of rows of a fill each: none is held but those that are shown."""
    if not order and top >= found.rows:
        return AllFills(casks, found.rows), None, 0
    keys = [FILL_KEYS[key] for key, _ in order]
    figures = [[getattr(row, key) for key in keys] for row in AllFills(casks, found.rows)]
    places = list(range(found.rows))
    for n, (_, largest) in reversed(list(enumerate(order))):
        places = _sorted(places, lambda place, n=n: figures[place][n], largest=largest)  # type: ignore[misc]
    shown: dict[int, FillRow | None] = dict.fromkeys(places[:top])
    others, at = Sums(), 0
    for rows in casks:
        numbered = list(enumerate(rows, at))
        at += len(rows)
        shown.update((place, row) for place, row in numbered if place in shown)
        if rest := [row for place, row in numbered if place not in shown]:
            others.take(rest)
    left_off = max(0, found.rows - top)
    return [row for row in shown.values() if row is not None], others if left_off else None, left_off


def _sorted(rows: list[Any], figure: Callable[[Any], Any], *, largest: bool) -> list[Any]:
    """In order of a figure, those of which it is not known at the end; of equal ones the order stays."""
    told = [(figure(row), row) for row in rows]
    known = sorted((one for one in told if one[0] is not None), key=itemgetter(0), reverse=largest)
    return [row for _, row in (*known, *(one for one in told if one[0] is None))]
