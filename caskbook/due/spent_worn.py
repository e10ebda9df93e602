"""Two signs for retiring that the record can prove with numbers: a cask is spent, or it is worn. What limits they have is common practice, no source."""

from __future__ import annotations

from datetime import date

from caskbook.due.case import Case, begins_visit, fills
from caskbook.due.char_use import Count, barred_for_good, charred_again, count_of, least_rechars, limit_of
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import plain
from caskbook.model.places import stave_number
from caskbook.words.job_table import jobs_with

Sign = tuple[date, str]
MENDS = jobs_with("mends-place")
_MENDS = frozenset(MENDS)


def spent(case: Case) -> Sign | str | None:
    """Filled as often since its char as the house fills one, and not to be charred again; what is not known of that, or nothing.

    Of casks that are not charred (`due.rechar.off_types`, or wine held) there is no such sign: nothing in the book bars another fire.
    """
    rule = case.rules.rechar
    if rule.off or case.st.form == "shook":
        return None
    count = count_of(case)
    if count.by_fire:
        return None
    limits = {limit_of(rule, again) + case.rules.retire.spent_over for again in charred_again(case)}
    bars = barred_for_good(case, count)
    if bars and count.least >= max(limits):
        at_least = "" if count.known and not count.inherited else "at least "
        what = "never charred" if case.facts.never_charred else count.since
        return _spent_since(
            case, count, max(limits)
        ), f"spent: {at_least}{fills(count.least)} {what}, house limit {max(limits)}; not to be charred again: {bars[0].replace('; ', ', ')}"
    perhaps_barred = bool(bars) or case.facts.rechar_count is None
    if perhaps_barred and (count.most is None or count.most >= min(limits)):
        return f"whether it is spent is not known: at least {fills(count.least)} since char, and at least {least_rechars(case)[0]} re-chars"
    return None


def _spent_since(case: Case, count: Count, limit: int) -> date:
    """The day of the fill that made the count reach the limit, or of the first entry; not before that of the bar."""
    st = case.st
    own = [filling.start for filling in st.fillings if filling.since_char and (case.facts.never_charred or not filling.short)]
    needed = limit - (count.least - count.here)
    first = case.life.events[0].date
    reached = own[needed - 1] if 0 < needed <= len(own) else first
    rechars, last = least_rechars(case)
    if rechars >= case.rules.rechar.most_rechars:
        return max(reached, last or first)
    return max(reached, day_of(case, "stave_mm"))


def day_of(case: Case, name: str) -> date:
    """The day of the last event that gave this figure."""
    return next(event.date for event in reversed(case.life.events) if getattr(event, name, None) is not None)


def worn(case: Case) -> Sign | None:
    """Staves hardly thicker than the floor of the type, or one place of it mended in visit after visit: one sign, however many of these there are."""
    found = [sign for sign in (_thin(case), _mended_again(case)) if sign is not None]
    return (min(day for day, _ in found), f"worn: {'; '.join(text for _, text in found)}") if found else None


def _thin(case: Case) -> Sign | None:
    """Staves under the floor are a sign of their own, which is enough alone."""
    floor, mm, margin = case.settings.stave_floor_mm, case.st.stave_mm, case.rules.retire.worn_margin_mm
    if floor is None or mm is None or not floor <= mm < floor + margin:
        return None
    day = day_of(case, "stave_mm")
    return day, f"staves {plain(mm)} mm on {day}, less than {plain(margin)} mm over the floor of {plain(floor)}"


def _mended_again(case: Case) -> Sign | None:
    """The place mended in the most visits, where these are as many as the house takes for a sign."""
    limit, visits = case.rules.retire.worn_visits, mended_in_visits(case)
    place = max(visits, key=lambda one: len(visits[one]), default="")
    if not place or len(visits[place]) < limit:
        return None
    days = visits[place]
    return days[limit - 1], f"{place} mended in {len(days)} visits to the bench, {days[0]} to {days[-1]}; house limit {limit}"


def mended_in_visits(case: Case) -> dict[str, list[date]]:
    """Place → the day of the first work on its wood in each visit in which it was mended, in the order of the work."""
    visit, found = 0, dict[str, dict[int, date]]()
    for event in case.life.events:
        visit += begins_visit(event)
        for place in _mended(event) if event.job in _MENDS else ():
            found.setdefault(place, {}).setdefault(visit, event.date)
    return {place: list(days.values()) for place, days in found.items()}


def _mended(event: Event) -> list[str]:
    """The places whose wood an entry of one of `MENDS` mends; a bung is replaced as a matter of course. What of its places cannot be read is none."""
    if event.lost & {"staves", "head", "which", "at", "action"}:
        return []
    if event.job == "bung":
        return [] if getattr(event, "action", None) == "replace" else event.places()
    if event.job == "stave":
        return list(dict.fromkeys(f"stave-{stave_number(name)[0]}" for name in event.staves))  # type: ignore[attr-defined]
    return list(dict.fromkeys(event.places()))
