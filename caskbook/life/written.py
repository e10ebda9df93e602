"""Every entry of a cask with the file in which it stands, whether it counts or not: for showing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from caskbook.life.fold import Life
from caskbook.life.order import in_order_of_work
from caskbook.model.cask import Cask, in_rows
from caskbook.model.jobs import Event
from caskbook.model.standing import Corrections, corrections


@dataclass(frozen=True, slots=True)
class OneFile:
    """A file of a cask. What an entry of it names is one of the same file: `by_id`; `fallen`: id → id of the one that put it out of force there."""

    number: str
    by_id: Mapping[str, Event]
    fallen: Mapping[str, str]


class Written(NamedTuple):
    """An entry as it stands in a file."""

    event: Event
    file: OneFile


def written(life: Life) -> list[Written]:
    """All entries of all files, those out of force, of no known job and of later days too: in the order of the file where there is one, else in that of the work."""
    found = _of_file(life.cask, life.corrections)
    for other in life.others:
        found += _of_file(other, corrections(other.events))
    return sorted(found, key=lambda one: in_order_of_work(one.event)) if life.others else found


def _of_file(cask: Cask, put_right: Corrections) -> list[Written]:
    events = in_rows(cask)
    file = OneFile(cask.id, {event.id: event for event in events}, put_right.fallen)
    return [Written(event, file) for event in events]
