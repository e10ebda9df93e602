"""What the index knows of the casks whose work is to be planned."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

from caskbook.cli.choosing import passing
from caskbook.words.verdicts import chosen_verdicts

if TYPE_CHECKING:
    from caskbook.index.index import Index
    from caskbook.work.known import Known, Notes

_OWN = frozenset(("type", "berth"))
"""Filters that the verdicts themselves tell."""


def known_of(index: Index, filters: Mapping[str, Any], notes: Notes) -> Known:
    """What the index knows of the casks that pass the filters; `notes`: what was worked out of single files."""
    from caskbook.index.listing import Filter
    from caskbook.work.known import Known

    looked_up = passing(index, filters) if not filters.keys() <= _OWN else None
    taken = Filter((), tuple(filters.get("type", ())), tuple(filters.get("berth", ())), looked_up)
    counts, ahead = index.counts(taken), index.ahead()
    pressing, among = index.due(taken, chosen_verdicts()), None if looked_up is None else frozenset(looked_up)

    def turning(until: date) -> list[str]:
        return [cask for cask in ahead.turning(until) if among is None or cask in among]

    return Known(pressing, turning, taken.takes, counts.judged, counts.verdicts["unknown"], index.peers, ahead.work_minutes, ahead.turns, notes)
