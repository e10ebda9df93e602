"""What becomes unknown by an entry that lacks a sound value: facts that hang on it, and the reading that never lets a cask pass."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from caskbook.model.jobs import Event
from caskbook.model.jobs.base import Model
from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from caskbook.life.state import State
    from caskbook.model.cask import Cask

_SAY_NOTHING_OF_IT = frozenset((
    "by", "sheet", "source", "why", "note", "photo", "work_minutes", "material", "was", "maker", "owner", "parcel", "wood",
))  # fmt: skip
"""Fields on which no fact and no verdict hangs: what is lost in these leaves the cask as it was."""

_FILLS = ("fills", "fills_life", "fills_life_min", "fills_of_class", "fills_since_char", "fills_since_char_min", "fills_since_fire", "contents", "spirit")
_YEARS = ("years_in_wood", "years_in_wood_since_char", "in_this_cask_years", "age_years", "oak_since", "minimum_age_on")
_STAVES = ("staves_replaced", "bung_stave_replacements", "original_stave_share")
_FACTS: dict[str, dict[str, tuple[str, ...]]] = {
    "receive": {"contents": _FILLS, "spirit": ("spirit",), "form": ("form",), "findings": ("open_defects",), "date": _YEARS},
    "raise": {"staves": ("staves", "original_stave_share")},
    "knock-down": {"staves": ("staves", "original_stave_share")},
    "made-from": {"parents": ("donors",)},
    "examine": {"findings": ("open_defects",)},
    "test": dict.fromkeys(("result", "cured_by"), ("fails_this_visit",)),
    "hoop": {"hoops": ("hoops_replaced",), "from": ("donors",)},
    "stave": {"staves": _STAVES, "action": (*_STAVES, "donors"), "from": ("donors",), "staves_after": ("staves",)},
    "head": {"action": ("heads_replaced", "donors"), "head": ("heads_replaced",), "from": ("donors",)},
    "flag": {"at": ("flagged",)},
    "measure": {"staves": ("staves", "original_stave_share")},
    "char": {"date": ("fills_since_char", "fills_since_char_min", "years_in_wood_since_char")},
    "fill": {"vat": ("vat",), "date": _YEARS, "oak_since": _YEARS[3:]},
    "rack-in": {"date": _YEARS, "oak_since": _YEARS[3:]},
    "rack-out": {"left_l": ("contents", "spirit"), "date": _YEARS},
    "empty": {"date": _YEARS}, "dispose": {"date": _YEARS}, "convert": {"date": _YEARS},
    "look": {"seen": ("open_leaks",), "of": ("open_leaks",), "at": ("open_leaks",)},
}  # fmt: skip
_WITH_VERDICT = jobs_with("verdict")


def note_lost(st: State, event: Event) -> None:
    """After its effect: an entry without a sound value makes facts unknown, and calls for a new look or test where it could have
    told of a fault. A verdict that nobody can read is none."""
    lost, job = event.lost, event.job
    for field, facts in _FACTS.get(job, {}).items():
        if field in lost:
            st.unsure.update(facts)
    if job == "receive" and lost & {"contents", "spirit"}:
        st.wine_held = st.wine_held or None
    for name in lost & {"berth", "stow", "stave_mm", "soaked", "capacity_l", "tare_kg"} if job != "correct" else ():
        setattr(st, name, None)
    if job in _WITH_VERDICT and lost & {"verdict", "findings", "faults"}:
        st.exam = None
        st.clean_nose = False
    if job == "test" and lost & {"result", "leaks", "cured_by", "psi", "method"}:
        st.visit_structural = st.visit_structural or st.in_visit
    if "date" in lost and job in ("test", "examine", "nose"):
        st.proved = st.proved and job != "test"
        st.clean_nose = False


def sure_again(st: State, event: Event) -> None:
    """A whole entry of a job tells what an earlier one left unknown: an examination restates what is open, and
    who counts the staves how many there are."""
    if event.job == "examine" and not event.lost:
        st.unsure.discard("open_defects")
    if "staves" in _FACTS.get(event.job, {}).get("staves", ()) and getattr(event, "staves", None) is not None:
        st.unsure.discard("staves")


def unread_of(casks: Sequence[Cask], events: Sequence[Event], numbers: Mapping[int, str]) -> tuple[str, ...]:
    """What of these files and standing entries cannot be read and may have said anything, in words: "nose of 2026-11-03". `numbers`: by the identity
    of the entry the file in which it stands, where that is not the first."""
    faulty = [(event, numbers.get(id(event))) for event in events if event.codes and _may_matter(event)]
    found = [f"{event.job} of {_day_of(event)}{f' under {number}' if number else ''}" for event, number in faulty]
    for n, cask in enumerate(casks):
        whose = f" of {cask.id}" if n else ""
        found += [f"head{whose}"] if cask.head.codes and _may_matter(cask.head) else []
        found += [f"entries{whose}"] if n and not cask.events else []
        found += [f"entries with one id{whose}"] if len({event.id for event in cask.events}) < len(cask.events) else []
        found += [f"entry{whose} of no known job"] * len(cask.unread)
        found += [f"other side of a merge{whose}"] if cask.in_conflict else []
        found += [f"{cask.left_out}{whose}"] if cask.left_out else []
        found += [f"{words}{whose}" for words in cask.ahead]
    return tuple(found)


def lacks_entries(casks: Sequence[Cask]) -> bool:
    """Whether whole entries of these files are not read, or not told apart, so that nothing that is counted over entries is known."""
    return any(
        cask.ahead or cask.unread or cask.left_out or cask.in_conflict or (n and not cask.events) or len({event.id for event in cask.events}) < len(cask.events)
        for n, cask in enumerate(casks)
    )


def _day_of(event: Event) -> str:
    return "a day that cannot be read" if "date" in event.lost else str(event.date)


def _may_matter(faulty: Model) -> bool:
    return not faulty.lost or not faulty.lost <= _SAY_NOTHING_OF_IT or "unknown-key" in faulty.codes
