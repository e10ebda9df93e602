"""The due rule `retire`: the signs that a cask has had its day. The book proposes; a person signs."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from caskbook.core.days import add_days, add_years, parse_when
from caskbook.due.case import Case, fills
from caskbook.due.char_use import least_rechars
from caskbook.due.decided import decision
from caskbook.due.retire_words import summed
from caskbook.due.rule import Rule
from caskbook.due.spent_worn import MENDS, Sign, day_of, spent, worn
from caskbook.due.verdict import OFF, Opinion, ok
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import plain
from caskbook.model.jobs.bench import Nose, Test
from caskbook.words.plural import number_of

WINDOW_YEARS = 10


@dataclass(slots=True)
class Signs:
    """What speaks for retiring: `hard` signs are enough alone, of `points` it takes several; `unknown` ones may be points."""

    hard: list[Sign] = field(default_factory=list)
    points: list[Sign] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    turns: list[date] = field(default_factory=list)

    def add(self, found: Sign | str | None) -> None:
        """A point, what is not known of one, or nothing."""
        if isinstance(found, str):
            self.unknown.append(found)
        elif found is not None:
            self.points.append(found)

    def since(self, needed: int) -> date | None:
        """The day since when there has been enough; None while there is not."""
        days = [day for day, _ in self.hard]
        if len(self.points) >= needed:
            days.append(sorted(day for day, _ in self.points)[needed - 1])
        return min(days) if days else None

    def words(self) -> tuple[str, ...]:
        """Every sign, hard ones first."""
        return tuple(text for _, text in (*self.hard, *self.points))


@dataclass(slots=True)
class _Replaced:
    """Different staves replaced, of `total`, the most that it had when one of them was, and the day on which they came to the share."""

    first: int | None
    share: float
    total: int | None = None
    seen: set[int] = field(default_factory=set)
    reached: date | None = None

    def add(self, day: date, number: int, of: int | None) -> None:
        """One stave more, of so many; where nobody had counted yet, of as many as were counted first."""
        self.seen.add(number)
        self.total = max(self.total or 0, of or self.first or 0) or None
        if self.total and self.reached is None and len(self.seen) / self.total >= self.share - 1e-9:
            self.reached = day


def retire(case: Case) -> Opinion:
    """Propose that a cask be retired.

    What: a cask that has had its day goes out of use: as a donor of staves, or sold.
    Why: work and spirit put into a spent or unsound cask are lost; but only a person who has seen it can say so.
    When it is due: at once where a taint has outlived two treatments, the thinnest stave is under the floor of its type, or
    the liquor has soaked in beyond half the thickness. Else with two of these: 50 years old; spent: 6 fills in its life once it
    has been re-charred twice, or filled as often since char as due.rechar has it and not to be charred again; a third of its
    staves replaced within ten years, or half of them in its life; worn: staves less than 1 mm over the floor of its type, or one
    place mended in three visits; three fails in its last visit, or fails in three visits running; too much lost in two fills
    running. What is called spent and worn is common practice, its limits are the house's: no source. Unknown where one sign is
    there and another cannot be told. On a filled cask it waits for the emptying.
    What to do: look at its sheet, caskbook report retirement CASK; then caskbook enter retire CASK, signed, or keep it with
    caskbook enter decide CASK --rule retire. Without a cask, the report lists those proposed and those with one sign.
    """
    rule = case.rules.retire
    if rule.off:
        return OFF
    if "retired" in case.st.marks:
        return ok(f"retired {case.st.marks['retired'].since}")
    signs = signs_of(case)
    turns = tuple(signs.turns)
    since = signs.since(rule.points)
    if since is not None:
        reasons = (*signs.words(), summed(len(signs.points), len(signs.hard), rule.points, case.life.cask.id))
        if case.st.filled:
            return Opinion("at-emptying", reasons, turns=turns)
        return Opinion("due", reasons, max(since, case.st.emptied_on or since), turns=turns)
    total = summed(len(signs.points), 0, rule.points)
    if signs.points and len(signs.points) + len(signs.unknown) >= rule.points:
        return Opinion("unknown", (*signs.words(), *signs.unknown, total), turns=turns)
    return ok(*signs.words(), total, turns=turns)


def proposed(case: Case) -> tuple[tuple[str, ...], tuple[date, ...]]:
    """(the signs for which retirement is proposed and nobody has decided otherwise, the days on which that may change)."""
    rule = case.rules.retire
    if rule.off or "retired" in case.st.marks:
        return (), ()
    signs = signs_of(case)
    decide, turns = decision(case, RETIRE)
    stands = decide is None and signs.since(rule.points) is not None
    return (signs.words() if stands else ()), (*signs.turns, *turns)


def signs_of(case: Case) -> Signs:
    """Every sign there is, each with the day it showed."""
    hard, used_up, worn_out, fails = _of_all_days(case)
    signs = Signs(hard=hard)
    signs.add(_age(case, signs.turns))
    signs.add(used_up)
    signs.add(worn_out)
    signs.add(_patched(case, signs.turns))
    signs.add(fails)
    rule = case.rules.retire
    if case.excess_losses >= rule.loss_fills:
        ended = [filling.end for filling in case.st.fillings if filling.end]
        day = ended[-1] if ended else case.life.events[0].date
        signs.add((day, f"lost too much in {fills(case.excess_losses)} running; house limit {rule.loss_fills}"))
    return signs


def _of_all_days(case: Case) -> tuple[list[Sign], Sign | str | None, Sign | None, Sign | None]:
    """(hard signs, that it is used up, that it is worn, its fails): what no day changes while nothing is entered and the settings are the same."""
    found: tuple[list[Sign], Sign | str | None, Sign | None, Sign | None] | None = case.known.get("signs")
    if found is None:
        case.known["signs"] = found = _hard(case), _used_up(case), worn(case), _fails(case)
    return found


def taint_is_final(case: Case) -> tuple[bool, tuple[date, ...]]:
    """Whether the cask was nosed at fault again after as many treatments as the house gives it, and nobody decided to keep it."""
    decide, turns = decision(case, RETIRE)
    return not case.rules.retire.off and decide is None and _final_taint(case) is not None, turns


def _final_taint(case: Case) -> Sign | None:
    """Treatments count from the last clean nose on, and up to the nosing at which they had been enough and it was at fault."""
    limit = case.rules.retire.treatments
    if "tainted" not in case.st.marks or case.st.taint_treatments < limit:
        return None
    treated, found = 0, None
    for event in case.life.events:
        treated += event.job == "treat" and getattr(event, "against", None) == "taint"
        if isinstance(event, Nose) and event.verdict == "clean":
            treated, found = 0, None
        elif isinstance(event, Nose) and event.verdict == "fault" and treated >= limit:
            found = found or (event.date, f"still tainted {event.date}, after {number_of(treated, 'treatment')}; house limit {limit}")
    return found


def _hard(case: Case) -> list[Sign]:
    st, floor, soaked = case.st, case.settings.stave_floor_mm, case.rules.retire.soaked
    found = [_final_taint(case)]
    if floor is not None and st.stave_mm is not None and st.stave_mm < floor:
        day = day_of(case, "stave_mm")
        found.append((day, f"staves {plain(st.stave_mm)} mm on {day}, under the floor of {plain(floor)}"))
    if st.soaked is not None and st.soaked > soaked:
        day = day_of(case, "soaked")
        found.append((day, f"soaked {st.soaked:.2f} of the thickness on {day}; house limit {soaked:g}"))
    return [sign for sign in found if sign]


def _age(case: Case, turns: list[date]) -> Sign | str | None:
    limit, made = case.rules.retire.age_years, case.life.cask.head.made
    if made is None:
        return f"when it was made is not known; house limit {number_of(limit, 'year')}"
    when = parse_when(made)
    on = add_years(when.day, limit)
    turns.append(on)
    if case.day < on:
        return None
    about = " (about)" if when.approximate else ""
    return on, f"made {when.text}{about}, {number_of(limit, 'year')} old on {on}; house limit {limit}"


def _used_up(case: Case) -> Sign | str | None:
    """That it is spent, or has had the fills of a life: both are of what its wood has left to give, so they are one sign."""
    asked = [spent(case), _worn_out(case)]
    found = [one for one in asked if isinstance(one, tuple)]
    if found:
        return min(day for day, _ in found), "; ".join(text for _, text in found)
    return next((one for one in asked[::-1] if one is not None), None)


def _worn_out(case: Case) -> Sign | str | None:
    """Enough fills in its life, once it has been re-charred twice."""
    facts, limit = case.facts, case.rules.retire.life_fills
    known, most = facts.fills_life_min or 0, facts.fills_life
    rechars, last = least_rechars(case)
    if rechars >= 2 and known >= limit:
        day = max(last or case.life.events[0].date, _day_of_fill(case, limit))
        at_least = "" if most is not None else " at least"
        return day, f"{fills(known)} in its life{at_least}, after {rechars} re-chars; house limit {limit}"
    perhaps_charred = rechars >= 2 or facts.rechar_count is None
    perhaps_filled = most is None or most >= limit
    if perhaps_charred and perhaps_filled:
        return f"fills in its life or re-chars not known: at least {known} and {rechars}; house limit {limit} after the 2nd"
    return None


def _day_of_fill(case: Case, count: int) -> date:
    """The day of the fill that made it so many in its life, or of the first entry."""
    here = count - case.st.past.fills_life_min
    return case.st.fillings[here - 1].start if 0 < here <= len(case.st.fillings) else case.life.events[0].date


def _patched(case: Case, turns: list[date]) -> Sign | str | None:
    """Different staves replaced within the window, or in its life: one sign. A replacement leaves the window the day after ten years."""
    st, rule = case.st, case.rules.retire
    if not st.replaced_on:
        return None
    overs = [add_days(add_years(day, WINDOW_YEARS), 1) for day, *_ in st.replaced_on]
    turns += overs
    first = st.staves_first or (None if st.first_staves.taken_down else st.frame.staves)
    late, ever = _Replaced(first, rule.replaced_share), _Replaced(first, rule.replaced_share_life)
    for (day, number, of), over in zip(st.replaced_on, overs, strict=True):
        ever.add(day, number, of)
        if case.day < over:
            late.add(day, number, of)
    days = [one.reached for one in (late, ever) if one.reached is not None]
    within = f" within {WINDOW_YEARS} years" if late.reached or not days and late.seen else ""
    told = late if within else ever
    if days:
        return min(days), f"{len(told.seen)} of {told.total} staves replaced{within}; house limit {told.share:.0%}"
    if ever.total is None and ever.seen:
        return f"{number_of(len(told.seen), 'stave')} replaced{within}, of how many is not known"
    return None


def _fails(case: Case) -> Sign | None:
    """Fails of the last visits; the present one counts once it has been tested."""
    rule, visits = case.rules.retire, list(case.st.visits)
    if case.st.in_visit and not case.st.visit_fails and not _tested_in_visit(case):
        visits.pop()
    failed = next((e.date for e in reversed(case.life.events) if isinstance(e, Test) and (e.result == "fail" or e.cured_by)), None)
    if failed is None or not visits:
        return None
    if visits[-1] >= rule.fails_in_visit:
        return failed, f"{visits[-1]} failed tests in its last visit, to {failed}; house limit {rule.fails_in_visit}"
    running = visits[-rule.visits_with_fails :]
    if len(running) == rule.visits_with_fails and all(running):
        return failed, f"failed tests in {len(running)} visits running, to {failed}; house limit {rule.visits_with_fails}"
    return None


def _tested_in_visit(case: Case) -> bool:
    """By the order of the work: a cask may be tested and come back, or be emptied, on one day."""
    return case.st.last_test is not None and case.st.last_test.seq > case.st.visit_seq


def _new_sign(event: Event) -> bool:
    """Whether the event can be a sign by itself; filling a cask that was kept is none."""
    if isinstance(event, Test):
        return event.result == "fail" or event.cured_by is not None
    if event.job == "char" or event.job in MENDS:
        return True
    measured = getattr(event, "stave_mm", None) is not None or getattr(event, "soaked", None) is not None
    return measured or (isinstance(event, Nose) and event.verdict == "fault")


def _another(case: Case, event: Event, _: int) -> bool:
    """A sign that shows by this entry, or since."""
    signs = signs_of(case) if _new_sign(event) else Signs()
    return any(day >= event.date for day, _ in (*signs.hard, *signs.points))


RETIRE = Rule("retire", 4, retire, _new_sign, _another, jobs=("retire", "decide"), kind="retire", before_fill=True)
