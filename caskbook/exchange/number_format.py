"""What a spreadsheet shows of a cell by its number format (ECMA-376, part 1, 18.8.31). What is shown is what people entered and read: a month
stays a month, a literal sign stands, and a cell that shows something else than it holds is none that can be read."""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from caskbook.exchange.row import DAY, NUMBER, OTHERWISE, TEXT

_TOKEN = re.compile(
    r'"(?P<quoted>[^"]*)"?|\\(?P<escaped>.)|_(?P<skipped>.)|\*(?P<filling>.)|\[(?P<bracket>[^\]]*)\]?|(?P<general>general)'
    r"|(?P<digit>[0#?])|(?P<point>\.)|(?P<comma>,)|(?P<percent>%)|(?P<power>e[+-])|(?P<slash>/)|(?P<at>@)"
    r"|(?P<clock>am/pm|a/p|h+|s+)|(?P<year>y+)|(?P<month>m+)|(?P<day>d+)|(?P<sign>.)",
    re.IGNORECASE | re.DOTALL,
)
_SECTION = re.compile(r'(?:"[^"]*"?|\\.|_.|\*.|\[[^\]]*\]?|[^;])*', re.DOTALL)
_CONDITION = re.compile(r"(<=|>=|<>|<|>|=)\s*([+-]?[0-9.]+(?:e[+-]?[0-9]+)?)", re.IGNORECASE)
_HOLDS = {
    "<": lambda a, b: a < b, "<=": lambda a, b: a <= b, ">": lambda a, b: a > b, ">=": lambda a, b: a >= b,
    "=": lambda a, b: a == b, "<>": lambda a, b: a != b,
}  # fmt: skip
_ELAPSED = re.compile(r"h+|m+|s+", re.IGNORECASE)
_OF_DAYS = frozenset({"clock", "year", "month", "day"})
_LAST_WHOLE = 1e15
_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December")


def _with_decimals(text: str, zeros: int) -> str:
    """A figure with the zeros behind its point that a format shows at least: a mark 1.10 is no 1.1."""
    whole, _, rest = text.partition(".")
    return f"{whole}.{rest.ljust(zeros, '0')}" if len(rest) < zeros else text


@dataclass(frozen=True, slots=True)
class Section:
    """One part of a format, for positive figures, negative ones, zero or text: its tokens (kind, sign or text) and its condition."""

    tokens: tuple[tuple[str, str], ...]
    condition: tuple[str, float] | None = None

    def has(self, *kinds: str) -> bool:
        """Whether a token of one of these kinds stands in it."""
        return any(kind in kinds for kind, _ in self.tokens)

    @property
    def decimals(self) -> int:
        """How many digits it shows behind the point at least."""
        at = next((n for n, (kind, _) in enumerate(self.tokens) if kind == "point"), len(self.tokens))
        return sum(kind == "digit" and sign == "0" for kind, sign in self.tokens[at:])

    @property
    def is_plain(self) -> bool:
        """Whether it shows a figure and no other sign, and shows a zero too."""
        whole = [sign for kind, sign in self.tokens if kind in ("digit", "point")]
        zeros = "".join(whole).partition(".")[0].count("0")
        return (
            not self.tokens
            or self.tokens == (("general", ""),)
            or (all(kind in ("digit", "point", "comma") for kind, _ in self.tokens) and zeros == 1 and not _scaled(self.tokens))
        )


def shown_number(form: str, value: float) -> tuple[str, str]:
    """A figure as its format shows it, not rounded, and what it is then: NUMBER, TEXT where the format shows a word, OTHERWISE where it shows another
    figure, a day, or nothing that can be read."""
    if abs(value) >= _LAST_WHOLE:
        return figure(value), OTHERWISE  # A spreadsheet keeps fifteen figures: the last ones are no longer those that were written.
    sections = _of_figures(form)
    if not sections:
        return _with_decimals(figure(value), _decimals(form)), NUMBER
    section, negative = _of_value(sections, value)
    if section is None or (not section.tokens and len(sections) > 1) or section.has(*_OF_DAYS):
        return figure(value), OTHERWISE
    if section.is_plain:
        text = _with_decimals(figure(abs(value) if negative else value), section.decimals)
        return _as_held(text, value) or (figure(value), OTHERWISE)
    if not section.has("digit", "general"):
        text = " ".join("".join(sign for kind, sign in section.tokens if kind == "literal").split())
        return (text, TEXT) if any(sign.isalnum() for sign in text) else (figure(value), OTHERWISE)
    shown = _rendered(section, value, negative)
    return (figure(value), OTHERWISE) if shown is None else shown


