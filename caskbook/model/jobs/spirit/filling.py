"""Filling and emptying."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from caskbook.model.jobs.base import EMPTY, FULL, Need, Text, Word, must, number, strength
from caskbook.model.jobs.rules import Broken, between
from caskbook.model.jobs.spirit.gauged import Gauged, OakSince, Stow
from caskbook.model.typed import Typed

EMPTIED_WHY = ("drawn", "leaked-out", "burst", "lost")


class Fill(Gauged):
    """The cask is filled with spirit."""

    model_config = between({"if": {"required": ["vat_litres"]}, "then": {"required": ["vat"]}})
    need: ClassVar[Need] = Need(contents=EMPTY, form=("whole",))
    caution: ClassVar[str | None] = "vapour"

    job: Literal["fill"]
    spirit: Word
    litres: Annotated[float, Typed(label="litres filled")] = must("litres", "as measured", plausible=(1, 2000))
    abv: float = must("% vol", "strength at 20 °C", hard=(20, 95), plausible=(40, 80), kind="abv")
    method: Literal["meter", "weigh", "dip"] | None = None
    berth: Text | None = None
    stow: Stow | None = None
    oak_since: OakSince | None = Field(None, description="the day the spirit first went into oak, where it is not this day")
    vat: Annotated[Text | None, Typed(label="vat or batch")] = Field(None, description="the vat or batch that it was filled from")
    vat_litres: Annotated[float | None, Typed(label="litres of that vat", when="goes with the vat")] = number(
        "litres", "what the vat held that day for all its casks, as measured"
    )

    def broken(self) -> Iterator[Broken]:
        if self.vat_litres is not None and self.vat is None and "vat" not in self.lost:
            yield Broken("vat_litres: the litres of which vat? `vat` is wanting", ("vat_litres", "vat"))

    @model_validator(mode="after")
    def _of_a_vat(self) -> Self:
        return self.held_to_rules()

    def says(self) -> str:
        return f"{strength(self.litres, self.abv)}, {self.spirit}" + (f", vat {self.vat}" if self.vat else "")


class Empty(Gauged):
    """The cask is emptied."""

    model_config = between(
        {"if": {"properties": {"litres": {"exclusiveMinimum": 0}}}, "then": {"required": ["abv"]}},
        {"if": {"not": {"required": ["replaces"]}}, "then": {"properties": {"why": {"enum": ["drawn", "leaked-out", "burst", "lost", None]}}}},
    )
    need: ClassVar[Need] = FULL
    caution: ClassVar[str | None] = "vapour"

    job: Literal["empty"]
    litres: Annotated[float, Typed(label="litres that came out")] = must("litres", "what came out, as measured")
    abv: Annotated[float | None, Typed(when="must be given unless it came out dry")] = number(
        "% vol", "strength at 20 °C", hard=(0, 100), plausible=(20, 95), kind="abv"
    )
    method: Literal["meter", "weigh", "dip"] | None = None
    why: Annotated[Text | None, Typed(label="why it is empty")] = Field(None, description="drawn, leaked-out, burst or lost")

    def broken(self) -> Iterator[Broken]:
        if "litres" not in self.lost and self.litres > 0 and self.abv is None:
            yield Broken("abv: an emptying of more than 0 litres needs its strength", ("abv",))
        if self.why and self.replaces is None and self.why not in EMPTIED_WHY and "replaces" not in self.lost:
            yield Broken(f"why: write one of {', '.join(EMPTIED_WHY)}; other words belong in note", ("why",))

    @model_validator(mode="after")
    def _strength(self) -> Self:
        return self.held_to_rules()

    def says(self) -> str:
        return strength(self.litres, self.abv) + (f", {self.why}" if self.why else "")
