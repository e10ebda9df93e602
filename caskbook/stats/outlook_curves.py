"""The curves of an outlook: for each kind of cask its own where the book has ends enough, else that of its spirit, else that of all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from caskbook.life.turns import CAME, FILLED, GONE, RETIRED, TIP
from caskbook.stats.hazards import LEAST_ENDS, Curve, Stretch, Watched, curve_of
from caskbook.stats.outlook_book import Kind, OutlookBook

LAGS = 24
"""So many months after its coming or its emptying an examination or a test is still counted to it: a choice of this program, no source."""
_MISSED = "m"


@dataclass(frozen=True, slots=True)
class Named:
    """A curve and of what it is: `malt in barrel`, `malt`, `all`."""

    name: str
    curve: Curve


@dataclass(frozen=True, slots=True)
class Pool:
    """Stretches by kind, and how each ends: which curve stands for a kind. `own`: with a curve of its own, by kind; `wider`: by spirit."""

    everything: Named
    own: Mapping[Kind, Named] = field(default_factory=dict)
    wider: Mapping[str, Named] = field(default_factory=dict)

    def of(self, kind: Kind) -> Named:
        """The narrowest curve that has ends enough."""
        return self.own.get(kind) or self.wider.get(kind.spirit) or self.everything


def pool_of(stretches: Mapping[Kind, Sequence[Stretch]], how: str, watched: Watched) -> Pool:
    """The curves of all kinds, of spirits and of everything."""
    own, by_spirit = {}, dict[str, list[Stretch]]()
    for kind, found in sorted(stretches.items()):
        by_spirit.setdefault(kind.spirit, []).extend(found)
        curve = curve_of(found, how, watched)
        if curve.ends >= LEAST_ENDS:
            own[kind] = Named(f"{kind.spirit} in {kind.type}" if kind.spirit else kind.type, curve)
    wider = {spirit: Named(spirit, curve) for spirit, found in by_spirit.items() if spirit and (curve := curve_of(found, how, watched)).ends >= LEAST_ENDS}
    everything = curve_of([one for found in stretches.values() for one in found], how, watched)
    return Pool(Named("all", everything), own, wider)


@dataclass(frozen=True, slots=True)
class Lags:
    """How many of a job follow an emptying, or a coming, by months after it; `others`: so many a month beside."""

    job: str
    by_tip: tuple[float, ...]
    by_coming: tuple[float, ...]
    others: float
    seen: int


@dataclass(frozen=True, slots=True)
class Curves:
    """All that is estimated. `leaving`: gone, or missed, out of the empty ones; `dry`: leaks that are closed, by how long they were open; `leak`: leaks found
    in a month for each full cask, of so many `leaks` in so many `full_months`; `lags`: of each job that follows an emptying or a coming."""

    tip: Pool
    fill: Pool
    retire: Pool
    leaving: Pool
    dry: Curve
    leak: float
    leaks: int
    lags: tuple[Lags, ...]
    full_months: float


def curves_of(book: OutlookBook, jobs: Sequence[str]) -> Curves:
    """The curves of the months watched."""
    watched = book.watched
    empties = {Kind(kind, ""): found for kind, found in book.empties.items()}
    gone = {kind: [one._replace(how=GONE) if one.how == _MISSED else one for one in found] for kind, found in empties.items()}
    full = _full_months(book)
    leaks = sum(book.leaks_by_month)
    return Curves(
        pool_of(book.fills, TIP, watched), pool_of(empties, FILLED, watched), pool_of(empties, RETIRED, watched), pool_of(gone, GONE, watched),
        curve_of(book.leaks, TIP, watched), leaks / full if full else 0.0, leaks, tuple(_lags(book, job) for job in jobs), full,
    )  # fmt: skip


def _full_months(book: OutlookBook) -> float:
    """For how many months casks lay full, all together."""
    watched, found = book.watched, 0
    for stretches in book.fills.values():
        for start, end, _, count in stretches:
            found += count * max(0, min(watched.last, watched.last if end is None else end) - max(start, watched.first) + 1)
    return float(found)


def _lags(book: OutlookBook, job: str) -> Lags:
    """The looks that follow; each lag is of those visits that it had reached by the last month."""
    watched = book.watched
    tips = {tip.month: 0 for tip in book.tips}
    for tip in book.tips:
        tips[tip.month] += tip.many
    came = dict.fromkeys((one.month for one in book.came), 0)
    for one in book.came:
        came[one.month] += one.many
    by_visit = {TIP: [0] * LAGS, CAME: [0] * LAGS}
    others = seen = 0
    for (word, visit, lag, month), count in book.looks.items():
        if word != job or not watched.first <= month <= watched.last:
            continue
        seen += count
        if visit in by_visit and lag < LAGS:
            by_visit[visit][lag] += count
        else:
            others += count
    months = watched.months or 1
    return Lags(job, _shares(by_visit[TIP], tips, watched), _shares(by_visit[CAME], came, watched), others / months, seen)


def _shares(by_lag: Sequence[int], visits: Mapping[int, int], watched: Watched) -> tuple[float, ...]:
    found = []
    for lag, count in enumerate(by_lag):
        reached = sum(many for month, many in visits.items() if watched.first <= month + lag <= watched.last)
        found.append(count / reached if reached else 0.0)
    return tuple(found)
