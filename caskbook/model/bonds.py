"""What a file says of itself and another one: that two numbers are one cask, that an entry was moved, and what work both had a part in."""

from __future__ import annotations

import json
from hashlib import blake2b

from caskbook.model.cask import Cask
from caskbook.model.halves import SHARED, half_bonds
from caskbook.model.jobs import Event
from caskbook.model.joins import GIVEN, HELD, TAKEN
from caskbook.model.standing import corrections

_MAY_DIFFER = {
    "id", "by", "sheet", "source", "replaces", "moved_from", "why", "note", "photo", "work_minutes", "material",
    "of", "closes", "answers", "to", "from_", "with_", "parents", "children", "instead_of", "from_tainted", "inherited", "oak_since",
}  # fmt: skip
"""What a copy may say otherwise than the entry that was moved: who wrote it where, and what it names of other entries and casks, or was worked out of them."""

_BINDING = frozenset(("same-as", "moved", *SHARED))


def content_sign(event: Event) -> str:
    """A sign of what an entry says was done: a moved one and its copy have the same; of a look no place, for it may name the leak there."""
    aside = _MAY_DIFFER | ({"at"} if event.job == "look" else set())
    told = event.model_dump(mode="json", exclude=aside, exclude_none=True, exclude_defaults=True, warnings=False)
    return blake2b(json.dumps(told, sort_keys=True, default=str).encode(), digest_size=5).hexdigest()


def bonds_of(cask: Cask) -> list[str]:
    """What the standing entries of a file say: numbers that are the same cask, then the moves of entries: `>TH-004218/e1000001/SIGN`, given to it;
    `<TH-004217/e1000001/SIGN`, taken from it, or with `-` a copy that is out of force again. SIGN is that of what the entry says (`content_sign`), - for one
    that is not there. Last its sides of work that two files tell, as `half_bonds` writes them."""
    for event in cask.events:
        if event.job in _BINDING or event.moved_from:
            break
    else:
        return []
    fallen = corrections(cask.events).fallen
    standing = sorted((event for event in cask.events if event.id not in fallen), key=lambda event: (event.date, event.id))
    numbers = [str(event.of) for event in standing if event.job == "same-as" and event.of]  # type: ignore[attr-defined]
    entries = {event.id: event for event in cask.events}
    given = [f"{GIVEN}{event.to}/{event.of}/{_sign(entries.get(event.of))}" for event in standing if event.job == "moved" and event.to and event.of]  # type: ignore[attr-defined]
    taken = [f"{HELD if event.id in fallen else TAKEN}{event.moved_from}/{_sign(event)}" for event in cask.events if event.moved_from]
    return [*numbers, *sorted({*given, *taken}), *half_bonds(cask.events, fallen)]


def _sign(event: Event | None) -> str:
    return "-" if event is None else content_sign(event)
