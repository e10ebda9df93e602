"""A correction of the head before it is written: it changes something, and the head that it makes can be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from caskbook.core.finding import CaskbookError
from caskbook.entry.page import Page
from caskbook.entry.refusal import CaskRefusedError, refuse_cask
from caskbook.model.cask import read_event
from caskbook.model.cask_file import Record
from caskbook.model.head_corrections import change_words
from caskbook.model.jobs.cask_head import KEYS, corrected_value, key_word, lacks_litres, value_words

if TYPE_CHECKING:
    from collections.abc import Iterable

_PLACEHOLDER = "a0000000"


def litres_lacking(page: Page, data: Mapping[str, Any], typed: Iterable[str]) -> bool:
    """Whether a corrected type wants its litres too. CaskbookError where nothing is corrected, CaskRefusedError where a key that was typed
    holds that value already."""
    if all(data.get(key) is None for key in KEYS):
        raise CaskbookError(f"{page.cask_id}: say what is corrected, as --type hogshead --capacity 250 (caskbook enter correct --help)")
    event, _ = read_event({"id": _PLACEHOLDER, **{key: value for key, value in data.items() if value is not None}}, ("events", 0))
    if event is None or event.codes:
        return False
    head = page.cask.head
    for key in typed:
        new = getattr(event, key, None) if key in KEYS else None
        if new is not None and (value := corrected_value(key, new)) == getattr(head, key):
            message = f"{key_word(key)} is {value_words(key, value)} already"
            remedy = "leave it out, or the casks of which it is so: behind a range or a parcel, as `except CASK`"
            raise CaskRefusedError(refuse_cask(page.cask_id, "correct", "correction-without-effect", message, remedy))
    kind, litres = (getattr(event, key) or getattr(head, key) for key in ("type", "capacity_l"))
    return lacks_litres(kind, litres) is not None


def head_like(record: Record, *, child: bool = False) -> dict[str, Any]:
    """What a new file says of a cask like this one: its head as corrected, without what is its own alone; of one made from others (`child`)
    without what it was before, which its parents tell."""
    data = dict(record.content or {})
    if record.cask is not None and record.cask.head.lost:
        lost = ", ".join(sorted(record.cask.head.lost))
        raise CaskbookError(f"{record.name}: its head cannot be read whole ({lost}), so no other cask is like it: caskbook check {record.name}")
    for one in record.cask.corrected if record.cask else ():
        data[one.key] = data["events"][one.row][one.key]
        if one.new is None:
            del data[one.key]
    own = ("cask", "format", "was", "note", "events", *(("prior", "charred") if child else ()))
    return {key: value for key, value in data.items() if key not in own}


def correction_says(page: Page, event_id: str) -> str:
    """What a correction that lies on the page changes there: old and new."""
    cask = page.cask
    event = next(one for one in cask.events if one.id == event_id)
    return change_words(cask.written, cask.events, event)


def without_effect(page: Page, job: str) -> tuple[str, str] | None:
    """What to say of a correction on the page that would not count, because one with a larger id stands."""
    for event in page.added if job == "correct" else ():
        counting = {one.key: one.event.id for one in page.cask.corrected}
        for key in KEYS:
            if event.get(key) is not None and counting.get(key, event["id"]) != event["id"]:
                return f"{key_word(key)} was corrected by {counting[key]}, which counts before this", f"enter it with --replaces {counting[key]}"
    return None
