"""Numbers that `same-as` makes one cask: which really are, once rings and a number joined to itself are left out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

Claims = Mapping[str, Sequence[str]]


def lawful(claims: Claims) -> dict[str, list[str]]:
    """File that goes on → numbers it takes over. A claim that leads back to the file that makes it, by whatever way, joins nothing."""
    return {cask: kept for cask, others in claims.items() if (kept := [one for one in others if not leads_to(one, cask, claims)])}


def leads_to(start: str, goal: str, claims: Claims) -> bool:
    """Whether `start` is the number `goal`, or takes it over, directly or by way of others."""
    seen: set[str] = set()
    todo = [start]
    while todo:
        one = todo.pop()
        if one == goal:
            return True
        if one not in seen:
            seen.add(one)
            todo.extend(claims.get(one, ()))
    return False


def goes_on(claims: Iterable[tuple[str, Sequence[str]]]) -> dict[str, str]:
    """Number that was joined → number that goes on at the end of its chain. `claims`: (file, numbers it says it is)."""
    kept = lawful(dict(claims))
    next_one = {other: cask for cask, others in kept.items() for other in others}
    return {other: _last(other, next_one) for other in next_one}


def _last(start: str, next_one: Mapping[str, str]) -> str:
    """Ends, for no lawful claim leads back."""
    at = start
    while at in next_one:
        at = next_one[at]
    return at
