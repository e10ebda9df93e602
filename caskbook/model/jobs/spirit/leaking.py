"""A full cask leaks, and is looked at again."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from caskbook.model.jobs.base import FULL, Day, Event, EventId, Need, PlaceText
from caskbook.model.typed import Typed


class Leak(Event):
    """A full cask is seen to leak: an observation, that may heal."""

    need: ClassVar[Need] = FULL
    caution: ClassVar[str | None] = "leak"

    job: Literal["leak"]
    at: Annotated[PlaceText, Typed(label="where it leaks")]
    severity: Annotated[Literal["weep", "drip", "run"], Typed(words="leak", label="how much")]
    look_again: Day | None = Field(None, description="the day to look again, where it is not the house's")

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("at",), self.at)]

    def says(self) -> str:
        return f"{self.severity} at {self.at}"


class Look(Event):
    """The leak, or the whole cask, is looked at again."""

    need: ClassVar[Need] = FULL

    job: Literal["look"]
    seen: Annotated[Literal["dry", "weep", "drip", "run"], Typed(words="seen")]
    at: PlaceText | None = None
    of: EventId | None = Field(None, description="the leak event looked at")
    closed_as: Annotated[Literal["took-up", "repaired", "false"] | None, Typed(words="because")] = Field(None, description="what made it dry")

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [] if self.at is None else [(("at",), self.at)]

    def says(self) -> str:
        at = f" at {self.at}" if self.at else ""
        return f"{self.seen}{at}" + (f", {self.closed_as}" if self.closed_as else "")
