"""Which numbers are one cask: same-as read again, rings joining nothing."""

from __future__ import annotations

from typing import Any

from second.corrections import standing

Files = dict[str, dict[str, Any]]


def claims_of(files: Files) -> dict[str, list[str]]:
    return {name: [e["of"] for e in standing(data["events"]) if e["job"] == "same-as"] for name, data in files.items()}


def reaches(start: str, goal: str, claims: dict[str, list[str]], seen: frozenset[str] = frozenset()) -> bool:
    """Whether a chain of claims leads from one number to another."""
    return any(to == goal or (to not in seen and reaches(to, goal, claims, seen | {to})) for to in claims.get(start, []))


def joined_to(name: str, files: Files) -> list[str]:
    """The numbers whose events run with this one's, those joined to a joined one too."""
    claims = claims_of(files)
    lawful = {who: [old for old in olds if old != who and not reaches(old, who, claims)] for who, olds in claims.items()}
    found: list[str] = []
    ahead = [*lawful[name]]
    while ahead:
        old = ahead.pop(0)
        if old in files and old not in found:
            found.append(old)
            ahead += lawful[old]
    return found


def half_moves(files: Files) -> list[tuple[str, str, str]]:
    """(file, entry, other file) of each standing `moved` of which the other file holds no copy."""
    held = {(name, event["moved_from"]) for name, data in files.items() for event in data["events"] if event.get("moved_from")}
    moves = [(name, event["of"], event["to"]) for name, data in files.items() for event in standing(data["events"]) if event["job"] == "moved"]
    return [(name, event, other) for name, event, other in moves if (other, f"{name}/{event}") not in held]


def untold(name: str, files: Files) -> bool:
    """Whether the history of a number, or of one that it took over, hangs on what two files do not tell alike: a ring, or half a move."""
    claims = claims_of(files)
    halves = {number for name, _, other in half_moves(files) for number in (name, other)}
    mine = [name, *joined_to(name, files)]
    return any(one in halves or any(old != one and reaches(old, one, claims) for old in claims[one]) for one in mine)


def goes_on_as(name: str, files: Files) -> str | None:
    """The number that this one goes on under, if it does."""
    return next((other for other in sorted(files) if other != name and name in joined_to(other, files)), None)
