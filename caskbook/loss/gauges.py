"""One gauge: what an entry says of the litres and strength in the cask, brought to 20 °C and to litres of pure alcohol, with
its error. Litres come from the entry, from a dip and the cask's inside, or from its weight."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import Any

from caskbook.gauging.domain import DomainError
from caskbook.gauging.duty import Rounding, as_decimal, litres_pure_alcohol
from caskbook.gauging.volume import Dimensions, at_dip
from caskbook.gauging.volume20 import litres_20_of_kg, volume_factor
from caskbook.model.house import Settings
from caskbook.model.jobs.spirit.gauged import has_two_volumes, ways_measured

CENT = Decimal("0.01")
USUAL_ERROR = {"meter": 0.3, "weigh": 0.2, "dip": 1.0}
"""Standard deviation of the litres, %, by method, where the house names none: careful practice, no source."""
LEAST_ERROR_L = {"meter": 0.3, "weigh": 0.3}
"""And at least so many litres of any amount, by method: a meter starts and stops, a scale has steps, a cask is not drained to the last drop. Careful practice, no source."""
DIP_MM = 2.5
"""Standard deviation of a dip, mm, with what it is rounded to: careful practice, no source."""
SAME_INSIDE = 0.9
"""Part of the variance of a dip's share that is the same at every dip of the cask. What the rod shows errs by its millimetres; the share is the cask's inside, measured
once. A bung diameter that is off by a part e makes the litres of a lying cylinder err by 1.4 e nearly full, 0.9 e at three quarters and 0.7 e at half of it, a length by e
at all of them: what differs from full to half is a tenth of that variance, to three quarters a twentieth (own geometry)."""
SAME_SHARE = {"dip": 0.5, "weigh": 0.5}
"""Part of the variance of any other gauge that is the same at every one by this method of this cask: a weight empty, a dip of which the litres of a millimetre
are not known. No source."""
SAME_OTHERWISE = 0.2
_BARREL_MM, _WIDEST = 620.0, 1.27
"""Bung diameter of 200 L, mm, and how much more one mm tells at half of the depth than on the average of it: from memory."""


@dataclass(frozen=True, slots=True)
class Vessel:
    """What is known of the cask as a vessel on a day: inside measures, litres, weight empty, how it lies."""

    capacity_l: float | None = None
    tare_kg: float | None = None
    inside: Dimensions | None = None
    stow: str | None = None


_NO_VESSEL = Vessel()


@dataclass(frozen=True, slots=True)
class Gauge:
    """What was in the cask on a day. `lpa` None where it cannot be told, `notes` say why.

    `litres_20`, `lpa`: litres at 20 °C, and of pure alcohol, unrounded. `error`: standard deviation of `lpa` as a share of it.
    `corrected`: whether it was brought to 20 °C. `same`, `warm`: of `error` what is the same at every gauge of this cask by the method, and what a lacking
    temperature makes. `rules`: how the house rounded on that day. `entry`, `vessel`: what it was made of.
    """

    day: date
    event: str
    job: str
    method: str
    litres_20: float | None
    abv: float | None
    lpa: float | None
    error: float
    corrected: bool
    notes: tuple[str, ...] = ()
    rules: tuple[Rounding, ...] = ()
    entry: Any = field(default=None, compare=False, repr=False)
    vessel: Vessel = field(default_factory=Vessel, compare=False, repr=False)
    same: float = 0.0
    warm: float = 0.0

    @property
    def litres(self) -> Decimal | None:
        """Litres at 20 °C to the hundredth."""
        return None if self.litres_20 is None else cents(self.litres_20)

    @property
    def counted(self) -> Decimal | None:
        """Litres of pure alcohol as they count, to the hundredth."""
        return None if self.litres_20 is None or self.abv is None else counted_lpa(self.litres_20, self.abv, self.rules)


@dataclass(frozen=True, slots=True)
class Move:
    """Liquor that was put in (above 0) or taken out (below 0) between gauges; as a Gauge otherwise."""

    day: date
    event: str
    job: str
    litres_20: float
    abv: float | None
    lpa: float | None
    error: float
    rules: tuple[Rounding, ...] = ()
    known: bool = True
    """Whether its litres are: of an entry that does not tell them, `litres_20` is 0 and nothing is to be reckoned with it."""

    @property
    def litres(self) -> Decimal:
        """Litres at 20 °C to the hundredth, with their sign."""
        return cents(self.litres_20)

    @property
    def counted(self) -> Decimal | None:
        """Litres of pure alcohol as they count, to the hundredth, with their sign."""
        if self.abv is None or not self.known:
            return None
        amount = counted_lpa(abs(self.litres_20), self.abv, self.rules)
        return amount if self.litres_20 >= 0 else -amount


@dataclass(frozen=True, slots=True)
class Amount:
    """Litres at 20 °C of an entry, how they were found, and what is to be said about them; `per_mm`: litres that one mm of a dip makes."""

    litres_20: float | None
    method: str
    corrected: bool
    notes: tuple[str, ...] = ()
    per_mm: float = 0.0


NOT_TOLD = Amount(None, "meter", False, ("litres not written",))


ROD_MM = 2.0
"""How far the two dips of one measurement may be from the bung diameter together: a millimetre of each reading."""


@lru_cache(maxsize=65536)
def factor_20(abv: float, temp_c: float) -> float:
    """What litres at `temp_c` are multiplied by to give litres at 20 °C: few pairs occur in a book, each often."""
    return volume_factor(abv, temp_c, 20.0)


@lru_cache(maxsize=65536)
def _litre_of_kg(abv: float) -> float:
    return litres_20_of_kg(1.0, abv, in_air=True)


@lru_cache(maxsize=65536, typed=True)  # The same gauge is asked time and again. A float is not the Decimal that it is equal to.
def cents(value: float | Decimal) -> Decimal:
    """To the hundredth, half up, from the decimal that was typed."""
    return as_decimal(value).quantize(CENT, ROUND_HALF_UP)


def tenths(value: Decimal) -> Decimal:
    """To the tenth, half up, from the hundredths that count."""
    return value.quantize(Decimal("0.1"), ROUND_HALF_UP)


def amount_of(entry: Any, abv: float | None, vessel: Vessel) -> Amount:
    """Litres at 20 °C that an entry tells of: its litres, else by its dip, else by its weight."""
    if getattr(entry, "lost", ()) and all(getattr(entry, name, None) is None for name in ("litres", "gross_kg", "wet_mm", "dry_mm")):
        return NOT_TOLD
    method = getattr(entry, "method", None)
    unread = "method" in getattr(entry, "lost", ())
    noted = () if method else (f"method {'cannot be read' if unread else 'not written'}: taken as meter",)
    ways = ways_measured(entry)
    if len(ways) > 1:
        return Amount(None, method or "meter", False, (*noted, f"{' and '.join(ways)} are written: which of them was measured is not known"))
    try:
        if getattr(entry, "litres", None) is not None:
            found = at_20(entry.litres, abv, entry, method or "meter", noted)
            return replace(found, per_mm=_about_per_mm(vessel.capacity_l, entry.litres)) if method == "dip" else found
        if getattr(entry, "gross_kg", None) is not None:
            return _weighed(entry, abv, vessel)
        return _dipped(entry, abv, vessel)
    except DomainError as error:
        return Amount(None, method or "meter", False, (*noted, str(error)))


def at_20(litres: float, abv: float | None, entry: Any, method: str, noted: tuple[str, ...] = ()) -> Amount:
    """Litres measured at the entry's temperature, brought to 20 °C; left as they are, and said, where it has none."""
    if litres and has_two_volumes(entry):
        return Amount(None, method, False, (*noted, f"measured at {entry.temp_c:g} °C and at 20 °C: both are written"))
    if litres == 0 or getattr(entry, "at_20", None):
        return Amount(litres, method, True, noted)
    temp_c = getattr(entry, "temp_c", None)
    if temp_c is None or abv is None:
        why = "uncorrected: no temperature" if temp_c is None else "uncorrected: no strength"
        return Amount(litres, method, False, (*noted, why))
    return Amount(litres * factor_20(abv, temp_c), method, True, noted)


