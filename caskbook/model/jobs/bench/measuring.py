"""What a cask holds, weighs and measures."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from caskbook.model.jobs.base import Model, Need, number, plain
from caskbook.model.jobs.work import BenchJob
from caskbook.model.typed import Typed


class Dims(Model):
    """Inside dimensions of a cask."""

    bung: float | None = Field(None, gt=0, le=3000, allow_inf_nan=False, description="bung diameter, mm")
    head: float | None = Field(None, gt=0, le=3000, allow_inf_nan=False, description="head diameter, mm")
    length: float | None = Field(None, gt=0, le=3000, allow_inf_nan=False, description="inside length, mm")

    def across(self) -> dict[str, float]:
        """The measures that were taken, by name, mm."""
        found = {"bung": self.bung, "head": self.head, "length": self.length}
        return {name: mm for name, mm in found.items() if mm is not None}


class Measure(BenchJob):
    """The cask is measured: what it holds, what it weighs, how thick it is."""

    need: ClassVar[Need] = Need(bench=True)

    job: Literal["measure"]
    capacity_l: float | None = number("litres", "measured capacity", hard=(1, 2000), plausible=(27, 700))
    tare_kg: float | None = number("kg", "weight empty", plausible=(8, 200))
    dims_mm: Annotated[Dims | None, Typed("dims")] = None
    staves: int | None = Field(None, ge=1, le=200)
    heads: list[Annotated[int, Field(ge=1, le=12)]] | None = Field(None, min_length=2, max_length=2)
    hoops: int | None = Field(None, ge=2, le=20)
    stave_mm: float | None = number("mm", "thinnest stave", plausible=(10, 50))

    def says(self) -> str:
        shown = {"holds": (self.capacity_l, " L"), "weighs": (self.tare_kg, " kg"), "thinnest stave": (self.stave_mm, " mm")}
        words = [f"{word} {plain(figure)}{unit}" for word, (figure, unit) in shown.items() if figure is not None]
        counts = {"staves": self.staves, "hoops": self.hoops}
        words += [f"{count} {word}" for word, count in counts.items() if count is not None]
        inside = [f"{word} {plain(mm)}" for word, mm in (self.dims_mm.across() if self.dims_mm else {}).items()]
        return ", ".join(words + ([f"measured: {', '.join(inside)} mm"] if inside else [])) or "measured"