def shown_text(form: str, text: str) -> tuple[str, str]:
    """A text as its format shows it: with the signs about its @; OTHERWISE where the format shows no text, or always the same."""
    place = _of_texts(form)
    if place is None or not text:
        return text, TEXT
    if not place.has("at"):
        return text, OTHERWISE
    return " ".join("".join(text if kind == "at" else sign for kind, sign in place.tokens).split()) if len(place.tokens) > 1 else text, TEXT


def shown_day(form: str, day: date) -> tuple[str, str]:
    """A day as far as its format shows it: 2015-03-01, 2015-03, 2015, or 1 March where no year is shown; OTHERWISE where it is a weekday, an hour."""
    section = _sections(form)[0]
    parts = _parts_of_day(section.tokens)
    if not section.has(*_OF_DAYS):
        return day.isoformat(), DAY  # The cell itself says that it is one.
    if parts >= {"year", "month", "day"}:
        return day.isoformat(), DAY
    if parts == {"year", "month"}:
        return day.isoformat()[:7], DAY
    if parts == {"year"}:
        return day.isoformat()[:4], DAY
    if parts == {"month", "day"}:
        return f"{day.day} {_MONTHS[day.month - 1]}", DAY
    return day.isoformat(), OTHERWISE


def figure(value: float) -> str:
    """A whole figure with all of its digits, another with twelve, as a spreadsheet shows them: 63.300000000000004 is 63.3."""
    if isinstance(value, int) or (value.is_integer() and abs(value) < _LAST_WHOLE):
        return str(int(value))
    text = f"{value:.12g}"
    return text if "e" not in text else f"{float(text):.12f}".rstrip("0").rstrip(".")


@lru_cache(maxsize=4096)
def _of_figures(form: str) -> tuple[Section, ...]:
    """The sections of a format that show figures; none where these stand as they are held."""
    found = tuple(one for one in _sections(form) if not one.has("at"))[:3]
    return () if len(found) == 1 and found[0].is_plain else found


@lru_cache(maxsize=4096)
def _decimals(form: str) -> int:
    """The digits behind the point that a plain format shows at least; none where it shows texts."""
    found = [one for one in _sections(form) if not one.has("at")]
    return found[0].decimals if found else 0


@lru_cache(maxsize=4096)
def _of_texts(form: str) -> Section | None:
    """The section of a format that shows texts; None where these stand as they are held."""
    sections = _sections(form)
    found = next((one for one in sections if one.has("at")), sections[3] if len(sections) > 3 else None)
    return None if found is not None and found.tokens == (("at", "@"),) else found


@lru_cache(maxsize=4096)
def _sections(form: str) -> tuple[Section, ...]:
    """The sections of a format, at least one."""
    parts, at = [], 0
    while True:
        found = _SECTION.match(form, at)
        assert found is not None
        parts.append(_section(found[0]))
        at = found.end() + 1
        if at > len(form):
            return tuple(parts)


def _section(text: str) -> Section:
    """One section read: its signs by what they do, colours and languages left out."""
    tokens: list[tuple[str, str]] = []
    condition = None
    for found in _TOKEN.finditer(text):
        kind, sign = found.lastgroup or "sign", found[0]
        if kind == "bracket":
            inner = found["bracket"]
            if compared := _CONDITION.fullmatch(inner.strip()):
                with suppress(ValueError):
                    condition = (compared[1], float(compared[2]))
            elif inner.startswith("$"):
                tokens.append(("literal", inner[1:].partition("-")[0]))  # A currency; what stands behind the dash is a language.
            elif _ELAPSED.fullmatch(inner):
                tokens.append(("clock", inner))
        elif kind in ("quoted", "escaped"):
            tokens.append(("literal", found[kind]))
        elif kind == "skipped":
            tokens.append(("literal", " "))
        elif kind == "general":
            tokens.append((kind, ""))
        elif kind == "sign":
            tokens.append(("era" if sign in "egEG" else "literal", sign))
        elif kind != "filling":
            tokens.append((kind, sign))
    dated = any(kind in _OF_DAYS for kind, _ in tokens)
    told = [("year" if dated else "literal", sign) if kind == "era" else (kind, sign) for kind, sign in tokens]
    return Section(tuple((kind, sign) for kind, sign in told if sign or kind == "general"), condition)


