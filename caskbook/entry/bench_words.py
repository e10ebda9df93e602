"""Words as they are said at the bench: what is asked about, and what is told where a word is none of the list."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from caskbook.entry.terms import Terms, TypedError, place
from caskbook.model.places import PlaceError
from caskbook.words import AmbiguousWord, UnknownWord, canonical, fold, kind_named, quoted

if TYPE_CHECKING:
    from caskbook.entry.fields import JobField

_HOOP_WORDS = {
    "chime": "chime",
    "head": "chime",
    "end": "chime",
    "quarter": "quarter",
    "french": "quarter",
    "bulge": "bulge",
    "bilge": "bulge",
    "belly": "bulge",
}
_SIDE_FIRST = re.compile(r"([ab])[\s-]*([1-9][0-9]?|[a-z]+)", re.IGNORECASE)
_SIDE_LAST = re.compile(r"([a-z]+)[\s-]+([ab])", re.IGNORECASE)
_LOOSE = ("loose", "slack", "loose-hoop", "loosehoop")


def said_of_words(word: str, fields: Sequence[JobField]) -> str | None:
    """What is asked about a word that stands without its option: which of several things, or the near one; None for another."""
    for one in fields:
        if one.vocabulary is None:
            continue
        try:
            canonical(one.vocabulary, word)
        except AmbiguousWord as error:
            return f"{one.option}: {error}"
        except UnknownWord as error:
            if error.nearest in one.words:
                return f"{quoted(word)} is not expected here: did you mean {one.option} {error.nearest}?"
    return None


def canonical_job(word: str) -> str | None:
    """The job of this word, None where it is none or several."""
    try:
        return canonical("job", word)
    except (AmbiguousWord, UnknownWord):
        return None


def nearest_job_hint(word: str) -> str:
    """ ": did you mean test?", or where the jobs are listed."""
    import difflib  # It is slow to load, and wanted only for a word that is not known.

    near = difflib.get_close_matches(word.casefold()[:40], kind_named("job").words, 1, 0.7)
    return f": did you mean {near[0]}?" if near else "; `caskbook enter --help` lists the jobs"


def unknown_hint(error: UnknownWord) -> str:
    """The words there are, where nothing is near: all of a short list, else where the list is read."""
    if error.nearest:
        return ""
    if error.words:
        return f": one of {', '.join(error.words)}"
    return " (caskbook explain defects lists them)" if " is no defect" in str(error) else ""


def nose_fault(text: str) -> str:
    """A fault of a nose; TypedError with what settles it for a word that tells of the wood, or of no fault."""
    if fold(text) == "dry":
        raise TypedError("'dry' is no smell: dried out is found by an examination; is the nose clean? Then --verdict clean")
    if fold(text) in ("sound", "clean", "sweet"):
        raise TypedError(f"{quoted(text)} is no fault: is the nose clean? Then --verdict clean, without faults")
    return canonical("nose_fault", text)


def refuse_no_leak(text: str, at: str) -> None:
    """TypedError for what stands behind the place of a leak and is none."""
    if at.startswith("hoop") and fold(text) in {fold(word) for word in _LOOSE}:
        raise TypedError(f"a loose hoop is no leak: name the joint that leaks, as joint-3; the hoop is told by an examination, as '{at} loose-hoop'")
    if re.match(r"(and|to|&|\+|-)\s*[0-9a-z]", text.casefold()):
        first, _, number = at.rpartition("-")
        other = f"{first}-{int(number) + 1}" if number.isdecimal() else "joint-15"
        raise TypedError(f"{quoted(text)} is no defect: each place by itself, as {at}, {other}")


def read_hoop(text: str, terms: Terms) -> list[str]:
    """One hoop as typed: A-1, A1, bulge A, A-quarter; TypedError that asks for the side, or tells how a hoop is named."""
    bare = re.sub(r"[\s_-]*hoops?[\s_-]*", " ", text.casefold()).strip()
    word = _HOOP_WORDS.get(bare)
    if word:
        raise TypedError(f"{quoted(text)}: which side? A-{word}, B-{word} or both: A-{word},B-{word} (A is the marked head)")
    first, last = _SIDE_FIRST.fullmatch(bare), _SIDE_LAST.fullmatch(bare)
    side, which = (first[1], first[2]) if first else (last[2], last[1]) if last else ("", "")
    which = _HOOP_WORDS.get(which, which)
    if not side or not (which.isdecimal() or which in _HOOP_WORDS):
        raise TypedError(f"{quoted(text)} is no hoop: as A-1, counted from the chime in on the side of head A, or A-bulge; or all")
    try:
        return [place(f"hoop-{side.upper()}-{which}", terms)]
    except PlaceError as error:
        raise TypedError(str(error)) from None
