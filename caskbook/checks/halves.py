"""Which entry of another file is the other side of one of this file's: told by its id, which every side of a run shares."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from caskbook.model.jobs import Event

T = TypeVar("T")
Told = Sequence[tuple[Event, T]]


def other_half(event: Event, mine: Told[T], theirs: Told[T], alike: Callable[[T, T], bool]) -> T | None:
    """What the other file tells of this event; None where it tells nothing.

    `mine`: this file's entries that speak of the other cask, with what each tells; `theirs`: the other's that speak of this one. An
    equal id decides, and where several have it, as with one racking into two numbers of a cask, what they tell. Entries written by hand may have an id
    for each side: of a day, those that no id has paired are taken together, first those that tell alike, the rest in the order of the work. Each
    is the half of one entry only.
    """
    if same := [what for one, what in theirs if one.id == event.id]:
        return _paired([pair for pair in mine if pair[0].id == event.id], list(same), alike).get(id(event), same[0])
    known, claimed = {one.id for one, _ in theirs}, {one.id for one, _ in mine}
    waiting = [(one, what) for one, what in mine if one.date == event.date and one.id not in known]
    return _paired(waiting, [what for one, what in theirs if one.date == event.date and one.id not in claimed], alike).get(id(event))


def _paired(waiting: Told[T], free: list[T], alike: Callable[[T, T], bool]) -> dict[int, T]:
    """Entry, by its identity → what the other side tells of it: first those that tell alike, the rest in order."""
    pairs: dict[int, T] = {}
    for judge in (alike, lambda _, __: True):
        for own, what in waiting:
            found = next((at for at, other in enumerate(free) if judge(what, other)), None) if id(own) not in pairs else None
            if found is not None:
                pairs[id(own)] = free.pop(found)
    return pairs