def _of_value(sections: Sequence[Section], value: float) -> tuple[Section | None, bool]:
    """(the section that shows this figure, whether the minus is left to the section's own signs)."""
    if any(one.condition for one in sections):
        return next((one for one in sections if one.condition is None or _HOLDS[one.condition[0]](value, one.condition[1])), None), False
    if value < 0 and len(sections) > 1:
        return sections[1], True
    return (sections[2], False) if value == 0 and len(sections) > 2 else (sections[0], False)


def _scaled(tokens: Sequence[tuple[str, str]]) -> bool:
    """Whether a comma behind the last digit before the point divides by a thousand."""
    for n, (kind, _) in enumerate(tokens):
        if kind == "comma" and n and tokens[n - 1][0] in ("digit", "comma"):
            after = next((one for one, _ in tokens[n:] if one != "comma"), "")
            if after != "digit":
                return True
    return False


def _rendered(section: Section, value: float, negative: bool) -> tuple[str, str] | None:
    """The figure among the section's own signs; None where they change it, hide it, or cannot be told."""
    tokens = section.tokens
    if _scaled(tokens):
        return None
    percents = sum(kind == "percent" for kind, _ in tokens)
    number = float(f"{value * 100**percents:.12g}") if percents else value
    places = [n for n, (kind, _) in enumerate(tokens) if kind in ("digit", "general")]
    first, last = places[0], places[-1]
    body = _body(tokens[first : last + 1], figure(abs(number)))
    if body is None:
        return None
    minus = "-" if value < 0 and not negative else ""
    before, after = ("".join(sign for kind, sign in part if kind in ("literal", "percent", "slash")) for part in (tokens[:first], tokens[last + 1 :]))
    text = " ".join(f"{minus}{before.lstrip()}{body}{after}".split())
    return _as_held(text, number)


def _body(tokens: Sequence[tuple[str, str]], text: str) -> str | None:
    """The digits of a figure in their places, from the right, with the signs that stand between them."""
    kinds = {kind for kind, _ in tokens}
    if "general" in kinds or "power" in kinds or "slash" in kinds:
        return text  # As it is, with an exponent, or as a fraction: one and the same figure.
    at = next((n for n, (kind, _) in enumerate(tokens) if kind == "point"), len(tokens))
    whole, _, rest = text.partition(".")
    if any(kind in ("literal", "percent") for kind, _ in tokens[at:]):
        return None
    signs = [sign for kind, sign in tokens[:at] if kind in ("digit", "literal")]
    if float(text) == 0 and "0" not in signs:
        return None  # It shows nothing of a zero.
    places = sum(kind == "digit" for kind, _ in tokens[:at])
    digits = list(whole.zfill(sum(sign == "0" for kind, sign in tokens[:at] if kind == "digit")))
    if not any(kind == "literal" for kind, _ in tokens[:at]):
        zeros = sum(kind == "digit" and sign == "0" for kind, sign in tokens[at:])
        return _with_decimals("".join(digits) + (f".{rest}" if rest else ""), zeros)
    if rest or len(digits) < places:
        return None
    out: list[str] = []
    for kind, sign in reversed(tokens[:at]):
        out += [digits.pop()] if kind == "digit" else [sign] if kind == "literal" else []
    return "".join(digits) + "".join(reversed(out))


def _as_held(text: str, value: float) -> tuple[str, str] | None:
    """NUMBER, but None where what is shown reads as another figure than what is held, as 5 for -5."""
    with suppress(ValueError):
        shown = float(text.rstrip("%").replace(",", ".").replace(" ", "").replace("'", ""))
        if abs(shown - value) > 1e-9 * max(1.0, abs(value)):
            return None
    return text, NUMBER


def _parts_of_day(tokens: Sequence[tuple[str, str]]) -> set[str]:
    """Which of year, month and day are shown: an m beside hours or seconds is minutes, a d of three letters or more a weekday."""
    signs = [(kind, sign) for kind, sign in tokens if kind in _OF_DAYS]
    parts = set()
    for n, (kind, sign) in enumerate(signs):
        beside = {signs[n - 1][1][0].casefold() if n else "", signs[n + 1][1][0].casefold() if n + 1 < len(signs) else ""}
        if kind == "month" and len(sign) < 3 and ((n and signs[n - 1][0] == "clock" and "h" in beside) or "s" in beside):
            continue
        if kind in ("year", "month") or (kind == "day" and len(sign) < 3):
            parts.add(kind)
    return parts
