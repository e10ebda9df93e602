"""The figures a cask brings with it: from its head (life before this ledger), or inherited from its parents."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from caskbook.core.days import When, parse_when
from caskbook.model.cask import CaskHead
from caskbook.model.house import Settings
from caskbook.model.jobs.arrival import Inherited
from caskbook.words import is_wine


@dataclass(frozen=True, slots=True)
class Past:
    """Counts before the first event here; None is unknown. `held` is wine, spirit, none or unknown; `wine` whether any of it was wine;
    `since_char_min`: the fills since the last char that are known of."""

    fills_life: int | None
    fills_life_min: int
    fills_of_class: int | None
    fills_since_char: int | None
    fills_since_fire: int | None
    char_count: int | None
    rechar_count: int | None
    last_char: When | None
    last_fire: When | None
    held: str
    wine: bool | None
    never_charred: bool = False
    since_char_min: int = 0

    @property
    def had_liquor(self) -> bool | None:
        """Whether it held spirit or wine before; a fill that is known of tells it, also where wine is not known."""
        if self.held == "unknown":
            return True if self.fills_life_min else None
        return self.held != "none"

    @property
    def last_char_day(self) -> date | None:
        """The day reckoned with."""
        return self.last_char.day if self.last_char else None


def past_of(head: CaskHead, settings: Settings) -> Past:
    """What the head says of the life before this ledger."""
    prior = head.prior
    counts = None if prior is None else [entry.fills for entry in prior]
    life = None if counts is None or None in counts else sum(count for count in counts if count is not None)
    known = sum(count or 0 for count in counts or [])
    of_class = None
    if prior is not None:
        own = [entry.fills for entry in prior if settings.is_of_class(entry.contents)]
        unknown = any(entry.contents == "unknown" for entry in prior)
        of_class = None if None in own or unknown else sum(count for count in own if count is not None)
    never = head.charred == "never"
    last = _when(head.charred) if head.charred not in (None, "unknown", "never") else None
    since = life if never else None if last is None else life if settings.count_prior else 0
    least = since if since is not None else known if never or last else 0
    return Past(
        life, known, of_class, since, since, 0 if never else 1 if last else None, 0, last, last, _held(head, settings), _wine(head, settings), never, least
    )


@lru_cache(maxsize=4096, typed=True)
def _when(value: object) -> When:
    """Asked for every cask, about few different days."""
    return parse_when(value)


def _held(head: CaskHead, settings: Settings) -> str:
    if head.prior is None:
        return "unknown"
    if any(is_wine(entry.contents, settings.wine_words) for entry in head.prior):
        return "wine"
    return "spirit" if head.prior else "none"


def _wine(head: CaskHead, settings: Settings) -> bool | None:
    if head.prior is None:
        return None
    if any(is_wine(entry.contents, settings.wine_words) for entry in head.prior):
        return True
    return None if any(entry.contents == "unknown" for entry in head.prior) else False


WOOD_MARKS = ("tainted", "sulphured")
"""Marks that go with the wood into other casks; a hold and a rejection are of the cask alone."""
GOES_WITH_WOOD = (*WOOD_MARKS, "tainted_wood")
"""What a child bears of its parents until it is nosed clean, as keys of `inherited`: their marks, and wood of tainted casks in them."""
_WINE = {"wine": True, "spirit": False, "none": False}


def inherited_past(given: Inherited | None) -> Past:
    """What a child takes from its parents, as written in `inherited`."""
    got = given or Inherited()
    minimum = got.fills_life_min if got.fills_life_min is not None else got.fills_life or 0
    last_char = parse_when(got.last_char) if got.last_char is not None else None
    last_fire = parse_when(got.last_fire) if got.last_fire is not None else None
    return Past(
        got.fills_life, minimum, got.fills_of_class, got.fills_since_char, got.fills_since_fire,
        got.char_count, got.rechar_count, last_char, last_fire, got.held, _WINE.get(got.held),
        never_charred=got.char_count == 0 and last_char is None, since_char_min=got.fills_since_char or 0,
    )  # fmt: skip
