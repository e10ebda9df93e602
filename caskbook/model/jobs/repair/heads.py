"""Heads taken out and put back in."""

from typing import ClassVar, Literal

from pydantic import Field

from caskbook.model.jobs.base import EMPTY, OPEN, HeadName, Need, listed
from caskbook.model.jobs.work import BenchJob


class Open(BenchJob):
    """One or both heads come out."""

    need: ClassVar[Need] = Need(contents=EMPTY, form=("whole", "open"), bench=True)
    caution: ClassVar[str | None] = "looking-in"

    job: Literal["open"]
    heads: list[HeadName] = Field(min_length=1, max_length=2)

    def says(self) -> str:
        return f"head {listed(list(self.heads))} out"


class Close(BenchJob):
    """Heads go back in."""

    need: ClassVar[Need] = OPEN

    job: Literal["close"]
    heads: list[HeadName] = Field(min_length=1, max_length=2)

    def says(self) -> str:
        return f"head {listed(list(self.heads))} in"
