"""Gauges that cannot be true beside the others of their fill, and what each was probably meant to be: the same words wherever they are told."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from caskbook.loss.consistent import nets_of
from caskbook.loss.fills import FillLoss
from caskbook.loss.gauges import Gauge
from caskbook.loss.intervals import COVERAGE
from caskbook.loss.misread import misreadings


@dataclass(frozen=True, slots=True)
class Aside:
    """A gauge set aside, why it cannot be true, and the question for what was meant; "" where no usual slip explains it."""

    gauge: Gauge
    why: str
    meant: str

    @property
    def words(self) -> str:
        """ "2019-01-01 (e0000005): 31.8 L of alcohol, and 118.2 L on 2021-01-01 after it; 50.2 US gal is 190.03 L: did you mean US gal?"."""
        return f"{self.gauge.day} ({self.gauge.event}): {self.why}{f'; {self.meant}' if self.meant else ''}"


def asides_of(loss: FillLoss) -> tuple[Aside, ...]:
    """Every gauge of a fill that was set aside, in time."""
    return tuple(_aside(loss, gauge) for gauge in loss.set_aside)


def _aside(loss: FillLoss, gauge: Gauge) -> Aside:
    """Why one gauge cannot be true beside those that are used, and the usual slip that brings it between those before and those after it."""
    nets = nets_of(loss.record.entries)
    own = nets[id(gauge)]
    before = [one for one in loss.used if one.day <= gauge.day and _place(loss, one) < _place(loss, gauge)]
    after = [one for one in loss.used if _place(loss, one) > _place(loss, gauge)]
    most = _bound(min((nets[id(one)] for one in before), default=math.inf), before[-1:], 1)
    least = _bound(max((nets[id(one)] for one in after), default=-math.inf), after[:1], -1)
    told = after[0] if after and own < least else before[-1] if before else None
    why = f"{_shown(gauge)} L of alcohol" + ("" if told is None else f", and {_shown(told)} L on {told.day} {'after' if told in after else 'before'} it")
    moved = own - (gauge.lpa or 0.0)
    fits = [one for one in misreadings(gauge) if least <= (gauge.lpa or 0.0) * math.exp(one.shift) + moved <= most]
    meant = min(fits, key=lambda one: not one.unit, default=None)
    return Aside(gauge, why, meant.words if meant is not None else "")


def _bound(net: float, gauges: list[Gauge], sign: int) -> float:
    """What may still be there beside this gauge, its error of two standard deviations allowed for."""
    return net + sign * COVERAGE * math.sqrt(2.0) * sum(gauge.error * (gauge.lpa or 0.0) for gauge in gauges) if math.isfinite(net) else net


def _place(loss: FillLoss, gauge: Gauge) -> int:
    return next(n for n, entry in enumerate(loss.record.entries) if entry is gauge)


def _shown(gauge: Gauge) -> Decimal:
    return Decimal(gauge.counted or 0).quantize(Decimal("0.1"), ROUND_HALF_UP)
