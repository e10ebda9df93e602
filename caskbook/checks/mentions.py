"""Which other casks a file speaks of: when one of these changes, the findings of this file may change too."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from caskbook.checks.donors import TAKING
from caskbook.model.cask import Cask

_NO_CASK = (None, "new", "unknown", "reused")


def mentions(cask: Cask) -> frozenset[str]:
    """The numbers of the casks that the findings of this one depend on, voided entries included."""
    return frozenset(number for event in cask.events for number in _named(event)) - {cask.id}


def _named(event: Any) -> Iterator[str]:
    """The numbers of the casks that one event names: donors, parents, children, the other side of a racking, of a move or of a join."""
    job = event.job
    if job in TAKING and event.from_ not in _NO_CASK:
        yield event.from_
    elif job == "made-from":
        yield from (share.cask for share in event.parents if share.cask)
    elif job == "convert":
        yield from event.children
    elif job in ("rack-out", "rack-in"):
        yield from (part.cask for part in (event.to if job == "rack-out" else event.from_))
    elif job in ("moved", "same-as", "swap-heads"):
        yield event.to if job == "moved" else event.of if job == "same-as" else event.with_
    elif job == "receive" and event.instead_of:
        yield event.instead_of
    if event.moved_from:
        yield event.moved_from.partition("/")[0]
