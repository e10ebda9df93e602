"""The stock carried forward month by month by the curves: how many are to be expected to come empty, at the limit, be filled, retired."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from caskbook.life.turns import Wood
from caskbook.stats.hazards import LEAST_ENDS, Curve
from caskbook.stats.outlook_book import Kind, OutlookBook, Tip
from caskbook.stats.outlook_curves import Curves
from caskbook.stats.stock import Limit

NOT_CHARRED, NOT_KNOWN = -2, -1
"""In the place of fills left to the limit: of a type that the house does not char, or that held wine; where the fills since char are not known."""
RECENT = 24
"""As many casks a month come in as in so many months before: a choice of this program, no source."""
LimitOf = Callable[[str], Limit | None]


class Place(NamedTuple):
    """Casks that are carried together: of a kind, with so many fills left to the limit, 0 at it. Of empty ones as it will be once they are filled."""

    kind: Kind
    left: int


class Charring(NamedTuple):
    """Shares of the emptied casks that were charred before they were filled again: of those `at` the limit, of the `others`; `seen`: how many at it."""

    at: float
    others: float
    seen: int


@dataclass
class Expected:
    """What is to be expected of one month. `unknown` and `not_charred`: tips of which no limit tells; `by_type`: type → tips; `full`: how many lie
    full at its beginning."""

    tips: float = 0.0
    at_limit: float = 0.0
    unknown: float = 0.0
    not_charred: float = 0.0
    fills: float = 0.0
    retired: float = 0.0
    full: float = 0.0
    by_type: dict[str, float] = field(default_factory=dict)


def left_of(wood: Wood, limit: Limit | None) -> int:
    """Fills left to the limit, 0 at it; where nobody knows whether the char is a re-char, to the higher one."""
    if limit is None or wood.wine:
        return NOT_CHARRED
    if wood.since is None:
        return NOT_KNOWN
    most = max(limit) if wood.again is None else limit.after_rechar if wood.again else limit.due_at
    return max(0, most - wood.since)


def charring_of(tips: Iterable[Tip], limit_of: LimitOf, first: int) -> Charring:
    """How many were charred, of those emptied from a month on and filled again since. At too few ends: all at the limit, and no others."""
    at, others = [0, 0], [0, 0]
    for tip in tips:
        left = left_of(tip.wood, limit_of(tip.type))
        if tip.charred is None or tip.month < first or left < 0:
            continue
        into = others if left else at
        into[0] += tip.many
        into[1] += tip.many * tip.charred
    known = at[0] >= LEAST_ENDS
    return Charring(at[1] / at[0] if known else 1.0, others[1] / others[0] if known and others[0] else 0.0, at[0])


class Flow:
    """The casks of a book carried forward from its day. `exposed`: by curve, how many cask-months were asked of each of its ages."""

    def __init__(self, book: OutlookBook, curves: Curves, limit_of: LimitOf, around: OutlookBook | None = None) -> None:
        """The casks as they stand, full and empty, each with its months so far. `around`: the book of all casks, which says how many are charred."""
        around = around or book
        self.curves, self.limit_of = curves, limit_of
        self.charring = charring_of(around.tips, limit_of, around.watched.first)
        self.full: dict[Place, list[float]] = {}
        self.empty: dict[Place, list[float]] = {}
        self.exposed: dict[int, tuple[Curve, list[float]]] = {}
        now = book.last + 1
        for one in book.full:
            _put(self.full, Place(one.kind, left_of(one.wood, limit_of(one.kind.type))), now - one.since, one.many)
        for one in book.empty:
            for left, share in self._refilled(one.kind.type, one.wood):
                _put(self.empty, Place(one.kind, left), now - one.since, one.many * share)
        self.coming = self._coming(book)

    def _coming(self, book: OutlookBook) -> list[tuple[bool, Place, float]]:
        """(full or empty, place, how many a month) of the casks that come in."""
        months = min(RECENT, book.watched.months)
        usual = _usual_spirits(book)
        found: Counter[tuple[bool, Place]] = Counter()
        for one in book.came:
            if book.last - months < one.month <= book.last:
                limit = self.limit_of(one.kind.type)
                kind = one.kind if one.full else Kind(one.kind.type, usual.get(one.kind.type, usual.get("", "")))
                found[one.full, Place(kind, left_of(_filled(one.wood), limit))] += one.many
        return [(full, place, count / months) for (full, place), count in found.items()]

    def _refilled(self, kind: str, wood: Wood) -> list[tuple[int, float]]:
        """(fills left once it is filled again, with what share) of a cask that came empty so, charred by then or not."""
        limit = self.limit_of(kind)
        left, after = left_of(wood, limit), left_of(_filled(wood), limit)
        if left == NOT_CHARRED or limit is None or wood.since == 0:
            return [(after, 1.0)]
        share = self.charring.others if left else self.charring.at
        return [(one, part) for one, part in ((left_of(Wood(1, True, False), limit), share), (after, 1 - share)) if part > 0]

    def month(self, part: float) -> Expected:
        """One month on, or this `part` of one."""
        found = Expected(full=sum(sum(ages) for ages in self.full.values()))
        for full, place, count in self.coming:
            _put(self.full if full else self.empty, place, 0, count * part)
        emptied = self._tip(part, found)
        for place, count in emptied.items():
            for left, share in self._again(place):
                _put(self.empty, Place(place.kind, left), 0, count * share)
        filled = self._fill(part, found)
        for places in (self.full, self.empty):
            for place in places:
                places[place].insert(0, 0.0)
        for place, count in filled.items():
            _put(self.full, place, 1, count)
        return found

    def _again(self, place: Place) -> list[tuple[int, float]]:
        """The same of a cask of which only the fills left are carried."""
        limit, left = self.limit_of(place.kind.type), place.left
        if limit is None or left == NOT_CHARRED:
            return [(left, 1.0)]
        fresh = left_of(Wood(1, True, False), limit)
        share = self.charring.at if left == 0 else self.charring.others
        return [(one, part) for one, part in ((fresh, share), (left if left < 0 else max(0, left - 1), 1 - share)) if part > 0]

    def _tip(self, part: float, found: Expected) -> dict[Place, float]:
        """The full ones that come empty, by place; `found` counts them."""
        emptied: dict[Place, float] = {}
        for place, ages in self.full.items():
            count = self._leave(self.curves.tip.of(place.kind).curve, ages, part)
            if not count:
                continue
            emptied[place] = count
            found.tips += count
            found.by_type[place.kind.type] = found.by_type.get(place.kind.type, 0.0) + count
            found.at_limit += count * (place.left == 0)
            found.unknown += count * (place.left == NOT_KNOWN)
            found.not_charred += count * (place.left == NOT_CHARRED)
        return emptied

    def _fill(self, part: float, found: Expected) -> dict[Place, float]:
        """The empty ones that are filled; those that are retired or go leave too."""
        filled: dict[Place, float] = {}
        for place, ages in self.empty.items():
            kind = Kind(place.kind.type, "")
            before = list(ages)
            count = self._leave(self.curves.fill.of(kind).curve, ages, part)
            out = [self._leave(pool.of(kind).curve, list(before), part) for pool in (self.curves.retire, self.curves.leaving)]
            left = sum(ages)
            if left > 0 and sum(out) > 0:
                keep = max(0.0, 1 - sum(out) / left)
                ages[:] = [one * keep for one in ages]
            filled[place] = count
            found.fills += count
            found.retired += out[0]
        return filled

    def _leave(self, curve: Curve, ages: list[float], part: float) -> float:
        """How many end in this month; they are taken out of `ages`."""
        rates, last = curve.rates, len(curve.rates) - 1
        if last < 0:
            return 0.0
        exposed = self.exposed.setdefault(id(curve), (curve, [0.0] * (last + 1)))[1]
        ended = 0.0
        for age, count in enumerate(ages):
            if count:
                at = age if age < last else last
                exposed[at] += count * part
                gone = count * rates[at] * part
                ended += gone
                ages[age] = count - gone
        return ended

    def sampling(self, wanted: Iterable[Curve], total: float) -> float:
        """The variance that these curves bring into a total, as a share squared, for each step of them is of so many ends only."""
        if not total:
            return 0.0
        found = 0.0
        for curve in {id(one): one for one in wanted}.values():
            steps: dict[tuple[float, float], float] = {}
            for rate, watched, exposed in zip(curve.rates, curve.at_risk, self.exposed.get(id(curve), (curve, []))[1], strict=False):
                steps[rate, watched] = steps.get((rate, watched), 0.0) + exposed
            found += sum(exposed**2 * rate * (1 - rate) / watched for (rate, watched), exposed in steps.items() if watched)
        return found / total**2


def _put(places: dict[Place, list[float]], place: Place, age: int, count: float) -> None:
    ages = places.setdefault(place, [])
    ages += [0.0] * (age + 1 - len(ages))
    ages[age] += count


def _filled(wood: Wood) -> Wood:
    return wood if wood.since is None else wood._replace(since=wood.since + 1)


def _usual_spirits(book: OutlookBook) -> Mapping[str, str]:
    """Type → what it held most often, under the empty word that of all."""
    found: dict[str, Counter[str]] = {}
    for kind, stretches in book.fills.items():
        count = sum(one.many for one in stretches)
        for name in (kind.type, ""):
            found.setdefault(name, Counter())[kind.spirit] += count
    return {name: max(sorted(spirits), key=lambda spirit: spirits[spirit]) for name, spirits in found.items()}
