"""How long chars, casks and staves serve: spans of service of many casks put together in groups, each with its curve and its counts."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal, get_args

from caskbook.core.days import years_between
from caskbook.life.service import Service
from caskbook.stats.survival import LogRank, Median, RiskSet, Span, Step, Subject, kaplan_meier, log_rank, median_of, well_held
from caskbook.words.plural import number_of

What = Literal["char", "cask", "stave"]
Unit = Literal["years", "fills"]
By = Literal["type", "store", "supplier", "maker", "wood", "owner", "parcel", "char", "position", "ledger"]
WHAT: tuple[What, ...] = get_args(What)
BY_OF_SEVERAL: tuple[By, ...] = get_args(By)
"""Where several ledgers are told of, of which each cask then has its own among its facts."""
BY: tuple[By, ...] = BY_OF_SEVERAL[:-1]
FACTS = ("type", "supplier", "maker", "wood", "owner", "parcel")
"""The facts of a cask by which its spans may be grouped."""
ONLY_OF: Mapping[By, What] = {"char": "char", "position": "stave"}
LEAST_ENDS, LEAST_AT_RISK = 20, 10
"""From how many ends on a curve is given, and over which ages: where so many are at risk. Common practice, no source."""
UNKNOWN = "?"
_ROUND = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500, 1000)
NOT_WATCHED = {"years": "over on the day they came", "fills": "no fill since they came"}
NO_FILLS = "fills before us not known"
Row = tuple[Mapping[str, Any], Sequence[Service]]
"""The facts of a cask, and its spans."""


@dataclass(frozen=True, slots=True)
class Served:
    """What a group says. `watched`: how many spans, ended or not; `ends`: by kind, the most frequent first; `stretch`: over which times enough are
    at risk, and `steps` the curve there; both and `median` None or empty where `few` says why there is no curve."""

    name: str
    watched: int
    ends: Mapping[str, int]
    stretch: Span | None
    steps: tuple[Step, ...]
    median: Median | None
    few: str = ""
    risk: RiskSet = field(default_factory=lambda: RiskSet(()), compare=False, repr=False)

    @property
    def ended(self) -> int:
        """How many ended, in whatever way."""
        return sum(self.ends.values())

    @property
    def censored(self) -> int:
        """How many had not ended when they were last seen."""
        return self.watched - self.ended

    @property
    def ended_in_stretch(self) -> int:
        """How many of the ends the curve is made of."""
        return sum(step.ends for step in self.steps)

    def ages(self, most: int) -> list[float]:
        """Round ages within the stretch, `most` at the most."""
        if self.stretch is None:
            return []
        first, last = max(0.0, self.stretch.since or 0.0), self.stretch.until
        step = next((step for step in _ROUND if (last - first) / step <= most - 1), _ROUND[-1])
        return [float(n * step) for n in range(math.ceil(first / step), int(last // step) + 1)]

    def at_risk(self, age: float) -> int:
        """How many are at risk just before an age of the stretch, at its beginning just after."""
        begins = self.stretch is not None and self.stretch.since is not None and age <= self.stretch.since
        return self.risk.after(age) if begins else self.risk.at(age)


@dataclass(frozen=True, slots=True)
class Account:
    """All that is told of one kind of thing. `groups` are the `whole` divided by `by`; `apart`: spans that count from the receipt, for nobody
    knows when the cask was made; `left_out`: why → how many are in no figure; `about`: of how many the beginning is known to the month
    or year only; `tested` and `small`: groups in the test, and those with too few ends for it."""

    what: What
    unit: Unit
    by: By | None
    whole: Served
    groups: tuple[Served, ...]
    apart: Served | None
    left_out: Mapping[str, int]
    about: int
    test: LogRank | None = None
    tested: tuple[str, ...] = ()
    small: tuple[str, ...] = ()


def account_of(rows: Iterable[Row], what: What, day: date, *, unit: Unit = "years", by: By | None = None, stores: Sequence[str] = ()) -> Account:
    """The account of these casks on a day. `stores`: only spans of which the last berth lies in one of them."""
    left_out: Counter[str] = Counter()
    whole: list[Subject] = []
    apart: list[Subject] = []
    named: dict[str, list[Subject]] = {}
    about = 0
    for facts, spans in rows:
        for span in spans:
            if span.what != what or (stores and not span.lacks and span.store not in stores):
                continue
            one = _timed(span, day, unit)
            if isinstance(one, str):
                left_out[one] += span.weight
            elif span.received:
                apart.append(one)
            else:
                whole.append(one)
                named.setdefault(_group(span, facts, by), []).append(one)
                about += span.weight if span.about else 0
    groups = tuple(served(name, named[name]) for name in sorted(named, key=lambda name: (name == UNKNOWN, name))) if by else ()
    test, tested, small = _tested(groups)
    all_of_them = served("all", whole)
    return Account(
        what, unit, by, all_of_them, groups, served("from receipt", apart) if apart else None, dict(left_out.most_common()), about, test, tested, small
    )


def _group(span: Service, facts: Mapping[str, Any], by: By | None) -> str:
    if by is None:
        return ""
    value = span.sort if by in ONLY_OF else span.store if by == "store" else facts[by]
    return UNKNOWN if value is None or value == "" else str(value)


def _timed(span: Service, day: date, unit: Unit) -> Subject | str:
    """A span with its times; why it has none, where it has none."""
    if span.lacks or span.start is None:
        return span.lacks
    if unit == "fills":
        if span.fills is None:
            return NO_FILLS
        subject = Subject(span.fills_in, span.fills, span.kind, span.weight)
    else:
        entry = None if span.entry is None else years_between(span.start, span.entry)
        subject = Subject(entry, years_between(span.start, span.end or day), span.kind, span.weight)
    return subject if subject.watched else NOT_WATCHED[unit]


def served(name: str, subjects: Sequence[Subject]) -> Served:
    """What a group of spans says, with a curve where it has ends enough."""
    ends: Counter[str] = Counter()
    for one in subjects:
        if one.kind:
            ends[one.kind] += one.weight
    watched, ended = sum(one.weight for one in subjects), ends.total()
    by_kind = dict(sorted(ends.items(), key=lambda pair: (-pair[1], pair[0])))
    if ended < LEAST_ENDS:
        return Served(name, watched, by_kind, None, (), None, f"{number_of(ended, 'end')}: too few for a curve; {LEAST_ENDS} wanted")
    risk = RiskSet(subjects)
    stretch = well_held(risk, LEAST_AT_RISK)
    if stretch is None:
        return Served(name, watched, by_kind, None, (), None, f"never {LEAST_AT_RISK} at risk at an end: no curve", risk)
    steps = tuple(kaplan_meier(risk, since=stretch.since, until=stretch.until))
    return Served(name, watched, by_kind, stretch, steps, median_of(steps), risk=risk)


def _tested(groups: Sequence[Served]) -> tuple[LogRank | None, tuple[str, ...], tuple[str, ...]]:
    """The test of the groups with ends enough, their names, and those of the others; what is not known is no group."""
    known = [one for one in groups if one.name != UNKNOWN]
    large = {one.name: one.risk for one in known if one.ended >= LEAST_ENDS}
    small = tuple(one.name for one in known if one.name not in large)
    return (log_rank(large) if len(large) > 1 else None), tuple(large), small


def overview(rows: Sequence[Row], day: date, stores: Sequence[str] = ()) -> tuple[Account, ...]:
    """Each kind of thing in one account, staves by bung stave and others."""
    return tuple(account_of(rows, what, day, by="position" if what == "stave" else None, stores=stores) for what in WHAT)
