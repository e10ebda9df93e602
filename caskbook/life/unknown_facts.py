"""Facts that are taken back: of a cask that is told in part, and of values that nobody wrote. `facts` is the `Facts` of `life/facts.py`, which imports this module."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from caskbook.core.days import UnknownDay
from caskbook.life.fold import Life
from caskbook.life.state import UNKNOWN, State
from caskbook.words.job_table import jobs_with

REASSURING: dict[str, Any] = {
    "state": "ready", "fitness": "ready", "examined": True, "proved": True, "test_valid": True, "test_needed": False, "taint": False, "wine_held": False,
    "marks": [], "open_defects": [], "open_leaks": [], "never_charred": False,
}  # fmt: skip
"""What lets a cask pass. An entry that nobody can read may have said the contrary."""
_CHANGES_STATE = frozenset(jobs_with("changes-state"))
COUNTED = (
    "fills", "fills_life", "fills_of_class", "fills_since_char", "fills_since_char_min", "fills_since_fire", "last_char", "last_char_approx", "last_fire", "char_count", "rechar_count",
    "years_since_char", "years_in_wood", "years_in_wood_since_char", "in_this_cask_years", "age_years", "oak_since", "minimum_age_on", "wood_left",
    "fills_life_min", "never_charred", "last_test", "test_age_days", "fails_this_visit", "treatments",
    "staves_replaced", "bung_stave_replacements", "original_stave_share", "hoops_replaced", "heads_replaced", "flagged", "donors",
)  # fmt: skip
"""What adds up over entries, or is the last of some, and what is worked out of it: a whole entry that cannot be read may have counted for it."""


def withhold(facts: Any, life: Life) -> None:
    """Of a cask that is told in part nothing is said that lets it pass; where whole entries or files are lacking, no count either."""
    for name, value in REASSURING.items():
        if getattr(facts, name) == value:
            setattr(facts, name, None)
    if life.lacks_entries:
        for name in (*COUNTED, "state", "fitness", "contents", "spirit"):
            setattr(facts, name, None)
    if life.out_of_reach:
        facts.whereabouts = facts.form = None
    if any("date" in event.lost and event.job in _CHANGES_STATE for event in life.events):
        facts.state = facts.contents = facts.spirit = facts.fitness = None


def forget(facts: Any, st: State) -> None:
    """What hangs on a value that nobody wrote is unknown."""
    filling = st.filling
    undated = [day for day in (filling and filling.start, st.oak_since) if isinstance(day, UnknownDay)]
    gone = set(st.unsure) | ({"in_this_cask_years", "age_years", "minimum_age_on", "years_in_wood", "years_in_wood_since_char"} if undated else set())
    if isinstance(facts.last_char, UnknownDay):
        gone |= {"years_since_char", "years_in_wood_since_char"}
    if st.last_test is not None and isinstance(st.last_test.date, UnknownDay):
        gone |= {"test_age_days"}
    if gone & {"years_in_wood_since_char"}:
        gone |= {"wood_left"}
    for name in gone:
        setattr(facts, name, None)
    for name in (field.name for field in fields(facts)):
        setattr(facts, name, known(getattr(facts, name)))


def known(value: Any) -> Any:
    """A fact as it is, each day and word that nobody wrote taken out of it, also inside its rows and maps."""
    if isinstance(value, UnknownDay):
        return None
    if isinstance(value, list):
        return [known(one) for one in value]
    if isinstance(value, dict):
        return {key: None if one == UNKNOWN else known(one) for key, one in value.items()}
    return value
