"""What reading typed words rests on: the terms of the house and of the cask, and the small readers that all fields share."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date

from caskbook.core.days import parse_input_day
from caskbook.core.finding import CaskbookError
from caskbook.gauging.units import Quantity, parse_quantity
from caskbook.ledger.files import is_cask_id
from caskbook.model.house import Settings
from caskbook.model.places import Frame, PlaceError, read_place
from caskbook.words import AmbiguousWord, UnknownWord, canonical


class TypedError(CaskbookError, ValueError):
    """What was typed cannot be taken: one line, the option named, with what to type instead. It is the user's fault wherever it comes to."""


@dataclass
class Terms:
    """What reading depends on: the house's settings, the day of the job, the parts of this cask, and its events by prefix.

    `event` turns a prefix (or a place with an open leak) into an id; `defect` a place or event into what `answers` wants.
    `echoes` and `doubts` gather what to tell: conversions made, and figures out of the plausible range.
    """

    settings: Settings
    day: date
    frame: Frame = Frame()
    event: Callable[[str], str] = str
    defect: Callable[[str], list[str]] = lambda text: [text]
    echoes: list[str] = field(default_factory=list)
    doubts: list[tuple[str, str]] = field(default_factory=list)


def number(text: str, kind: str, terms: Terms) -> float:
    """A measured figure in its kept unit; a conversion is echoed."""
    return quantity(text, kind, terms).value


def quantity(text: str, kind: str, terms: Terms) -> Quantity:
    """The same with the unit that was typed."""
    house = terms.settings
    found = parse_quantity(text, kind, gallon=house.gallon, proof=house.proof, decimal_comma=house.decimal_comma)
    if found.echo:
        terms.echoes.append(found.echo)
    return found


def split(text: str) -> list[str]:
    """The parts of a list: by semicolons or commas."""
    return [part.strip() for part in re.split(r"[;,]", text) if part.strip()]


def slug(text: str) -> str:
    """A word as stored: small letters, hyphens for spaces."""
    word = re.sub(r"[\s_]+", "-", text.strip().casefold())
    if not re.fullmatch(r"[a-z0-9][a-z0-9'-]{0,59}", word):
        raise TypedError(f"'{text[:30]}' is no word: letters, figures and hyphens")
    return word


def spirit(text: str, settings: Settings) -> str:
    """A spirit as stored: the canonical word of its spellings, else the word itself."""
    return settings.spirit_word(text) or slug(text)


def place(text: str, terms: Terms) -> str:
    """A place on this cask, as stored; hoops by word where their number is known."""
    try:
        return str(read_place(spelled_out(text), terms.frame))
    except PlaceError as error:
        near = nearest_place(text)
        raise PlaceError(f"{error}; did you mean {near}?") if near else error from None


def nearest_place(text: str) -> str:
    """The same address with its first word, or letter, put right; empty where none is near."""
    found = re.match(r"\s*([A-Za-z]{3,})(.*)", text)
    try:
        canonical("place", found[1] if found else "")
    except UnknownWord as error:
        return error.nearest + found[2] if found and error.nearest else ""
    except AmbiguousWord:
        return ""
    return ""


_BY_LETTER = re.compile(r"\s*([jsc])[\s-]*(?:([ab])[\s-]*)?([1-9][0-9]{0,2})?([a-c]?)\s*", re.IGNORECASE)
_JOINED = re.compile(r"\s*(joint|stave|seam|lag)([1-9][0-9]{0,2}[a-c]?)\s*", re.IGNORECASE)


def spelled_out(text: str) -> str:
    """An address with its first word put right: lag 14, seam 3, groove A; j3, s14 and cA14 are joint-3, stave-14 and croze-A-14."""
    if joined := _JOINED.fullmatch(text):
        return spelled_out(f"{joined[1]}-{joined[2]}")
    letter = _BY_LETTER.fullmatch(text)
    if letter:
        word, side, number, suffix = letter[1].casefold(), letter[2], letter[3], letter[4]
        if word == "c" and side and not suffix:
            return f"croze-{side.upper()}" + (f"-{number}" if number else "")
        if word in "js" and not side and number and (word == "s" or not suffix):
            return f"{'joint' if word == 'j' else 'stave'}-{number}{suffix.casefold()}"
    found = re.match(r"\s*([A-Za-z]+)(.*)", text)
    if not found or found[1].casefold() in ("head", "hoop"):
        return text
    try:
        return canonical("place", found[1]) + found[2]
    except (UnknownWord, AmbiguousWord):
        return text


def when(text: str) -> int | str | date:
    """A year, a month or a day."""
    if re.fullmatch(r"[0-9]{4}", text):
        return int(text)
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}", text):
        return text
    return parse_input_day(text, date.max) if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text) else _no_when(text)


def _no_when(text: str) -> str:
    raise TypedError(f"'{text[:30]}' is no year, month or day: 2011, 2011-06 or 2011-06-15")


def cask_id(text: str) -> str:
    """A cask's number, capitals restored."""
    found = text.strip().upper()
    if not is_cask_id(found):
        raise TypedError(f"'{text[:30]}' is no cask number: capitals, then 4 to 9 figures, as TH-004217")
    return found
