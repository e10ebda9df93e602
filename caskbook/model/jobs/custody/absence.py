"""Not where the book says, and found again."""

from typing import ClassVar, Literal

from caskbook.model.jobs.base import Event, Need, Text
from caskbook.model.jobs.spirit.gauged import Stow


class Missing(Event):
    """It is not where the book says."""

    need: ClassVar[Need] = Need()

    job: Literal["missing"]

    def says(self) -> str:
        return "not where the book says"


class Found(Event):
    """A missing cask is found."""

    need: ClassVar[Need] = Need(where=("missing",))

    job: Literal["found"]
    berth: Text | None = None
    stow: Stow | None = None

    def says(self) -> str:
        return f"at {self.berth}" if self.berth else "found"
