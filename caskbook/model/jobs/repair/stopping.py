"""What is done to a leak without opening the cask, and to the bung hole: peg, rush, bung."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from caskbook.model.jobs.base import EMPTY, EventId, Need, PlaceText, StaveName, listed, number, plain
from caskbook.model.jobs.rules import Broken, between, when
from caskbook.model.jobs.work import BenchJob
from caskbook.model.typed import Typed


class Flag(BenchJob):
    """Dried rush is laid in a joint or croze."""

    need: ClassVar[Need] = Need(contents=EMPTY, bench=True)

    job: Literal["flag"]
    at: Annotated[list[PlaceText], Typed(label="where")] = Field(min_length=1)

    def places(self) -> list[str]:
        return list(self.at)

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("at", n), place) for n, place in enumerate(self.at)]

    def says(self) -> str:
        return "rush in " + listed(list(self.at))


class Peg(BenchJob):
    """A spile, wedge or wax stops a leak for now."""

    need: ClassVar[Need] = Need(form=("whole",), bench=True)

    job: Literal["peg"]
    at: Annotated[PlaceText, Typed(label="where")]
    kind: Annotated[Literal["spile", "wedge", "wax"], Typed(words="peg_kind", label="kind of peg")]
    closes: EventId | None = Field(None, description="the leak it stopped, where its place differs")

    def places(self) -> list[str]:
        return [self.at]

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("at",), self.at)]

    def says(self) -> str:
        return f"{self.kind} at {self.at}"


class Bung(BenchJob):
    """The bung hole is rebored, bushed or moved, or the bung replaced."""

    model_config = between(when("action", "moved", "to"), {"if": {"required": ["to"]}, "then": {"properties": {"action": {"const": "moved"}}}})
    need: ClassVar[Need] = Need(form=("whole", "open"), bench=True)

    job: Literal["bung"]
    action: Literal["rebore", "bush", "replace", "moved"]
    bore_mm: float | None = number("mm", "bore of the bung hole", plausible=(40, 65))
    to: Annotated[StaveName | None, Typed(label="to which stave", when="must be given for moved")] = Field(None, description="the stave it was moved to")

    def broken(self) -> Iterator[Broken]:
        text = "to: a moved bung hole, and only that, needs the stave it went to"
        if self.action == "moved" and self.to is None:
            yield Broken(text, ("to",))
        if self.to is not None and self.action != "moved" and "action" not in self.lost:
            yield Broken(text, ("to", "action"))

    @model_validator(mode="after")
    def _to_where(self) -> Self:
        return self.held_to_rules()

    def places(self) -> list[str]:
        return ["bung"]

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [] if self.to is None else [(("to",), f"stave-{self.to}")]

    def says(self) -> str:
        done = {"rebore": "rebored", "bush": "bushed", "replace": "replaced", "moved": f"moved to stave {self.to}"}[self.action]
        return done + (f", {plain(self.bore_mm)} mm" if self.bore_mm is not None else "")
