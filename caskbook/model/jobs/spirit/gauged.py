"""What all events with gauged litres share."""

from typing import Annotated, Literal

from pydantic import Field

from caskbook.model.jobs.base import Day, Event, number
from caskbook.model.typed import OfType

Stow = Annotated[Literal["bilge", "upright-A", "upright-B"], OfType(words="stow")]
OakSince = Annotated[Day | Literal["unknown"], OfType("oak")]


class Gauged(Event):
    """An event that may say at what temperature its litres were measured; with neither they are uncorrected."""

    temp_c: float | None = number("°C", "temperature of the liquor", hard=(-20, 40), plausible=(-5, 35), kind="temp_c")
    at_20: Literal[True] | None = Field(None, description="the litres are already at 20 °C")
