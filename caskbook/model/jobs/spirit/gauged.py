"""What all events with gauged litres share."""

from typing import Annotated, Any, Literal

from pydantic import Field

from caskbook.model.jobs.base import Day, Event, number
from caskbook.model.jobs.exact import Yes
from caskbook.model.typed import OfType

Stow = Annotated[Literal["bilge", "upright-A", "upright-B"], OfType(words="stow")]
STANDARD_C = 20.0
"""Temperature at which volumes of spirit are compared, °C."""
OakSince = Annotated[Day | Literal["unknown"], OfType("oak")]


class Gauged(Event):
    """An event that may say at what temperature its litres were measured; with neither they are uncorrected."""

    temp_c: float | None = number("°C", "temperature of the liquor", hard=(-20, 40), plausible=(-5, 35), kind="temp_c")
    at_20: Yes | None = Field(None, description="the litres are already at 20 °C")


def has_two_volumes(event: Any) -> bool:
    """Whether an event says its litres both as measured at a temperature and as they are at 20 °C: two volumes, of which one is wrong."""
    temp_c = getattr(event, "temp_c", None)
    return bool(getattr(event, "at_20", None)) and temp_c is not None and temp_c != STANDARD_C


def ways_measured(event: Any) -> list[str]:
    """The fields by which an event says how much there is, of each way one: litres, a dip, a weight. More than one are two measurements."""
    said = vars(event).get  # To ask for a field that a job has not takes a model long.
    return [found for way in _WAYS if (found := next((name for name in way if said(name) is not None), None))]


_WAYS = ("litres",), ("wet_mm", "dry_mm"), ("gross_kg",)
