"""What two files do not tell alike: of the history of such casks nobody can tell the whole."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from caskbook.model.joins import GIVEN, HELD, TAKEN, Claims, lawful, leads_to, rivals, taken_over

Untold = Mapping[str, tuple[str, ...]]
NOTHING_UNTOLD: Untold = {}


def untold(claims: Claims) -> Untold:
    """Number → what may be of its history and nobody can tell, in words: where two files claim a number, or claim each other in a ring, and where an
    entry was moved and only one of both files says so. `claims`: what each file of the book says, as `bonds_of` has it."""
    found: dict[str, dict[str, None]] = {}
    for number, words in (*_contested(claims), *_in_a_ring(claims), *_half_moved(claims)):
        found.setdefault(number, {})[words] = None
    if not found:
        return NOTHING_UNTOLD
    kept = lawful(claims)
    for cask in kept:  # What is untold of a number is so of the one that took it over.
        for number in taken_over(cask, kept):
            for words in found.get(number, ()):
                found.setdefault(cask, {})[words] = None
    return {number: tuple(words) for number, words in found.items()}


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


def _all(claims: Claims, sign: str) -> Iterator[tuple[str, str]]:
    return ((cask, one[1:]) for cask, bonds in claims.items() for one in bonds if one[0] == sign)


def _parted(text: str) -> tuple[str, str]:
    number, _, event = text.partition("/")
    return number, event


def _id(event: str) -> str:
    """The id alone, without the sign of what the entry says."""
    return event.partition("/")[0]
