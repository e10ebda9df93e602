"""One parser for every number that is typed: figure, unit, conversion to the unit the record keeps, and an echo of it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from caskbook.gauging.units.tables import AS_TYPED, KINDS, Convert, Kind

House = Literal["us", "uk"]


class UnitError(ValueError):
    """A number or unit that cannot be taken; one line that says what was expected."""


class AmbiguousUnit(UnitError):  # noqa: N818 - named for what it is
    """A unit that means several amounts: `question` asks which, `choices` are the units that settle it."""

    def __init__(self, shown: str, question: str, choices: tuple[str, ...]) -> None:
        self.question = question
        self.choices = choices
        super().__init__(f"{shown}: {question} ({', '.join(choices)})")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in the unit its kind is kept in; `echo` is what to show the user when it was not simply taken as typed.

    `exact` is the value before it was rounded to the step that is kept, for what is computed at once; `unit` the unit typed,
    as a key of the kind's units, empty for a bare figure."""

    value: float
    echo: str | None = None
    exact: float = 0.0
    unit: str = ""


# No unit holds a figure or a mark of a number, so an exponent, 7/8 and 1.2.3 are no numbers rather than odd units; a stroke stands between letters, as in g/kg.
_NUMBER = re.compile(r"([+-]?)([0-9]+)(?:([.,])([0-9]+))?([^0-9/,+-]*(?:[^\W\d_]/[^\W\d_]+\s*)?)")
_PARTS = re.compile(r"([0-9]{1,4})\s*/\s*([0-9]{1,4})")
_MOST_DIGITS = 12
_GRAM, _SMALL_KG = Decimal("0.001"), 10
_SHOWN = 30
_PROOFS = ("proof", "°proof")
_GALLONS = ("gal", "gals", "gallon", "gallons")
# These names of casks are also measures: no figure in litres can be had from them.
_CASK_MEASURES = ("hogshead", "hhd", "pipe", "barrel", "barrels", "bbl", "butt", "drum", "tun")


def _shown(text: str) -> str:
    clean = "".join(sign if sign.isprintable() else "?" for sign in text)
    return f"'{clean[: _SHOWN - 1]}…'" if len(clean) > _SHOWN else f"'{clean}'"


def plain_number(value: Decimal | float) -> str:
    """Figures without exponent and without idle zeros: 11.60 → 11.6."""
    text = format(value if isinstance(value, Decimal) else Decimal(repr(value)), "f")
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"


def _thousands(whole: str, part: str) -> bool:
    """Whether the mark between these digits may be one for thousands, as in 1,505."""
    return len(part) == 3 and len(whole) <= 3 and bool(whole.strip("0"))


def _figure(text: str, decimal_comma: bool, kept: str) -> tuple[Decimal, str, str | None]:
    """(value, unit as typed, how an ambiguous comma was read or None). UnitError where it is no number."""
    found = _NUMBER.fullmatch(text.strip())
    if not found:
        with_unit = f" or 12.5 {kept}" if kept else ""
        raise UnitError(f"{_shown(text)} is no number: expected figures and a unit, as 12.5{with_unit}")
    sign, whole, mark, part, unit = found.groups(default="")
    if mark == "," and not decimal_comma:
        meant = f"{_shown(whole + part)} or {_shown(whole + '.' + part)}, whichever is meant" if _thousands(whole, part) else _shown(whole + "." + part)
        raise UnitError(f"{_shown(text)} has a comma: write {meant}, or let the house declare decimal_comma")
    if len(whole.lstrip("0") + part) > _MOST_DIGITS:
        raise UnitError(f"{_shown(text)} has too many figures: at most {_MOST_DIGITS}")
    value = Decimal(sign + whole + ("." + part if part else ""))
    doubtful = decimal_comma and _thousands(whole, part)
    return value, unit.strip(), f"{whole}{mark}{part} read as {plain_number(value)}" if doubtful else None


def _unit_key(unit: str) -> str:
    return "".join(unit.casefold().replace("º", "°").replace("˚", "°").split()).replace(".", "")


