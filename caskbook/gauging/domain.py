"""The limits of a formula: what lies outside is refused with the limit named, never extrapolated."""

from __future__ import annotations

import math


class DomainError(ValueError):
    """A value outside the domain of a formula; the message is one line and names the limit."""


def plain(value: float) -> str:
    """A number as a person writes it: no trailing zeros, at most six decimals, an exponent only when very large."""
    if isinstance(value, int) and abs(value) >= 10**15:
        return "a number of more than 15 digits"
    if not math.isfinite(value):
        return "not a number" if math.isnan(value) else "infinity" if value > 0 else "-infinity"
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return text if len(text) <= 24 else f"{value:.6g}"


def within(value: float, low: float, high: float, what: str, unit: str = "", source: str = "") -> float:
    """`value` itself when low <= value <= high; else a DomainError such as
    "temperature 145 °C is outside -20 to 40 °C (OIML R 22)"."""
    if low <= value <= high:
        return value
    suffix = f" {unit}" if unit else ""
    where = f" ({source})" if source else ""
    shown = plain(value)
    shown += suffix if shown[-1].isdigit() else ""
    raise DomainError(f"{what} {shown} is outside {plain(low)} to {plain(high)}{suffix}{where}")


def inward(low: float, high: float, names: tuple[str, str], places: int) -> str:
    """A range as text, its ends named and rounded into it, so that an end typed as shown is accepted."""
    step = 10.0**places
    first, last = math.ceil(low * step) / step, math.floor(high * step) / step
    return f"{first:.{places}f} ({names[0]}) to {last:.{places}f} ({names[1]})"
