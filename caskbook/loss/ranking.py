"""The account put in order and cut to the first rows, what is left off summed in one row, so that the sums still close."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import chain, islice
from operator import itemgetter
from typing import Any, Protocol

from caskbook.core.finding import CaskbookError
from caskbook.loss.account import Accounting, By, by_cask, name_of
from caskbook.loss.account_fill import hundredths
from caskbook.loss.account_rows import FillRow, GroupRow
from caskbook.loss.sums import Sums, together, without

OTHERS = "(others)"
GROUP_KEYS: Mapping[str, str] = {
    "name": "name", "casks": "casks", "fills": "fills", "gauged": "gauged", "held": "held", "put_in": "put_in", "litres": "litres", "lpa": "lpa",
    "share": "share", "rate": "middle", "times": "times", "act": "act", "watch": "watch", "doubtful": "doubtful",
}  # fmt: skip
FILL_KEYS: Mapping[str, str] = {
    "name": "cask", "filled": "filled", "years": "years", "held": "held", "put_in": "put_in", "litres": "litres", "lpa": "lpa",
    "share": "share", "rate": "after_in_drink", "times": "times",
}  # fmt: skip
Order = Sequence[tuple[str, bool]]
"""Names of figures, and whether the largest comes first."""
_MOST_FIRST = (("lpa", True),)


_MORE = 1000
"""So many rows more than are shown are held at least, before they are cut."""
_OF_SEVERAL = ("store", "year")
"""By these a cask, and a fill, may be in more than one group."""


class Bar:
    """How far a figure of a row has to go to be shown: `name` is the figure by which rows are sorted first, litres in hundredths. All are taken until it is set."""

    def __init__(self, order: Order) -> None:
        first, self._largest = order[0]
        self.name, self._alone = FILL_KEYS[first], len(order) == 1
        self._worst: Any = None
        self._set = False

    def set(self, worst: FillRow) -> None:
        """From here on only what is before this row is taken; what is as far as it goes where there is a second figure to sort by."""
        self._worst, self._set = figure_of(worst, self.name), True

    def takes(self, figure: Any) -> bool:
        """Whether a row with this figure, behind all that were looked at, may be shown."""
        if not self._set:
            return True
        if figure == self._worst:
            return not self._alone
        if figure is None or self._worst is None:
            return figure is not None
        return bool(figure > self._worst if self._largest else figure < self._worst)


def figure_of(row: FillRow, name: str) -> Any:
    """A figure to sort by, litres in hundredths."""
    value = getattr(row, name)
    return hundredths(value) if isinstance(value, Decimal) else value


class Casks(Protocol):
    """The fills of a book, cask by cask: they can be gone through again."""

    def __iter__(self) -> Iterator[Sequence[FillRow]]: ...
    def accounting(self, by: By) -> Accounting: ...
    def promising(self, bar: Bar) -> Iterator[Sequence[FillRow] | int]:
        """The rows of each cask, or how many they are where the bar takes none of them."""


class InMemory:
    """The fills of a book that are held."""

    def __init__(self, rows: Iterable[FillRow]) -> None:
        self._casks = by_cask(rows)

    def __iter__(self) -> Iterator[Sequence[FillRow]]:
        return iter(self._casks)

    def accounting(self, by: By) -> Accounting:
        """All of them summed."""
        return Accounting(by, self._casks)

    def promising(self, bar: Bar) -> Iterator[Sequence[FillRow] | int]:
        """All of them, for they are there."""
        return iter(self._casks)


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
    """The same of rows of a fill each: none is held but those that are shown, and some that may be. What is left off is what all come to without the casks
    of the rows that are shown, and the others of these casks."""
    if not order and top >= found.rows:
        return AllFills(casks, found.rows), None, 0
    left_off = max(0, found.rows - top)
    best = _best(casks, order, top)
    if not left_off:
        return [rows[n] for _, rows, n in best], None, 0
    shown: dict[int, tuple[Sequence[FillRow], set[int]]] = {}
    for at, rows, n in best:
        shown.setdefault(at, (rows, set()))[1].add(n)
    touched, rest = Sums(), Sums()
    for rows, some in shown.values():
        touched.take(rows)
        if others := [row for n, row in enumerate(rows) if n not in some]:
            rest.take(others)
    return [rows[n] for _, rows, n in best], together((without(found.whole, touched), rest)), left_off


_Candidate = tuple[int, Sequence[FillRow], int]
"""The place of a cask, all its rows, and which of them it is."""


def _best(casks: Casks, order: Order, top: int) -> list[_Candidate]:
    """So many of the rows that come first in order. Those that may be shown are held, and cut to as many as are shown whenever there are some more."""
    if not order or top <= 0:
        return list(islice(((at, rows, n) for at, rows in enumerate(casks) for n in range(len(rows))), max(top, 0)))
    bar, best, room = Bar(order), list[_Candidate](), top + max(_MORE, top // 4)
    for at, rows in enumerate(casks.promising(bar)):
        if isinstance(rows, int):
            continue
        best += [(at, rows, n) for n, row in enumerate(rows) if bar.takes(figure_of(row, bar.name))]
        if len(best) > room:
            best = _first(best, order, top)
            bar.set(best[-1][1][best[-1][2]])
    return _first(best, order, top)


def _first(best: list[_Candidate], order: Order, top: int) -> list[_Candidate]:
    """In order, and cut to so many; where no figure decides, as they were."""
    for key, largest in reversed(order):
        best = _sorted(best, lambda one, name=FILL_KEYS[key]: getattr(one[1][one[2]], name), largest=largest)  # type: ignore[misc]
    return best[:top]


def _sorted(rows: list[Any], figure: Callable[[Any], Any], *, largest: bool) -> list[Any]:
    """In order of a figure, those of which it is not known at the end; of equal ones the order stays."""
    told = [(figure(row), row) for row in rows]
    known = sorted((one for one in told if one[0] is not None), key=itemgetter(0), reverse=largest)
    return [row for _, row in (*known, *(one for one in told if one[0] is None))]
