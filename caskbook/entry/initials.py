"""Initials typed in another case than the crew's."""

from __future__ import annotations

from collections.abc import Sequence

from caskbook.model.house_parts import Person


def own_initials(typed: str | None, crew: Sequence[Person], echoes: list[str]) -> str | None:
    """The initials as the house writes them, where one person's differ in case alone, with a line to tell; else as typed."""
    if typed is None or any(person.initials == typed for person in crew):
        return typed
    alike = {person.initials for person in crew if person.initials.casefold() == typed.casefold()}
    if len(alike) != 1:
        return typed
    (own,) = alike
    echoes.append(f"{typed} read as {own}, of the crew")
    return own
