"""Water and air: is it tight?"""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from caskbook.model.jobs.base import EMPTY_WHOLE, Model, Need, PlaceText, Word, listed, number, plain
from caskbook.model.jobs.rules import Broken, between, when
from caskbook.model.jobs.work import BenchJob
from caskbook.model.typed import Typed


class LeakFound(Model):
    """Where a test leaked."""

    at: PlaceText
    kind: Word | None = Field(None, description="what kind of leak, a word of the trade")


class Test(BenchJob):
    """A little water and air: is it tight? With `cured_by` it leaked, was cured and passed in one go."""

    __test__ = False  # This is no class of tests.
    model_config = between(
        {"if": {"properties": {"method": {"const": "water"}}, "required": ["method"]}, "else": {"required": ["psi"]}},
        when("result", "fail", "leaks"),
        {"if": {"required": ["cured_by"]}, "then": {"required": ["leaks"], "properties": {"result": {"const": "pass"}}}},
        {"if": {"required": ["leaks"], "properties": {"result": {"const": "pass"}}}, "then": {"required": ["cured_by"]}},
    )
    need: ClassVar[Need] = EMPTY_WHOLE
    caution: ClassVar[str | None] = "air-test"

    job: Literal["test"]
    method: Literal["air", "water"] = "air"
    psi: Annotated[float | None, Typed(when="must be given for an air test")] = number("psi", "gauge pressure of an air test", plausible=(5, 12), kind="psi")
    water_l: float | None = number("litres", "water put in", plausible=(0.5, 25))
    minutes: float | None = number("minutes", "how long it was held", plausible=(0, 120))
    result: Annotated[Literal["pass", "fail"], Typed(words="result")]
    leaks: Annotated[list[LeakFound] | None, Typed("leaks", label="where it leaked")] = Field(None, description="where it leaked; must be given when it failed")
    cured_by: Annotated[Literal["drive", "took-up"] | None, Typed(words="cured_by", when="with pass and leaks: leaked, cured and tight in one go")] = None

    def broken(self) -> Iterator[Broken]:
        if self.method == "air" and self.psi is None:
            yield Broken("psi: an air test needs its pressure", ("psi",))
        if self.result == "fail" and not self.leaks:
            yield Broken("leaks: a failed test needs the place it leaked, or unseen", ("leaks",))
        if self.cured_by and (self.result != "pass" or not self.leaks) and not self.lost & {"result", "leaks"}:
            yield Broken("cured_by: goes with result: pass and the leaks that were cured", ("cured_by", "result"))
        if self.leaks and self.result == "pass" and not self.cured_by:
            # A pass that leaked, and of which nobody can read what cured it, is no pass.
            yield Broken("cured_by: a pass with leaks needs what cured them, drive or took-up", ("cured_by", "result"))

    @model_validator(mode="after")
    def _whole_story(self) -> Self:
        return self.held_to_rules()

    def places(self) -> list[str]:
        """What driving cured in one go with the pass is mended; what took up by itself, or leaked, answers nothing."""
        return [leak.at for leak in self.leaks or []] if self.result == "pass" and self.cured_by == "drive" else []

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("leaks", n, "at"), leak.at) for n, leak in enumerate(self.leaks or [])]

    def says(self) -> str:
        at = listed([leak.at for leak in self.leaks or []])
        how = f", {plain(self.psi)} psi" if self.psi is not None else ", water" if self.method == "water" else ""
        if self.result == "fail":
            return f"FAIL at {at}{how}"
        cured = {"drive": "cured by driving", "took-up": "took up"}.get(self.cured_by or "", "")
        return f"pass{how}" + (f", leaked first at {at}, {cured}" if cured else "")
