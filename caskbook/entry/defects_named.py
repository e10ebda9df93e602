"""What is open on a cask, named by its entry or its place."""

from __future__ import annotations

from caskbook.entry.page import Page
from caskbook.entry.plan import event_of_cask
from caskbook.entry.terms import TypedError, spelled_out
from caskbook.life import Life
from caskbook.model.places import Frame, PlaceError, read_place
from caskbook.words.plural import number_of


def leak_or_event(page: Page, life: Life, text: str) -> str:
    """The entry that a leak is named by: its own name, or the place of one that is open. TypedError where that is none or several."""
    at = _as_place(text, life.state.frame)
    if at is None:
        return event_of_cask(page, text).id
    found = [leak.event for leak in life.state.leaks if leak.at == at]
    if len(found) != 1:
        raise TypedError(f"{number_of(len(found), 'leak') if found else 'no leak'} open at {at}: name the entry")
    return found[0]


def _as_place(text: str, frame: Frame) -> str | None:
    try:
        return str(read_place(spelled_out(text), frame))
    except PlaceError:
        return None


def defects_named(page: Page, life: Life, text: str) -> list[str]:
    """What `answers` holds: EVENT or EVENT/place, from an event, or from a place with something open."""
    event, _, place = text.partition("/")
    at = _as_place(text, life.state.frame)
    if at is None:
        return [event_of_cask(page, event).id + (f"/{place}" if place else "")]
    found = [f"{defect.event}/{at}" for defect in life.state.defects if defect.at == at]
    if not found:
        raise TypedError(f"nothing is open at {at} on {page.cask_id}")
    return found
