"""Gauging what is in it, and drawing a sample."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal, Self

from pydantic import model_validator

from caskbook.model.jobs.base import FULL, Event, Need, must, number, plain, strength
from caskbook.model.jobs.rules import Broken, any_of, between
from caskbook.model.jobs.spirit.gauged import Gauged
from caskbook.model.typed import Typed


class Regauge(Gauged):
    """How much is in it, and how strong."""

    model_config = between(any_of("litres", "wet_mm", "dry_mm", "gross_kg"))
    need: ClassVar[Need] = FULL
    caution: ClassVar[str | None] = "vapour"

    job: Literal["regauge"]
    litres: Annotated[float | None, Typed(when="this, or wet, dry or gross, must be given")] = number("litres", "as measured")
    wet_mm: float | None = number("mm", "wet dip: liquor on the rod", hard=(0, 3000))
    dry_mm: float | None = number("mm", "dry dip: bung to liquor", hard=(0, 3000))
    gross_kg: float | None = number("kg", "weight of cask and liquor", hard=(0, 5000))
    abv: float = must("% vol", "strength at 20 °C", hard=(0, 100), plausible=(20, 95), kind="abv")
    method: Literal["meter", "weigh", "dip"]

    def broken(self) -> Iterator[Broken]:
        if {self.litres, self.wet_mm, self.dry_mm, self.gross_kg} == {None} and not self.lost & {"wet_mm", "dry_mm", "gross_kg"}:
            yield Broken("litres: a regauge needs litres, or wet_mm, dry_mm or gross_kg to work them out", ("litres",))

    @model_validator(mode="after")
    def _how_much(self) -> Self:
        return self.held_to_rules()

    def says(self) -> str:
        dips = {"wet": (self.wet_mm, "mm"), "dry": (self.dry_mm, "mm"), "gross": (self.gross_kg, "kg")}
        found = [f"{word} {plain(figure)} {unit}" for word, (figure, unit) in dips.items() if figure is not None]
        return ", ".join([strength(self.litres, self.abv), *found])


class Sample(Event):
    """A small sample is drawn."""

    need: ClassVar[Need] = FULL
    caution: ClassVar[str | None] = "vapour"

    job: Literal["sample"]
    ml: float = must("ml", "sample size", hard=(0, 20000), plausible=(20, 500))

    def says(self) -> str:
        return f"{plain(self.ml)} ml"
