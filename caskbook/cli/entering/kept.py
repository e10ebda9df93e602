"""What is kept from line to line, by a shift or by the lines before: for which lines it is."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from caskbook.entry.kept_vat import NONE, OF_VAT, goes_along

if TYPE_CHECKING:
    from caskbook.entry.request import Request
    from caskbook.model.house import Settings

Given = dict[tuple[str, str], list[str]]
"""(job, key) → the texts that are kept for it; of the whole run the job is `run`."""


@dataclass
class Step:
    """What a line found kept and what it left so, the line before it, and what that had of the shift: so that a line which is taken back gives
    nothing on."""

    last: Request | None
    of_shift: AbstractSet[tuple[str, str]]
    found: Given
    left: Given = field(default_factory=dict)

    def put_back(self, given: MutableMapping[tuple[str, str], list[str]]) -> None:
        """What the line changed is as it was before it, but for what was said otherwise since, and for what is the whole run's."""
        for place in self.found.keys() | self.left.keys():
            before, after = self.found.get(place), self.left.get(place)
            if place[0] == "run" or before is after or given.get(place) is not after:
                continue
            if before is None:
                given.pop(place, None)
            else:
                given[place] = before

    def forget(self) -> None:
        """What was kept before is put down for good, as where a shift begins or ends: none of it comes back."""
        self.found, self.left = {}, {}


def kept_for(job: str, given: Mapping[tuple[str, str], list[str]], usual: Mapping[str, str]) -> dict[str, str]:
    """Key → what is kept for a job by the lines before, or for all of the run; and the spirit that a shift keeps (`usual`)."""
    spirit = {key: text for key, text in usual.items() if key == "spirit"}
    return {**spirit, **{key: texts[-1] for (owner, key), texts in given.items() if owner == job}}


def holds(place: tuple[str, str], request: Request, kept: Mapping[str, str], house: Settings) -> bool:
    """Whether what is kept is for this line: of one of its jobs, or of the run. What replaces an entry takes over what that says."""
    if place[1] in OF_VAT and not goes_along(request, *place, kept, house):
        return False
    return place[0] in ("run", "head file") or (place[0] in request.jobs and not any(key == "replaces" for _, key in request.given))


def vat_words(kept: Mapping[str, str]) -> str:
    """ "vat V12 of 800 L" as it is kept; nothing where none is."""
    vat, litres = kept.get("vat", NONE), kept.get("vat_litres", NONE)
    if vat == NONE:
        return ""
    return f"vat {vat}" + (f" of {litres}{' L' if litres.replace('.', '').isdecimal() else ''}" if litres != NONE else "")
