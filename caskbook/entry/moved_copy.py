"""The copy of an entry on the cask it belongs to: what it says of other entries of the wrong cask is said of those of the right one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from caskbook.core.finding import CaskbookError
from caskbook.entry.in_place import free_reason
from caskbook.entry.page import Page, day_known, event_named
from caskbook.ledger.whole import whole_life
from caskbook.model.jobs import own_why
from caskbook.model.standing import corrections, own_reasons

if TYPE_CHECKING:
    from caskbook.ledger.files import Ledger
    from caskbook.life import Life
    from caskbook.model.jobs import Event

_OWN = ("id", "replaces")
_NAMING = ("of", "closes", "answers")
"""Fields in which an entry names others of its own cask."""


def moved_copy(ledger: Ledger, page: Page, event: Event, raw: Mapping[str, Any], right: Page, along: Mapping[str, str] | None = None) -> dict[str, Any]:
    """The keys of the copy on the page `right`, without its id. `raw` are those of the entry on the wrong page; `along`: of entries that
    are moved in the same run, their id there → that of their copy.

    CaskbookError where its day cannot be read, and where it names an entry that the right cask has no counterpart of: left out, the copy would
    say something else.
    """
    day_known(page.cask_id, event)
    copy = {key: value for key, value in raw.items() if key not in (*_OWN, *_NAMING)}
    if event.replaces and not (own_why(event.job) and not free_reason(event.job, event.why) or event.id in own_reasons(page.events)):
        copy.pop("why", None)  # Why the entry was put right; the copy stands in the place of none.
    for key in _NAMING:
        if key in raw:
            named = raw[key] if isinstance(raw[key], list) else [raw[key]]
            there = [part for one in named for part in _counterpart(ledger, page, event, right, key, str(one), along or {})]
            copy |= {name: [text for which, text in there if which == name] for name, _ in there} if isinstance(raw[key], list) else dict(there)
    return {**copy, "moved_from": f"{page.cask_id}/{event.id}"}


def _counterpart(ledger: Ledger, page: Page, event: Event, right: Page, key: str, text: str, along: Mapping[str, str]) -> list[tuple[str, str]]:
    """(field, value) that says of the right cask what EVENT, or EVENT/place, says of the wrong one: its own copy of that entry, or
    what is open there at the same place; of a look the place alone."""
    name, slash, place = text.partition("/")
    if name in along:
        return [(key, along[name] + slash + place)]
    fallen = corrections(right.events).fallen
    copy = next((one.id for one in right.events if one.moved_from == f"{page.cask_id}/{name}" and one.id not in fallen), None)
    if copy is not None:
        return [(key, copy + slash + place)]
    named = event_named(page, name)
    at = place or (event.job == "look" and getattr(event, "at", None)) or getattr(named, "at", None)
    if event.job == "look" and isinstance(at, str):
        return [("at", at)]
    found = {answer for where, answer in _open(whole_life(ledger, right.cask, event.date), key) if isinstance(at, str) and where == at}
    if len(found) == 1:
        return [(key, found.pop())]
    what = f"{named.job} of {named.date}" + (f" at {at}" if isinstance(at, str) else "") if named is not None else text
    lacking = f"{right.cask_id} has {'several' if found else 'none'} such"
    raise CaskbookError(f"`{key}` names the {what}, and {lacking}: void the entry on {page.cask_id}, and enter it anew on {right.cask_id}")


def _open(life: Life, key: str) -> Iterator[tuple[str, str]]:
    """(place, how `key` names it) of all that is open on the cask."""
    if key == "answers":
        yield from ((one.at, f"{one.event}/{one.at}") for one in life.state.defects)
    elif key == "closes":
        yield from ((one.at, one.event) for one in life.state.leaks)
