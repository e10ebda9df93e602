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


def goes_on_as(name: str, files: Files) -> str | None:
    """The number that this one goes on under, if it does."""
    return next((other for other in sorted(files) if other != name and name in joined_to(other, files)), None)