def _weighed(entry: Any, abv: float | None, vessel: Vessel) -> Amount:
    if vessel.tare_kg is None:
        return Amount(None, "weigh", True, (f"weighed, but its weight empty is not known by then: enter measure with tare_kg, dated {entry.date} or before",))
    if abv is None:
        return Amount(None, "weigh", True, ("weighed, but its strength is not known",))
    net = entry.gross_kg - vessel.tare_kg
    if net < 0:
        return Amount(None, "weigh", True, (f"weighs {entry.gross_kg:g} kg, less than the cask empty ({vessel.tare_kg:g} kg)",))
    return Amount(net * _litre_of_kg(abv), "weigh", True)


def _dipped(entry: Any, abv: float | None, vessel: Vessel) -> Amount:
    """Litres at 20 °C by a dip, from the cask's inside as it lies; not told where it is not known, or where both dips do not go together."""
    if vessel.inside is None:
        return Amount(None, "dip", False, (f"dipped, but its inside is not known by then: enter measure with dims_mm, dated {entry.date} or before",))
    stance = "standing" if (vessel.stow or "").startswith("upright") else "lying"
    wet = entry.wet_mm
    if wet is not None and entry.dry_mm is not None and abs(wet + entry.dry_mm - vessel.inside.bung_mm) > ROD_MM:
        return Amount(
            None, "dip", False, (f"dips of {wet:g} mm and {entry.dry_mm:g} mm are not one measurement: the bung diameter is {vessel.inside.bung_mm:g} mm",)
        )
    depth = wet if wet is not None else vessel.inside.bung_mm - entry.dry_mm if stance == "lying" else None
    dip = at_dip(vessel.inside, wet_mm=wet, dry_mm=None if wet is not None else entry.dry_mm, stance=stance, measured_l=vessel.capacity_l)  # type: ignore[arg-type]
    noted = () if vessel.stow else ("how it lay is not written: taken as on its bilge",)
    return replace(at_20(dip.litres, abv, entry, "dip", noted), per_mm=_per_mm(vessel, stance, depth, dip.litres))


