"""Who signed an entry, by the crew and the shops that house.yaml lists."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date

from caskbook.model.house_parts import Person as OfCrew
from caskbook.stats.days import SHOP, Person

NOBODY = Person("?", "nobody named", False)


def signer(by: str | None, day: date, crew: Sequence[OfCrew], shops: Collection[str]) -> Person:
    """The person behind the initials on that day: of two rows of the crew for one day the first counts."""
    if not by:
        return NOBODY
    if by.startswith(SHOP):
        known = by in shops or by.removeprefix(SHOP) in shops
        return Person(by, "outside shop" if known or not shops else "no shop of house.yaml", known if shops else None)
    rows = [one for one in crew if one.initials == by]
    there = next((one for one in rows if (one.from_ is None or one.from_ <= day) and (one.until is None or day <= one.until)), None)
    if there is not None:
        return Person(by, there.name or "", True)
    return Person(by, "not of the crew on that day" if rows else "not of the crew" if crew else "", False if crew else None)
