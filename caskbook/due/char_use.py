"""What the char of a cask, or its last fire, has been used for: the fills since, the house's limit for them, and how often it was charred again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from caskbook.due.case import Case, last_of
from caskbook.life.least import is_child
from caskbook.model.house import RecharRule
from caskbook.model.jobs.base import plain


@dataclass(frozen=True, slots=True)
class Count:
    """Fills since the last char (or fire): between `least` and `most`, None no bound; how many of them here; in words. `inherited`: those before are its
    highest parent's, so that it is a least figure, by which it is judged."""

    least: int
    most: int | None
    here: int
    since: str
    by_fire: bool
    inherited: bool = False

    @property
    def known(self) -> bool:
        """Whether it is one number."""
        return self.least == self.most


def limit_of(rule: RecharRule, again: bool) -> int:
    """From how many fills on the char it has now is used up; `again`: where that is a re-char."""
    return rule.after_rechar_due_at if again else rule.due_at


def charred_again(case: Case) -> set[bool]:
    """Whether the char it has now is a re-char; both where that cannot be told."""
    count = case.facts.rechar_count
    if count is not None:
        return {count > 0}
    return {True} if least_rechars(case)[0] else {True, False}


def count_of(case: Case) -> Count:
    """The fills that count against the limits, and since when: the last fire for casks that are not charred, else the last char."""
    facts, st = case.facts, case.st
    by_fire = case.life.cask.head.type in case.rules.rechar.off_types or st.wine_held is True
    count = facts.fills_since_fire if by_fire else facts.fills_since_char
    here = st.fills_since_fire if by_fire else st.fills_since_char
    past = st.past.last_fire if by_fire else st.past.last_char
    last, own = (facts.last_fire, st.last_fire) if by_fire else (facts.last_char, st.last_char)
    since = f"since {'fire' if by_fire else 'char'}"
    if last is not None:
        since += f" on {last}" + (" (about)" if own is None and past is not None and past.approximate else "")
    if count is not None:
        # Never charred, every fill of its life counts, short ones too.
        here = st.fills if facts.never_charred and not by_fire else here
        return Count(count, count, here, since, by_fire, inherited=count > here and is_child(case.life))
    # An inherited minimum is of fills in its life, not of those since the char.
    if facts.never_charred or (past is not None and last_of(case, "made-from") is None):
        return Count(here + st.past.fills_life_min, None, here, since, by_fire)
    return Count(here, facts.fills_life, here, since, by_fire)


def least_rechars(case: Case) -> tuple[int, date | None]:
    """(how many re-chars at least, the day of the last one here). Chars that found liquor held here are re-chars for sure."""
    return case.st.least_rechars, case.st.last_rechar


def barred_for_good(case: Case, count: Count) -> tuple[str, ...]:
    """Why the house's rule lets it be charred no more, whatever is mended: re-charred as often as it may be, or too thin."""
    most, floor, mm, found = case.rules.rechar.most_rechars, case.settings.stave_floor_mm, case.st.stave_mm, []
    rechars = least_rechars(case)[0]
    if rechars >= most and not count.by_fire:
        times = {1: "once", 2: "twice"}.get(rechars, f"{rechars} times")
        found.append(f"re-charred {times} already; house limit {most}")
    if floor is not None and mm is not None and mm < floor:
        found.append(f"staves {plain(mm)} mm, under the floor of {plain(floor)}")
    return tuple(found)
