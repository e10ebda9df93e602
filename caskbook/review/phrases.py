"""What was done to a cask, job by job, as a reviewer reads it: "stave 1 replaced from TH-001187", "passed at 11 psi"."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.cask import Cask
from caskbook.model.head_corrections import change_words
from caskbook.model.house import House
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import listed, plain, told
from caskbook.words.plural import number_of

_ORDINALS = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")

# The past of a job, put before what the event says of itself.
_PAST = {
    "receive": "received:", "raise": "raised:", "convert": "converted", "made-from": "made", "examine": "examined:", "treat": "treated:",
    "soak": "soaked:", "hoop": "hoops replaced:", "bung": "bung hole", "shave": "shaved:", "toast": "toasted", "season": "seasoned:",
    "sulphur": "sulphured,", "measure": "measured:", "fill": "filled", "rack-out": "racked", "rack-in": "filled by racking", "draw": "drawn",
    "top": "topped:", "regauge": "regauged", "sample": "sampled,", "leak": "seen to leak:", "look": "looked at:", "empty": "emptied",
    "grade": "graded", "move": "moved", "send": "sent", "return": "came back:", "hold": "held:", "release": "released:", "mark": "marked:",
    "decide": "decided,", "retire": "retired:", "break-up": "broken up:", "dispose": "left the book:", "knock-down": "knocked down", "missing": "missing:",
    "found": "found", "same-as": "same cask as", "swap-heads": "heads swapped:", "peg": "pegged:", "flag": "flagged:", "head": "head", "note": "note:", "correct": "corrected:",
    "open": "opened:", "close": "closed:", "void": "voided", "moved": "moved:",
}  # fmt: skip
# The same of many casks, without what each event says.
MANY = {
    "receive": "received", "raise": "raised", "convert": "converted", "made-from": "made", "examine": "examined", "nose": "nosed", "treat": "treated",
    "soak": "soaked", "test": "tested", "drive": "driven", "hoop": "given new hoops", "stave": "given new or mended staves", "head": "worked on at a head",
    "flag": "flagged", "peg": "pegged", "bung": "worked on at the bung", "open": "opened", "close": "closed", "shave": "shaved", "toast": "toasted",
    "char": "charred", "season": "seasoned", "sulphur": "sulphured", "measure": "measured", "fill": "filled", "rack-out": "racked", "rack-in": "filled by racking",
    "draw": "drawn from", "top": "topped", "regauge": "regauged", "sample": "sampled", "leak": "seen to leak", "look": "looked at", "empty": "emptied",
    "grade": "graded", "move": "moved", "send": "sent away", "return": "back", "hold": "held", "release": "released", "mark": "marked",
    "decide": "decided on", "retire": "retired", "break-up": "broken up", "dispose": "out of the book", "knock-down": "knocked down", "missing": "missing",
    "found": "found", "same-as": "joined", "swap-heads": "given each other's heads", "note": "noted", "correct": "corrected",
}  # fmt: skip


def phrase(event: Event, cask: Cask, house: House) -> str:
    """One job in a few words. The cask and the house serve where its meaning lies in the life before it."""
    special = _SPECIAL.get(event.job) if not event.codes else None
    if special is not None:
        return special(event, cask, house)
    past = _PAST.get(event.job, f"{event.job}:")
    said = told(event)
    return f"{past} {said}" if said else past.rstrip(":,")


def job_noun(job: str) -> str:
    """The job as the name of an entry: "emptying of 2026-11-02"."""
    return {"empty": "emptying", "receive": "receipt", "fill": "filling", "examine": "examination", "nose": "nosing", "rack-in": "racking in",
            "rack-out": "racking out", "break-up": "breaking up", "stave": "stave work", "head": "head work", "open": "opening", "close": "closing"}.get(job, job)  # fmt: skip


def _test(event: Any, cask: Cask, house: House) -> str:
    at = listed([leak.at for leak in event.leaks or []])
    how = f" at {plain(event.psi)} psi" if event.psi is not None else " with water"
    if event.result == "fail":
        return f"FAILED{how}, leaked at {at}"
    if event.cured_by:
        return f"leaked at {at}, {'cured by driving' if event.cured_by == 'drive' else 'took up'}, passed{how}"
    return f"passed{how}"


def _char(event: Any, cask: Cask, house: House) -> str:
    said = "charred" + (f" {event.says()}" if event.says() else "")
    place = next((n for n, one in enumerate(cask.events) if one.id == event.id), None)
    if place is None:
        return said
    before = facts_of(live(replace(cask, events=cask.events[:place], rows=cask.rows[:place]), house, event.date))
    after = facts_of(live(replace(cask, events=cask.events[: place + 1], rows=cask.rows[: place + 1]), house, event.date))
    if after.rechar_count and after.rechar_count < len(_ORDINALS) and before.fills_since_char is not None:
        fills = before.fills_since_char
        return f"{said}, its {_ORDINALS[after.rechar_count]} re-char after {number_of(fills, 'fill')}"
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
    "test": _test, "char": _char, "nose": _nose, "stave": _stave, "drive": _drive, "open": _plain, "close": _plain, "flag": _plain, "correct": _correct,
}  # fmt: skip
