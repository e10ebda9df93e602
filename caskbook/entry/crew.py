"""Who may sign an entry on a day: those of the crew who are there, and the outside shops."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from difflib import get_close_matches

from caskbook.entry.initials import own_initials
from caskbook.model.house import Settings
from caskbook.model.house_parts import Person, strange_signature

__all__ = ["not_there", "strange_signature", "there_on"]


def there_on(crew: Sequence[Person], day: date) -> list[str]:
    """The initials of those who are of the crew on the day, in the order of house.yaml."""
    return list(dict.fromkeys(one.initials for one in crew if (one.from_ is None or one.from_ <= day) and (one.until is None or day <= one.until)))


def not_there(settings: Settings, by: str, day: date) -> str:
    """Why nobody of these initials can have signed on the day, with who can; empty where somebody can, or the house names no crew."""
    if not settings.crew or by.startswith("shop-"):
        return ""
    there = there_on(settings.crew, day)
    name = own_initials(by, settings.crew, []) or by
    if name in there:
        return ""
    known = [one for one in settings.crew if one.initials == name]
    shown = "".join(sign if sign.isprintable() else "?" for sign in name[:20])
    if known:
        last = known[-1]
        when = f"left the crew on {last.until}" if last.until is not None and last.until < day else f"is of the crew from {last.from_}"
        return f"{shown} {when}; of the crew on {day}: {', '.join(there) or 'nobody'}"
    near = get_close_matches(name.casefold(), there, 1, 0.5)
    return f"{shown} is not of the crew: " + (f"did you mean {near[0]}? There are " if near else "") + (", ".join(there) or f"nobody on {day}")
