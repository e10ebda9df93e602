"""What else a gauge may have meant: the usual slips of the pen in one of its figures, and how the alcohol would stand then."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

from caskbook.loss.gauges import Gauge, amount_of
from caskbook.loss.readings import FIELDS, readings


@dataclass(frozen=True, slots=True)
class Misread:
    """Another reading of a gauge. `words`: the question that asks for it. `shift`: logarithm of the alcohol then, less that of the alcohol as
    it is written. `unit`: another unit was meant."""

    words: str
    shift: float
    unit: bool

    def as_row(self) -> list[Any]:
        """In plain values."""
        return [self.words, self.shift, self.unit]


def misreadings(gauge: Gauge) -> tuple[Misread, ...]:
    """Every usual slip of one figure of a gauge; empty where it has no figure, or nothing is in the cask."""
    if gauge.entry is None or not gauge.lpa:
        return ()
    written = _written(gauge.entry)
    found: list[Misread] = []
    for name, kind in FIELDS.items():
        value = written.get(name)
        for reading in readings(kind, value) if value else ():
            lpa = _lpa(gauge, {**written, name: reading.value})
            if lpa:
                found.append(Misread(reading.words, math.log(lpa / gauge.lpa), reading.unit))
    return tuple(found)


def _written(entry: Any) -> dict[str, Any]:
    return {name: getattr(entry, name, None) for name in (*FIELDS, "at_20", "method", "lost")}


def _lpa(gauge: Gauge, figures: dict[str, Any]) -> float | None:
    """Litres of pure alcohol by other figures; None where they cannot be."""
    abv = figures["abv"] if figures["abv"] is not None else gauge.abv
    if abv is None or not 0 < abv <= 100:
        return None
    litres = amount_of(SimpleNamespace(**{**figures, "lost": figures["lost"] or (), "date": gauge.day}), abv, gauge.vessel).litres_20
    return None if litres is None or litres <= 0 else litres * abv / 100
