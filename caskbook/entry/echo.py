"""A cask in a line or two, for whoever is about to enter something on it: what it is, its last fail, what is due on it."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from caskbook.entry.says import cask_line

if TYPE_CHECKING:
    from caskbook.life import Life
    from caskbook.model.cask import Cask
    from caskbook.model.house import House

_MOST = 4


def due_line(life: Life) -> str:
    """ "due: retest since 2026-11-16, rechar since 2026-11-03", of the rules that look at one cask alone; empty where nothing is due."""
    if not life.begun:
        return ""
    from caskbook.due import judge
    from caskbook.life.facts import facts_of

    found = [one for one in judge(life, facts_of(life)) if one.verdict in ("due", "blocked")]
    named = [one.rule + (" blocked" if one.verdict == "blocked" else "") + (f" since {one.since}" if one.since else "") for one in found[:_MOST]]
    return f"due: {', '.join(named)}" + (" …" if len(found) > _MOST else "") if named else ""


def echo_of(cask: Cask, house: House, day: date) -> list[str]:
    """The cask as the book has it on that day: what it is, and what is due."""
    from caskbook.life import live

    life = live(cask, house, day)
    return [line for line in (cask_line(life), due_line(life)) if line]


def day_words(day: date) -> str:
    """ "Sunday 2026-11-29"."""
    return f"{day:%A} {day}"
