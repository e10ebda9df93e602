"""Words that stand without their option behind a job: places (`flag X joint-3`, `open X A`), and `c` for leaked, driven and passed."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from caskbook.entry.fields import JobField
from caskbook.entry.terms import nearest_place, spelled_out
from caskbook.model.places import Frame, PlaceError, read_place
from caskbook.words import fold, is_known

Given = dict[tuple[str, str], list[str]]
"""(job, key) → typed texts, as a request holds them."""
_CURED = ("c", "cured", "tookup")
_ALL = ("all", "both")
_HOOP = re.compile(r"([ab])-?([1-9][0-9]?|chime|quarter|bulge)", re.IGNORECASE)


def take_place(jobs: Sequence[str], given: Given, word: str, fields: Callable[[str], Sequence[JobField]]) -> bool:
    """Whether the word is a place, a head or hoops for a field of one of the jobs, into which it then goes; what must be given first."""
    for job in jobs:
        for one in sorted(fields(job), key=lambda one: not one.must):
            fits = _FITS.get(one.kind)
            if fits is not None and fits(word) and (one.kind.endswith("s") or (job, one.key) not in given):
                given.setdefault((job, one.key), []).append(word)
                return True
    return False


def place_hint(jobs: Sequence[str], words: Sequence[str], fields: Callable[[str], Sequence[JobField]]) -> str:
    """The place that one of these words, none of them a cask, may be a slip of; empty where none is near, or no job has a field for one."""
    if not any(one.kind in _FITS for job in jobs for one in fields(job)):
        return ""
    near = next((found for word in words if (found := nearest_place(word)) and is_place(found)), "")
    return f"; did you mean the place {near}?" if near else ""


def take_cure(jobs: Sequence[str], given: Given, word: str) -> bool:
    """Whether the word says that a test leaked, was cured, and then passed: `c`, which is by driving, or took-up."""
    if "test" not in jobs or fold(word) not in _CURED or ("test", "result") in given:
        return False
    given["test", "result"] = ["pass"]
    given.setdefault(("test", "cured_by"), ["took-up" if fold(word) == "tookup" else "drive"])
    return True


def is_place(word: str) -> bool:
    """Whether the word is the place of a part: joint-3, j3, stave 14, croze-A-14, bung."""
    try:
        read_place(spelled_out(word), Frame())
    except PlaceError:
        return bool(re.match(r"(?i)hoop-", word))
    return True


def _is_head(word: str) -> bool:
    return fold(word) in ("both", "ab") or is_known("head", word)


def _is_hoop(word: str) -> bool:
    return fold(word) in _ALL or all(_HOOP.fullmatch(part) for part in word.split(","))


def _are_places(word: str) -> bool:
    return all(is_place(part) for part in re.split(r"[,;]", word) if part) and bool(word.strip(",;"))


_FITS: Mapping[str, Callable[[str], bool]] = {
    "place": is_place, "places": _are_places, "leaks": _are_places, "head": lambda word: is_known("head", word),
    "heads": lambda word: all(map(_is_head, word.split(","))), "hoops": _is_hoop,
}  # fmt: skip
