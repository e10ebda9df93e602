"""Treatments of an empty cask: treat and soak."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from caskbook.model.jobs.base import EMPTY, EMPTY_WHOLE, Need, number, plain
from caskbook.model.jobs.work import BenchJob
from caskbook.model.typed import Typed


class Treat(BenchJob):
    """Draining, rinsing, steaming, airing or scrubbing against a taint or what was left in it."""

    need: ClassVar[Need] = Need(contents=EMPTY, bench=True)

    job: Literal["treat"]
    method: Literal["drain", "rinse", "steam", "air", "scrub"]
    against: Annotated[Literal["taint", "residue"], Typed(label="against")] = Field(alias="for")
    hours: float | None = number("hours", "how long", plausible=(0, 720))
    litres_out: float | None = number("litres", "what came out", plausible=(0, 50))

    def says(self) -> str:
        return f"{self.method}, for {self.against}" + (f", {plain(self.hours)} h" if self.hours is not None else "")


class Soak(BenchJob):
    """Water stands in the cask so that it takes up."""

    need: ClassVar[Need] = EMPTY_WHOLE
    caution: ClassVar[str | None] = "hot-soak"

    job: Literal["soak"]
    method: Literal["cold", "hot", "steam"]
    hours: float | None = number("hours", "how long", plausible=(0, 48))

    def says(self) -> str:
        return self.method + (f", {plain(self.hours)} h" if self.hours is not None else "")
