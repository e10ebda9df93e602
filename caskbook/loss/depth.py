"""How deep a cask is where it is dipped, and dips that are deeper."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Any

from caskbook.gauging.inside import most_mm
from caskbook.life import Life
from caskbook.model.cask import CaskHead
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import plain
from caskbook.words import CASK_TYPES
from caskbook.words.job_table import jobs_with

_BERTHED = frozenset(jobs_with("berthed"))
DIPS = ("wet_mm", "dry_mm")


class Depth:
    """The depth of a cask, as one entry after the other tells it: the bung diameter lying, the length standing. Where nobody wrote how it lies, it is
    taken as on its bilge, as the loss account takes it; where it was not measured, the most that a cask of its litres can have."""

    def __init__(self, head: CaskHead) -> None:
        kind = CASK_TYPES.get(head.type)
        self._litres = head.capacity_l or (kind.litres if kind else None)
        self._mm: dict[str, float] = {}
        self._stow: str | None = None
        self._unread: set[str] = set()

    def note(self, event: Event, unread: Collection[str] = ()) -> None:
        """What an entry tells of it; `unread`: fields of it that cannot be read, from which on nobody knows."""
        e: Any = event
        if event.job == "measure":
            self._litres = e.capacity_l or self._litres
            self._mm |= e.dims_mm.across() if e.dims_mm is not None else {}
            self._lose("dims_mm", e.dims_mm, unread)
            self._lose("capacity_l", e.capacity_l, unread)
        elif event.job in _BERTHED:
            self._stow = e.stow or self._stow
            self._lose("stow", e.stow, unread)

    def _lose(self, field: str, value: object, unread: Collection[str]) -> None:
        if field in unread or "*" in unread:
            self._unread.add(field)
        elif value is not None:
            self._unread.discard(field)

    @property
    def mm(self) -> float | None:
        """How deep it is, or can be; None where that is not known."""
        way = "length" if (self._stow or "").startswith("upright") else "bung"
        if self._unread & {"dims_mm", "stow"} or ("capacity_l" in self._unread and way not in self._mm):
            return None
        return self._mm[way] if way in self._mm else most_mm(way, self._litres) if self._litres else None

    def deeper(self, gauge: Any) -> Iterator[tuple[str, str]]:
        """(field, what is wrong) of each dip of a gauge that is deeper than the cask."""
        most = self.mm
        for name in DIPS:
            value = getattr(gauge, name)
            if most is not None and value is not None and value > most:
                yield name, f"{name.removesuffix('_mm')} dip {plain(value)} mm: the cask is {self._told(most)} mm deep"

    def _told(self, most: float) -> str:
        return plain(round(most, 1)) if most in self._mm.values() else f"at most {most:.0f}"


def depth_at(life: Life, event_id: str | None = None) -> Depth:
    """The depth of the cask when this event was entered (None: on the day of the life)."""
    depth = Depth(life.cask.head)
    for event in life.events:
        if event.id == event_id:
            break
        depth.note(event, event.lost)
    return depth
