"""What two files do not tell alike: of the history of such casks nobody can tell the whole."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import NamedTuple

from caskbook.model.halves import PUT_OUT, TOLD, alone
from caskbook.model.joins import GIVEN, HELD, TAKEN, Claims, claimants, lawful, leads_to, one_cask, rivals, taken_over
from caskbook.words.job_table import jobs_with, row_of


class Gap(NamedTuple):
    """What may be of the history of a cask and nobody can tell, in words. `since`: the day of that work, before which nothing is lacking; None for any
    day. `unless_gone`: nothing is lacking where the cask is out of the book by its own file."""

    words: str
    since: date | None = None
    unless_gone: bool = False


Untold = Mapping[str, tuple[Gap, ...]]
NOTHING_UNTOLD: Untold = {}


def lacking_in(gaps: Iterable[Gap], day: date, *, gone: bool) -> tuple[str, ...]:
    """What of that is lacking in a life up to the day, in words; `gone`: it ends with the cask out of the book."""
    return tuple(gap.words for gap in gaps if (gap.since is None or gap.since <= day) and not (gone and gap.unless_gone))


def held_to(gaps: Iterable[Gap], today: date | None) -> tuple[Gap, ...]:
    """The same with what is dated after today lacking on any day: that day is a slip."""
    return tuple(gap._replace(since=None) if today is not None and gap.since is not None and gap.since > today else gap for gap in gaps)


def untold(claims: Claims) -> Untold:
    """Number → what may be of its history and nobody can tell: where two files claim a number, or claim each other in a ring, where an
    entry was moved and only one of both files says so, and where another file alone tells of work in which it had a part. `claims`: what each file of the
    book says, as `bonds_of` has it, in whatever order: what is untold of a number comes in that of the files that tell it."""
    sides = {cask: own for cask, bonds in claims.items() if (own := [one for one in bonds if one[0] in (TOLD, PUT_OUT)])}
    claims = {cask: [one for one in bonds if one[0] not in (TOLD, PUT_OUT)] for cask, bonds in claims.items() if len(sides.get(cask, ())) < len(bonds)}
    found: dict[str, dict[Gap, None]] = {}
    for number, words in (*_contested(claims), *_in_a_ring(claims), *_half_moved(claims)):
        found.setdefault(number, {})[Gap(words)] = None
    for number, gap in _told_by_others(sides, claims):
        found.setdefault(number, {})[gap] = None
    if not found:
        return NOTHING_UNTOLD
    kept = lawful(claims)
    for cask in sorted(kept):  # What is untold of a number is so of the one that took it over.
        for number in taken_over(cask, kept):
            for gap in found.get(number, ()):
                found.setdefault(cask, {})[gap] = None
    return {number: tuple(gaps) for number, gaps in found.items()}


def _contested(claims: Claims) -> Iterator[tuple[str, str]]:
    for number, files in sorted(rivals(claims).items()):
        if len(files) > 1:
            words = f"history of {number}, which {' and '.join(sorted(files))} claim"
            yield from ((one, words) for one in (number, *sorted(files)))


def _in_a_ring(claims: Claims) -> Iterator[tuple[str, str]]:
    for cask, others in sorted(claims.items()):
        yield from ((cask, f"history of {one}, which goes back to {cask}") for one in others if one != cask and leads_to(one, cask, claims))


def _half_moved(claims: Claims) -> Iterator[tuple[str, str]]:
    """An entry that was given away and is not held by the file named, and one that was taken and still counts where it was; what says something else is not held."""
    given = {(cask, *_parted(one)) for cask, one in _all(claims, GIVEN)}
    taken = {(cask, *_parted(one)) for cask, one in _all(claims, TAKEN)}
    held = taken | {(cask, *_parted(one)) for cask, one in _all(claims, HELD)}
    for cask, other, event in sorted(given):
        if (other, cask, event) not in held:
            yield from ((one, f"entry {_id(event)} of {cask}, moved to {other} and not written there") for one in (cask, other))
    gone = {(cask, event) for cask, _, event in given}
    for cask, other, event in sorted(taken):
        if (other, event) not in gone:
            yield from ((one, f"entry {_id(event)} of {other}, written to {cask} and not taken out") for one in (cask, other))


def _told_by_others(sides: Claims, claims: Claims) -> Iterator[tuple[str, Gap]]:
    """A racking, a conversion or swapped heads that one of two files alone tells: the cask whose own file is silent; where that file put its side out of
    force, the one that still tells it as well, for one of both is wrong. `sides`: what each file tells of such work."""
    for half in sorted(alone(sides, one_cask(claimants(claims))), key=lambda half: (half.cask, half)):
        row = row_of(half.job)
        since = None if half.date == "?" else date.fromisoformat(half.date)
        tells = f"{half.other} put out of force and {half.cask} still tells" if half.denied else f"{half.cask} alone tells"
        words = f"{row.half} of {half.date} that {tells} ({row.alone})"
        yield half.other, Gap(words, since, row.half in jobs_with("ends"))
        if half.denied:
            yield half.cask, Gap(words, since, half.job in jobs_with("ends"))


def _all(claims: Claims, sign: str) -> Iterator[tuple[str, str]]:
    return ((cask, one[1:]) for cask, bonds in claims.items() for one in bonds if one[0] == sign)


def _parted(text: str) -> tuple[str, str]:
    number, _, event = text.partition("/")
    return number, event


def _id(event: str) -> str:
    """The id alone, without the sign of what the entry says."""
    return event.partition("/")[0]
