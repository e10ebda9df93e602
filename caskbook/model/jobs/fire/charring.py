"""Shave, toast and char an open cask."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from caskbook.model.jobs.base import OPEN, Need, Word, number, plain
from caskbook.model.jobs.rules import Broken, any_of, between
from caskbook.model.jobs.work import BenchJob
from caskbook.model.typed import OfType, Typed

CharLevel = Annotated[Annotated[int, Field(ge=1, le=5)] | Literal["house"], OfType("choice", choices=("1", "2", "3", "4", "5", "house"))]


class Shave(BenchJob):
    """Old char or soaked wood is taken off the inside."""

    need: ClassVar[Need] = OPEN
    caution: ClassVar[str | None] = "dust"

    job: Literal["shave"]
    method: Literal["scrape", "flail", "cut"]
    depth_mm: float | None = number("mm", "wood taken off", hard=(0, 10), plausible=(0.5, 6))
    stave_mm: float | None = number("mm", "thinnest stave left", plausible=(10, 50))

    def says(self) -> str:
        left = f", {plain(self.stave_mm)} mm left" if self.stave_mm is not None else ""
        return self.method + (f", {plain(self.depth_mm)} mm off" if self.depth_mm is not None else "") + left


class Toast(BenchJob):
    """The wood is toasted: a fire, no char."""

    need: ClassVar[Need] = OPEN
    caution: ClassVar[str | None] = "fire"

    job: Literal["toast"]
    level: Annotated[Literal["light", "medium", "medium-plus", "heavy", "house"], Typed(words="toast_level", label="toast")]
    minutes: float | None = number("minutes", "time over the fire", plausible=(5, 60))

    def says(self) -> str:
        return self.level + (f", {plain(self.minutes)} min" if self.minutes is not None else "")


class Char(BenchJob):
    """The inside is charred. Whether it is a re-char is worked out, never typed."""

    model_config = between(any_of("level", "seconds"))
    need: ClassVar[Need] = OPEN
    caution: ClassVar[str | None] = "fire"

    job: Literal["char"]
    level: Annotated[CharLevel | None, Typed(label="char level", when="this or seconds must be given")] = Field(None, description="1 to 5, or house")
    seconds: float | None = number("seconds", "burn", plausible=(10, 180))
    depth_mm: float | None = number("mm", "depth of char", plausible=(1, 6))
    heads: Literal["charred", "plain"] | None = None
    fuel: Word | None = None

    def broken(self) -> Iterator[Broken]:
        if self.level is None and self.seconds is None and "seconds" not in self.lost:
            yield Broken("level: a char needs its level (1 to 5, or house) or its seconds", ("level",))

    @model_validator(mode="after")
    def _how_much(self) -> Self:
        return self.held_to_rules()

    def says(self) -> str:
        words = [] if self.level is None else [f"level {self.level}"]
        words += [f"{plain(self.seconds)} s"] if self.seconds is not None else []
        words += [f"{plain(self.depth_mm)} mm deep"] if self.depth_mm is not None else []
        return ", ".join(words + ([f"heads {self.heads}"] if self.heads else []))
