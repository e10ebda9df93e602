"""The due rule `regauge`: how much is left, and how strong, is measured now and then."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from caskbook.core.days import add_years
from caskbook.due.case import Case, by_day
from caskbook.due.rule import Rule, any_of
from caskbook.due.verdict import OFF, Opinion, ok
from caskbook.life.carried import Filling
from caskbook.model.house import RegaugeRule, Settings
from caskbook.model.jobs import Event
from caskbook.model.jobs.spirit import Regauge
from caskbook.words.plural import number_of

SOON = 30


@dataclass(frozen=True, slots=True)
class _Gauge:
    """The last gauge of the fill: its day and strength, % vol, None where it is not known."""

    day: date
    abv: float | None
    job: str


_GAUGED = "gauged"


def regauge(case: Case) -> Opinion:
    """Gauge a filled cask again.

    What: litres and strength of the spirit in the cask.
    Why: a slow leak shows in figures before it shows on the floor, and spirit near 40 % vol must not fall below it unseen.
    When it is due: 5 years after filling, then every 3 years, counted from an earlier gauge too, but not before the 5th year;
    every year from the 15th; every year where the last gauge was under 43 % vol. For these two the filling counts as a gauge.
    Soon in the 30 days before. Unknown where the strength was never measured and a weak spirit would be due.
    What to do: caskbook enter regauge CASK.
    """
    if case.rules.regauge.off:
        return OFF
    filling = case.st.filling
    if filling is None or case.st.contents != "spirit":
        return ok("no spirit in it")
    last = _last_gauge(case, filling)
    days = _due_days(case.rules.regauge, filling.start, last)

    def falls_on(settings: Settings) -> date:
        return min(days if settings is case.settings else _due_days(settings.due.regauge, filling.start, last))

    opinion = by_day(case, falls_on, _reason(case.rules.regauge, filling.start, last, days), soon_days=SOON)
    if last.abv is None and opinion.verdict != "due":
        return _perhaps_weak(case, last, opinion)
    return opinion


def _last_gauge(case: Case, filling: Filling) -> _Gauge:
    for event in reversed(case.life.events[filling.seq - 1 :]):
        if event is case.life.events[filling.seq - 1]:
            return _Gauge(filling.start, filling.abv, "filled" if event.job == "fill" else "received" if event.job == "receive" else "racked in")
        if event.job == "regauge" and isinstance(event, Regauge):
            return _Gauge(event.date, event.abv, _GAUGED)
    return _Gauge(filling.start, filling.abv, "filled")


def _due_days(rule: RegaugeRule, start: date, last: _Gauge) -> list[date]:
    """The days each part of the rule would have it on; the first of them counts."""
    a_year_on = add_years(last.day, 1)
    first = add_years(start, rule.first_year)
    found = [max(first, add_years(last.day, rule.every_years)) if last.job == _GAUGED else first]
    found.append(max(add_years(start, rule.yearly_from), a_year_on))
    if last.abv is not None and last.abv < rule.yearly_under_abv:
        found.append(a_year_on)
    return found


def _reason(rule: RegaugeRule, start: date, last: _Gauge, found: list[date]) -> str:
    on = min(found)
    strength = f" at {last.abv:.1f} %" if last.abv is not None else ""
    what = f"{last.job} {last.day}{strength}" + (f", filled {start}" if last.job == _GAUGED else "")
    if len(found) == 3 and on == found[2]:
        return f"{what}: house gauges yearly under {rule.yearly_under_abv:g} %, next {on}"
    if on == found[1] and on < found[0]:
        return f"{what}: house gauges yearly from year {rule.yearly_from}, next {on}"
    return f"{what}: house gauges from year {rule.first_year}, every {number_of(rule.every_years, 'year')}, next {on}"


def _perhaps_weak(case: Case, last: _Gauge, opinion: Opinion) -> Opinion:
    """Spirit of unknown strength may be weak: from a year after the gauge nobody can tell."""
    turn = add_years(last.day, 1)
    turns = (*opinion.turns, turn)
    if case.day < turn:
        return Opinion(opinion.verdict, opinion.reasons, opinion.since, turns=turns)
    limit = case.rules.regauge.yearly_under_abv
    reason = f"{last.job} {last.day}, strength not known: house gauges yearly under {limit:g} %"
    return Opinion("unknown", (reason, *opinion.reasons), turns=turns)


def _another(case: Case, event: Event, seq: int) -> bool:
    """Another fill, or a gauge since, from which its years count anew."""
    return event.job == "regauge" or any(filling.seq == seq for filling in case.st.fillings)


REGAUGE = Rule("regauge", 5, regauge, any_of("receive", "fill", "rack-in", "regauge", "empty", "rack-out"), _another, jobs=("regauge",), kind="gauge")