def _by_house(key: str, shown: str, gallon: House | None, proof: House | None) -> str:
    """The key with a bare gal or proof settled by the house."""
    if key in _GALLONS:
        if gallon is None:
            raise AmbiguousUnit(shown, "US or imperial gallons?", ("USgal", "UKgal"))
        return f"{gallon}gal"
    if key in _PROOFS:
        if proof is None:
            raise AmbiguousUnit(shown, "US or UK proof?", ("USproof", "UKproof"))
        return f"{proof}proof"
    return key


def _converter(kind: Kind, unit: str, shown: str, gallon: House | None, proof: House | None) -> tuple[str, Convert]:
    key = _unit_key(unit)
    if kind.unit == "L" and key in _CASK_MEASURES:
        raise AmbiguousUnit(shown, f"{unit} is a cask or a measure: give the volume", ("L", "USgal", "UKgal"))
    if (kind.unit == "L" and key in _GALLONS) or (kind.unit == "% vol" and "proof" in key):
        key = _by_house(key, shown, gallon, proof)
    if key in kind.units:
        return key, kind.units[key]
    raise UnitError(f"{shown}: {_shown(unit)} is no unit of {kind.label}: expected {kind.takes}")


def _kept(value: Decimal, kind: Kind) -> Decimal:
    # A small weight keeps its grams: 1 lb is 0.454 kg, not 0.5.
    step = _GRAM if kind.unit == "kg" and abs(value) < _SMALL_KG else kind.step
    return value.quantize(step, rounding=ROUND_HALF_UP)


def _of_parts(text: str) -> Quantity | None:
    """`1/3`, as the depth of a crack or a soak is told."""
    found = _PARTS.fullmatch(text.strip())
    if not found:
        return None
    if not int(found[2]):
        raise UnitError(f"{_shown(text)} divides by nothing")
    share = _kept(Decimal(int(found[1])) / int(found[2]), KINDS["fraction"])
    return Quantity(float(share), f"{found[1]}/{found[2]} = {plain_number(share)}", int(found[1]) / int(found[2]))


def parse_quantity(
    text: str,
    kind: str,
    *,
    gallon: House | None = None,
    proof: House | None = None,
    decimal_comma: bool = False,
) -> Quantity:
    """A typed figure with an optional unit, in the unit of `kind` (a key of KINDS; a bare figure is in that unit already).

    What is typed in the kept unit stays as typed; a conversion is rounded to the step of the kind, half up, and echoed.
    `gallon` and `proof` say what a bare gal or proof is in this house. UnitError or AmbiguousUnit otherwise."""
    if kind not in KINDS:
        raise UnitError(f"no kind of figure is called {kind!r}; there are {', '.join(KINDS)}")
    chosen = KINDS[kind]
    parts = _of_parts(text) if kind == "fraction" else None
    if parts:
        return parts
    figure, unit, doubt = _figure(text, decimal_comma, chosen.unit)
    if figure < 0 and kind != "temp_c":
        raise UnitError(f"{_shown(text)} is below nothing: {chosen.label} has no minus")
    if not unit:
        return Quantity(_as_float(figure), doubt, _as_float(figure))
    key, convert = _converter(chosen, unit, _shown(text), gallon, proof)
    if convert is AS_TYPED:
        return Quantity(_as_float(figure), doubt, _as_float(figure), key)
    try:
        exact = convert(figure)
    except ValueError as error:
        raise UnitError(f"{_shown(text)}: {error}") from None
    said = f"{plain_number(figure)} {_said(unit, key)} = {plain_number(_kept(exact, chosen))} {chosen.unit}".rstrip()
    return Quantity(_as_float(_kept(exact, chosen)), said + _note(key, figure), _as_float(exact), key)


def _said(unit: str, key: str) -> str:
    """The unit as typed, with the house's reading of a bare gal or proof beside it."""
    bare = _unit_key(unit) in (*_GALLONS, *_PROOFS)
    return f"{unit} ({key[:2].upper()})" if bare else unit


def _note(key: str, figure: Decimal) -> str:
    return f" at 20 °C ({plain_number(figure / 2)} at 60 °F)" if key == "usproof" else ""


def _as_float(value: Decimal) -> float:
    return float(value) + 0.0  # Here -0 becomes 0.
