"""What of the due list is wanted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from caskbook.words.due_names import EVERY_EMPTYING
from caskbook.words.verdicts import chosen_verdicts

if TYPE_CHECKING:
    from caskbook.index.listing import Filter

PAGES = ("markdown", "ics")
"""Formats for people's mail and calendars."""
_OWN = frozenset(("type", "berth", "cask"))
"""Filters that the verdicts themselves tell; by the others the casks are looked up first."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be told: the `rules` (all, if empty) on the casks that pass the `filters`, of these `verdicts`; `top`: so many lines; in
    which order (`sort`, what matters first if empty), whether each cask is told once with all that is due on it, and whether what is counted is explained instead."""

    form: str
    rules: tuple[str, ...]
    filters: Mapping[str, Any]
    verdicts: set[str]
    top: int | None
    sort: Sequence[tuple[str, bool]]
    by_cask: bool
    explain: bool = False

    @property
    def for_people(self) -> bool:
        """Whether a person reads it, and not a program."""
        return self.form in ("text", *PAGES)

    @property
    def usual(self) -> bool:
        """Whether only what is due or blocked is told."""
        return self.verdicts == chosen_verdicts()

    @property
    def looks_up(self) -> bool:
        """Whether the casks have to be looked up before their verdicts."""
        return not self.filters.keys() <= _OWN

    @property
    def set_apart(self) -> frozenset[str]:
        """Rules that wait for every emptying, and are counted and not listed where they were not asked for by name, nor everything."""
        return frozenset() if "ok" in self.verdicts else frozenset(EVERY_EMPTYING) - set(self.rules)

    def filter(self, casks: Sequence[str] | None = None) -> Filter:
        """What is taken; `casks`: those looked up."""
        from caskbook.index.listing import Filter

        known = tuple(casks) if casks is not None else tuple(self.filters["cask"]) if "cask" in self.filters else None
        return Filter(self.rules, tuple(self.filters.get("type", ())), tuple(self.filters.get("berth", ())), known)
