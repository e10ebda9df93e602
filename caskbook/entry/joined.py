"""Entering on a number under which the cask's life does not go on: refused, with the number on which it does."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from caskbook.core.finding import CaskbookError
from caskbook.entry.refusal import Refusal, refuse
from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from caskbook.entry.entry import Entry
    from caskbook.entry.page import Page
    from caskbook.entry.request import Request

_Joins = Mapping[str, str]
_ALLOWED = frozenset({"same-as"}) | frozenset(jobs_with("corrects"))
"""Jobs that may be written under such a number all the same, as may what replaces an entry made under it: they put the numbers themselves, or that entry, right."""


def refuse_joined(joins_of: Callable[[], _Joins], page_of: Callable[[str], Page], request: Request) -> None:
    """CaskbookError for the first such number among the casks typed, before anything is asked; unless it shall be written anyway, which no correction of
    a head is that does not count."""
    anyway = request.anyway and "correct" not in request.jobs
    if anyway or all(job in _ALLOWED or request.one("replaces", job) for job in request.jobs):
        return
    joins = joins_of()
    for cask in (*request.casks, *(_typed_with(request) if joins else ())):
        if cask in joins and page_of(cask).old is not None:
            raise CaskbookError(_same_cask(cask, joins[cask], request.jobs[0]))


def joined_refusals(joins_of: Callable[[], _Joins], page_of: Callable[[str], Page], entries: Sequence[Entry], *, anyway: bool) -> dict[int, Refusal]:
    """Place in the run → why that entry is not written: it is on such a number, or joins one that is joined already.

    Every way of entering ends in a run, so this is where none is forgotten. What the run itself joins counts from its next entry on.
    """
    if all(entry.job != "same-as" and ((anyway and entry.job != "correct") or _allowed(entry)) for entry in entries):
        return {}
    joins, found = dict(joins_of()), {}
    for at, entry in enumerate(entries):
        refusal = (
            _join_refused(page_of, entry, joins) if entry.job == "same-as" else None if anyway and entry.job != "correct" else _refused(page_of, entry, joins)
        )
        if refusal is not None:
            found[at] = refusal
        elif entry.job == "same-as":
            joins[str(entry.data["of"])] = entry.cask
    return found


def _refused(page_of: Callable[[str], Page], entry: Entry, joins: _Joins) -> Refusal | None:
    """The refusal of work on a number that does not go on; one that the book does not have is joined to nothing."""
    if _allowed(entry) or entry.cask not in joins or page_of(entry.cask).old is None:
        return None
    return refuse(entry, "joined-number", _same_cask(entry.cask, joins[entry.cask], entry.job), "")  # No rule of the house: no finding stays of it.


def _allowed(entry: Entry) -> bool:
    return entry.job in _ALLOWED or entry.puts_right or bool(entry.data.get("replaces"))


def _join_refused(page_of: Callable[[str], Page], entry: Entry, joins: _Joins) -> Refusal | None:
    """The refusal of a second claim to a number: it would make both claims void of effect. A replacement of the first is none."""
    of = str(entry.data.get("of"))
    if of not in joins or any(event.id == entry.data.get("replaces") and getattr(event, "of", None) == of for event in page_of(entry.cask).events):
        return None
    goes_on = joins[of]
    remedy = (
        ""
        if goes_on == entry.cask
        else f"these are one cask too? caskbook enter same-as {goes_on} --of {entry.cask} --why …; else void the entry that joined {of}"
    )
    return refuse(entry, "joined-twice", f"{of} is joined already: its cask goes on as {goes_on}", remedy)


def _typed_with(request: Request) -> Sequence[str]:
    """Numbers of casks typed behind an option: what a racking fills, and with what a head is swapped."""
    from caskbook.entry.casks import read_casks

    words = [text for place in (("rack", "to"), ("swap-heads", "with")) for text in request.given.get(place, ())]
    return read_casks(words) if words else ()


def _same_cask(cask: str, goes_on: str, job: str) -> str:
    if job == "correct":
        return f"{cask} is the same cask as {goes_on}, whose head counts: caskbook correct {goes_on}"
    return f"{cask} is the same cask as {goes_on}: enter on that one, or add --anyway --why …"
