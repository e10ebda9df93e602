"""Hoops driven or replaced."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from caskbook.model.jobs.base import CaskId, EventId, HoopName, Need, donor, listed, origin
from caskbook.model.jobs.work import BenchJob
from caskbook.model.typed import Typed


class Drive(BenchJob):
    """Hoops are driven."""

    need: ClassVar[Need] = Need(form=("whole",), bench=True)
    caution: ClassVar[str | None] = "driving"

    job: Literal["drive"]
    hoops: list[HoopName] | None = Field(None, description="which; none means all")
    closes: EventId | None = Field(None, description="the leak it stopped")

    def places(self) -> list[str]:
        return list(self.hoops or [])

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("hoops", n), hoop) for n, hoop in enumerate(self.hoops or [])]

    def says(self) -> str:
        return listed(list(self.hoops)) if self.hoops else "all hoops"


class Hoop(BenchJob):
    """Hoops are put on in place of old ones."""

    need: ClassVar[Need] = Need(form=("whole", "open"), bench=True)
    caution: ClassVar[str | None] = "driving"

    job: Literal["hoop"]
    hoops: Annotated[list[HoopName], Typed(label="which hoops")] = Field(min_length=1)
    from_: Annotated[CaskId | Literal["new", "reused"] | None, Typed("source")] = Field(None, alias="from")
    hoops_after: int | None = Field(None, ge=2, le=20)
    closes: EventId | None = Field(None, description="the leak it stopped")

    def places(self) -> list[str]:
        return list(self.hoops)

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("hoops", n), hoop) for n, hoop in enumerate(self.hoops)] if self.hoops_after is None else []

    def other_casks(self) -> list[str]:
        return donor(self.from_)

    def says(self) -> str:
        return listed(list(self.hoops)) + (f", {origin(self.from_)}" if self.from_ else "")
