"""How the rule `retire` sums its signs up in the last of its reasons, and what a reader of the kept reasons has of them again."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from caskbook.words.plural import number_of

REPORT = "caskbook report retirement"
NO_SIGN = "0 signs; "
"""How the reasons begin where the book sees no sign at all."""
_SUM = re.compile(r"^(\d+) signs?(?:, (?:(\d+) of them )?enough alone)?; house proposes retirement at (\d+)")


@dataclass(frozen=True, slots=True)
class ToldSigns:
    """The signs in words, hard ones first; how many of them are `hard`, which are enough alone; what is not known; from how many the house proposes."""

    signs: tuple[str, ...]
    hard: int
    unknown: tuple[str, ...]
    needed: int


def summed(points: int, hard: int, needed: int, cask: str | None = None) -> str:
    """ "1 sign; house proposes retirement at 2"; of a `cask` proposed also which command makes its sheet."""
    count = points + hard
    alone = "" if not hard else ", enough alone" if count == 1 else f", {hard} of them enough alone"
    sheet = "" if cask is None else f"; a person signs: {REPORT} {cask}"
    return f"{number_of(count, 'sign')}{alone}; house proposes retirement at {needed}{sheet}"


def read_reasons(reasons: Sequence[str]) -> ToldSigns | None:
    """The signs that the reasons of a verdict tell; None where they tell of none: it is retired, the rule is off, or something cannot be read."""
    at, found = next(((at, found) for at, text in enumerate(reasons) if (found := _SUM.match(text))), (0, None))
    if found is None:
        return None
    count, of_them, needed = found.groups()
    hard = int(of_them) if of_them else int("enough alone" in found[0])
    return ToldSigns(tuple(reasons[: int(count)]), hard, tuple(reasons[int(count) : at]), int(needed))
