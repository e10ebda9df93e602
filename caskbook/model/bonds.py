"""What a file says of itself and another one: that two numbers are one cask, and that an entry was moved."""

from __future__ import annotations

from caskbook.model.cask import Cask
from caskbook.model.joins import GIVEN, HELD, TAKEN
from caskbook.model.standing import corrections


def bonds_of(cask: Cask) -> list[str]:
    """What the standing entries of a file say: numbers that are the same cask, then the moves of entries: `>TH-004218/e1000001`, given to it;
    `<TH-004217/e1000001`, taken from it, or with `-` a copy that is out of force again."""
    if not any(event.job in ("same-as", "moved") or event.moved_from for event in cask.events):
        return []
    fallen = corrections(cask.events).fallen
    standing = sorted((event for event in cask.events if event.id not in fallen), key=lambda event: (event.date, event.id))
    numbers = [str(event.of) for event in standing if event.job == "same-as" and event.of]  # type: ignore[attr-defined]
    given = [f"{GIVEN}{event.to}/{event.of}" for event in standing if event.job == "moved" and event.to and event.of]  # type: ignore[attr-defined]
    taken = [f"{HELD if event.id in fallen else TAKEN}{event.moved_from}" for event in cask.events if event.moved_from]
    return [*numbers, *sorted({*given, *taken})]
