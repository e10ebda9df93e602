"""What was done to a cask, job by job, as a reviewer reads it: "stave 1 replaced from TH-001187", "passed at 11 psi"."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from caskbook.ledger.lineage import life_before
from caskbook.life import corrections
from caskbook.life.facts import facts_of
from caskbook.life.least import since_char_least
from caskbook.model.cask import Cask
from caskbook.model.head_corrections import change_words
from caskbook.model.house import House
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import event_words, listed, plain
from caskbook.model.jobs.work import work_words
from caskbook.words.job_table import row_of
from caskbook.words.plural import number_of

_ORDINALS = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


def phrase(event: Event, cask: Cask, house: House, joined: Sequence[Cask] = ()) -> str:
    """One job in a few words, and what it says of the work. The cask, the files joined to it and the house serve where its meaning lies
    in the life before it."""
    said, work = _phrase(event, cask, house, joined), "" if event.codes else work_words(event)
    return f"{said}, {work}" if work else said


def _phrase(event: Event, cask: Cask, house: House, joined: Sequence[Cask]) -> str:
    special = _SPECIAL.get(event.job) if not event.codes else None
    if event.job == "char" and not event.codes:
        return _char(event, cask, house, joined)
    if special is not None:
        return special(event, cask, house)
    past = row_of(event.job).past or f"{event.job}:"
    said = event_words(event)
    return f"{past} {said}" if said else past.rstrip(":,")


def job_noun(job: str) -> str:
    """The job as the name of an entry: "emptying of 2026-11-02"."""
    return row_of(job).noun or job


def _test(event: Any, cask: Cask, house: House) -> str:
    at = listed([leak.at for leak in event.leaks or []])
    how = f" at {plain(event.psi)} psi" if event.psi is not None else " with water"
    if event.result == "fail":
        return f"FAILED{how}, leaked at {at}"
    if event.cured_by:
        return f"leaked at {at}, {'cured by driving' if event.cured_by == 'drive' else 'took up'}, passed{how}"
    return f"passed{how}"


def _char(event: Any, cask: Cask, house: House, joined: Sequence[Cask]) -> str:
    """How it was charred; of a re-char after how many fills, at least so many where not all are known."""
    said = "charred" + (f" {event.says()}" if event.says() else "")
    if all(one.id != event.id for one in cask.events) or event.id in corrections(cask.events).fallen:
        return said
    life = life_before(cask, house, event.date, event.id, joined)  # What is known now of that day: a void of later is timeless.
    after = facts_of(life_before(cask, house, event.date, f"{event.id}0", joined))  # No id lies between: a longer one never ends in 0.
    before = facts_of(life)
    known = before.fills_since_char
    fills = known if known is not None else before.fills_since_char_min or None
    if after.rechar_count and after.rechar_count < len(_ORDINALS) and fills is not None:
        least = "at least " if fills and (known is None or since_char_least(life)) else ""
        return f"{said}, its {_ORDINALS[after.rechar_count]} re-char after {least}{number_of(fills, 'fill')}"
    return said


def _nose(event: Any, cask: Cask, house: House) -> str:
    if event.verdict == "fault":
        return f"nosed, {listed(event.faults) or 'at fault'}; now tainted and held"
    return f"nosed {event.verdict}"


def _stave(event: Any, cask: Cask, house: House) -> str:
    done = {"replace": "replaced", "rejoint": "rejointed", "turn": "turned"}[event.action]
    origin = {"new": " with new wood", "unknown": " with wood of unknown past", None: ""}.get(event.from_, f" from {event.from_}")
    return f"stave{'s' * (len(event.staves) > 1)} {listed(list(event.staves))} {done}{origin}"


def _drive(event: Any, cask: Cask, house: House) -> str:
    return f"{listed(event.hoops)} driven" if event.hoops else "all hoops driven"


def _correct(event: Any, cask: Cask, house: House) -> str:
    return f"corrected: {change_words(cask.written, cask.events, event)}"


def _plain(event: Any, cask: Cask, house: House) -> str:
    return str(event.says())


_SPECIAL: dict[str, Callable[[Any, Cask, House], str]] = {
    "test": _test, "nose": _nose, "stave": _stave, "drive": _drive, "open": _plain, "close": _plain, "flag": _plain, "correct": _correct,
}  # fmt: skip