def _about_per_mm(capacity_l: float | None, litres: float) -> float:
    """Litres that one mm of a dip makes about, in a cask of this capacity on its bilge; 0 where that is not known. Most at half of it, little near the bung."""
    if not capacity_l or not 0 < litres < capacity_l:
        return 0.0
    deep = _BARREL_MM * float((capacity_l / 200.0) ** (1 / 3))
    full = litres / capacity_l
    return _WIDEST * capacity_l / deep * 2.0 * math.sqrt(full * (1.0 - full))


def _per_mm(vessel: Vessel, stance: str, depth: float | None, litres: float) -> float:
    """Litres that a dip of one mm less would tell less; 0 at the bottom."""
    if depth is None or depth < 1.0 or vessel.inside is None:
        return 0.0
    less = at_dip(vessel.inside, wet_mm=depth - 1.0, stance=stance, measured_l=vessel.capacity_l)  # type: ignore[arg-type]
    return max(0.0, litres - less.litres)


def relative_error(amount: Amount, abv: float | None, settings: Settings) -> float:
    """Standard deviation of the litres of pure alcohol as a share: of the method, in shares and in litres, of the strength, of a lacking temperature."""
    least = DIP_MM * amount.per_mm if amount.per_mm else LEAST_ERROR_L.get(amount.method, 0.0)
    floor = min(1.0, least / amount.litres_20) if amount.litres_20 else 0.0
    volume, warm = _by_method(amount, settings), _lacking(amount, settings)
    strength = settings.strength_error / abv if abv else 0.0
    return math.sqrt(volume**2 + floor**2 + warm**2 + strength**2)


def same_error(amount: Amount, error: float, settings: Settings) -> float:
    """Of `error`, that of an amount, what is the same at every gauge of this cask by the method, so that it goes out between two of them."""
    if amount.method == "dip" and amount.per_mm:
        return math.sqrt(SAME_INSIDE) * _by_method(amount, settings)
    part = SAME_SHARE.get(amount.method, SAME_OTHERWISE)
    return math.sqrt(part * max(0.0, error**2 - _lacking(amount, settings) ** 2))


def _by_method(amount: Amount, settings: Settings) -> float:
    return float(settings.measuring_error.get(amount.method, USUAL_ERROR.get(amount.method, 1.0)) / 100)  # type: ignore[call-overload]


def _lacking(amount: Amount, settings: Settings) -> float:
    """Standard deviation, as a share, for want of a temperature."""
    return 0.0 if amount.corrected else settings.uncorrected_error / 100


@lru_cache(maxsize=65536, typed=True)
def counted_lpa(litres_20: float, abv: float, rules: tuple[Rounding, ...]) -> Decimal:
    """Litres of pure alcohol to the hundredth, rounded as the house is told, else half up."""
    return litres_pure_alcohol(litres_20, abv, rules).quantize(CENT, ROUND_HALF_UP)


def gauge_of(entry: Any, job: str, abv: float | None, amount: Amount, settings: Settings, vessel: Vessel | None = None) -> Gauge:
    """The gauge that an entry makes; `vessel`: the cask on that day."""
    litres, notes = amount.litres_20, amount.notes
    if litres == 0:
        abv = abv or 0.0
    if litres is not None and abv is None:
        notes = (*notes, "strength not known")
    lpa = None if litres is None or abv is None else litres * abv / 100
    error = relative_error(amount, abv, settings)
    return Gauge(
        entry.date, entry.id, job, amount.method, litres, abv, lpa, error, amount.corrected, notes, tuple(settings.rounding), entry, vessel or _NO_VESSEL,
        same_error(amount, error, settings), _lacking(amount, settings),
    )  # fmt: skip


def move_of(entry: Any, job: str, sign: int, abv: float | None, amount: Amount, settings: Settings) -> Move:
    """Liquor put in (sign 1) or taken out (sign -1)."""
    litres = amount.litres_20 or 0.0
    known = amount.litres_20 is not None or not entry.lost
    lpa = None if abv is None or not known else sign * litres * abv / 100
    return Move(entry.date, entry.id, job, sign * litres, abv, lpa, relative_error(amount, abv, settings), tuple(settings.rounding), known)
