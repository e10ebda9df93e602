"""One fill in a few figures: what a fill is compared by, and all that an index has to keep of it to know its peers."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from caskbook.life import Life
from caskbook.loss.fills import FillLoss, fill_losses
from caskbook.words import CASK_TYPES

USUAL_LITRES = 200.0


@dataclass(frozen=True, slots=True)
class FillFigure:
    """A fill as others see it. `fill`: its event; `band`: 1st, 2nd, 3rd fill or later with our class of spirit.

    `litres`: size of the cask. `years`: from the first gauge to the last. `steady`: share of the alcohol lost a year, what the
    wood took at first left out; `sigma` its measuring error, one standard deviation. `drift`: % vol a year. `steady` is None
    where it cannot be told.
    """

    cask: str
    fill: str
    type: str
    store: str | None
    band: str
    litres: float
    years: float
    steady: float | None
    sigma: float
    drift: float | None

    def as_row(self) -> tuple[Any, ...]:
        """The figures in order of `COLUMNS`, as an index keeps them."""
        return (self.cask, self.fill, self.type, self.store, self.band, self.litres, self.years, self.steady, self.sigma, self.drift)

    @classmethod
    def from_row(cls, row: tuple[Any, ...]) -> FillFigure:
        """The inverse of `as_row`."""
        return cls(*row)


COLUMNS: tuple[str, ...] = tuple(field.name for field in fields(FillFigure))


def figures_of(life: Life) -> list[FillFigure]:
    """A figure for every fill of spirit of a cask, up to the day of the life."""
    return [figure_of(life, loss) for loss in fill_losses(life)]


def figure_of(life: Life, loss: FillLoss) -> FillFigure:
    """The figure of one fill. What cannot be trusted (a gain, nothing left, gauges in contradiction) has no rate."""
    head, record, whole = life.cask.head, loss.record, loss.whole
    steady = None if whole is None or loss.doubtful else whole.steady
    return FillFigure(
        head.cask, record.filling.event, head.type or "?", record.store, record.band, size_of(record.size_l, head.type),
        0.0 if whole is None else whole.years, steady, 0.0 if whole is None else whole.sigma, None if whole is None else whole.drift,
    )  # fmt: skip


def size_of(litres: float | None, cask_type: str) -> float:
    """Litres of the cask, else the usual ones of its type, else those of a barrel."""
    if litres is not None:
        return litres
    kind = CASK_TYPES.get(cask_type)
    return kind.litres if kind is not None and kind.litres is not None else USUAL_LITRES
