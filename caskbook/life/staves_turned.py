"""Staves that go out and come in by one entry: two may come for one, as 14 and 14b, or one for two."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from caskbook.model.places import stave_number


class Turned(NamedTuple):
    """What an entry that replaces staves did. `out`: the number of each stave that went out, twice of 14 and 14b that both stood; `put`: how many came in for
    each of these; `seconds`: the numbers of which there are two then."""

    out: tuple[int, ...]
    put: tuple[int, ...]
    seconds: frozenset[int]

    @property
    def wood(self) -> int:
        """How many staves came in."""
        return sum(self.put)

    @property
    def broad(self) -> frozenset[tuple[int, int]]:
        """(number, number): the first is that of a stave that came for both."""
        found, kept = set(), 0
        for number, count in zip(self.out, self.put, strict=True):
            kept = number if count else kept
            if not count and kept and kept != number:
                found.add((kept, number))
        return frozenset(found)


def turned(staves: Sequence[str | int], seconds: frozenset[int], had: int | None, after: int | None) -> Turned:
    """By the staves that are named, the numbers of which there were two before, and how many staves there were (`had`) and are (`after`), None where
    that is not said: then as many came in as are named. A second one of which nobody said when it came in stood, unless the first is named beside it."""
    names = list(dict.fromkeys((number, bool(suffix.removeprefix("a"))) for number, suffix in map(stave_number, staves)))
    out = [(number, second) for number, second in names if not second or number in seconds or (number, False) not in names]
    put = names
    if had is not None and after is not None:
        more = [(number, True) for number, second in names if not second and (number, True) not in names]
        put = [*names, *more][: max(0, after - had + len(out))]
    now = (seconds - {number for number, second in out if second}) | {number for number, second in put if second}
    counts = [0] * len(out)
    for _, at in zip(put, [at % len(out) for at in range(len(put))] if out else [], strict=True):
        counts[at] += 1
    return Turned(tuple(number for number, _ in out), tuple(counts), frozenset(now))
