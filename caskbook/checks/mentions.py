"""Which other casks a file speaks of: when one of these changes, the findings of this file may change too."""

from __future__ import annotations

from collections.abc import Iterator

from caskbook.model.cask import Cask
from caskbook.model.jobs import Event


def mentions(cask: Cask) -> frozenset[str]:
    """The numbers of the casks that the findings of this one depend on, voided entries included."""
    return frozenset(number for event in cask.events for number in _named(event)) - {cask.id}


def _named(event: Event) -> Iterator[str]:
    yield from event.other_casks()
    if event.moved_from:
        yield event.moved_from.partition("/")[0]
