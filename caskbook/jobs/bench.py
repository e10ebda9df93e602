"""Looking at an empty cask: examine, nose, treat, soak, test and measure."""

from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from caskbook.jobs.arrival import FoundDefect
from caskbook.jobs.base import (
    EMPTY,
    Event,
    Model,
    Need,
    PlaceText,
    Word,
    between,
    listed,
    number,
    plain,
    when,
)

_EMPTY_WHOLE = Need(contents=EMPTY, form=("whole",), bench=True)


class Examine(Event):
    """A full look at an empty cask; it restates everything that is open."""

    need: ClassVar[Need] = Need(contents=EMPTY, form=("whole", "open"), bench=True)
    family: ClassVar[str] = "bench"
    caution: ClassVar[str | None] = "looking-in"

    job: Literal["examine"]
    verdict: Literal["sound", "repair", "hold", "reject"]
    findings: list[FoundDefect] | None = None
    stave_mm: float | None = number("mm", "thinnest stave", plausible=(10, 50))
    soaked: float | None = Field(None, ge=0, le=1, allow_inf_nan=False, description="how deep the liquor has gone in, fraction of thickness")

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("findings", n, "at"), found.at) for n, found in enumerate(self.findings or [])]

    def says(self) -> str:
        words = [self.verdict, *(found.says() for found in self.findings or [])]
        if self.stave_mm is not None:
            words.append(f"thinnest stave {plain(self.stave_mm)} mm")
        return ", ".join(words)


class Nose(Event):
    """The cask is nosed at the bung."""

    need: ClassVar[Need] = Need(contents=EMPTY, bench=True)
    family: ClassVar[str] = "bench"
    caution: ClassVar[str | None] = "looking-in"

    job: Literal["nose"]
    verdict: Literal["clean", "faint", "fault"]
    faults: list[Word] | None = None

    def says(self) -> str:
        return self.verdict + (f": {listed(list(self.faults))}" if self.faults else "")


class Treat(Event):
    """Draining, rinsing, steaming, airing or scrubbing against a taint or what was left in it."""

    need: ClassVar[Need] = Need(contents=EMPTY, bench=True)
    family: ClassVar[str] = "bench"

    job: Literal["treat"]
    method: Literal["drain", "rinse", "steam", "air", "scrub"]
    against: Literal["taint", "residue"] = Field(alias="for")
    hours: float | None = number("hours", "how long", plausible=(0, 720))
    litres_out: float | None = number("litres", "what came out", plausible=(0, 50))

    def says(self) -> str:
        return f"{self.method}, for {self.against}" + (f", {plain(self.hours)} h" if self.hours is not None else "")


class Soak(Event):
    """Water stands in the cask so that it takes up."""

    need: ClassVar[Need] = _EMPTY_WHOLE
    family: ClassVar[str] = "bench"
    caution: ClassVar[str | None] = "hot-soak"

    job: Literal["soak"]
    method: Literal["cold", "hot", "steam"]
    hours: float | None = number("hours", "how long", plausible=(0, 48))

    def says(self) -> str:
        return self.method + (f", {plain(self.hours)} h" if self.hours is not None else "")


class LeakFound(Model):
    """Where a test leaked."""

    at: PlaceText
    kind: Word | None = Field(None, description="what kind of leak, a word of the trade")


class Test(Event):
    """A little water and air: is it tight? With `cured_by` it leaked, was cured and passed in one go."""

    __test__ = False  # not a test class
    model_config = between(
        {"if": {"properties": {"method": {"const": "water"}}, "required": ["method"]}, "else": {"required": ["psi"]}},
        when("result", "fail", "leaks"),
        {"if": {"required": ["cured_by"]}, "then": {"required": ["leaks"], "properties": {"result": {"const": "pass"}}}},
        {"if": {"required": ["leaks"], "properties": {"result": {"const": "pass"}}}, "then": {"required": ["cured_by"]}},
    )
    need: ClassVar[Need] = _EMPTY_WHOLE
    family: ClassVar[str] = "bench"
    caution: ClassVar[str | None] = "air-test"

    job: Literal["test"]
    method: Literal["air", "water"] = "air"
    psi: float | None = number("psi", "gauge pressure of an air test", plausible=(5, 12), kind="psi")
    water_l: float | None = number("litres", "water put in", plausible=(0.5, 25))
    minutes: float | None = number("minutes", "how long it was held", plausible=(0, 120))
    result: Literal["pass", "fail"]
    leaks: list[LeakFound] | None = Field(None, description="where it leaked; must be given when it failed")
    cured_by: Literal["drive", "took-up"] | None = None

    @model_validator(mode="after")
    def _whole_story(self) -> Self:
        if self.method == "air" and self.psi is None:
            raise ValueError("psi: an air test needs its pressure")
        if self.result == "fail" and not self.leaks:
            raise ValueError("leaks: a failed test needs the place it leaked, or unseen")
        if self.cured_by and (self.result != "pass" or not self.leaks):
            raise ValueError("cured_by: goes with result: pass and the leaks that were cured")
        if self.leaks and self.result == "pass" and not self.cured_by:
            raise ValueError("cured_by: a pass with leaks needs what cured them, drive or took-up")
        return self

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("leaks", n, "at"), leak.at) for n, leak in enumerate(self.leaks or [])]

    def says(self) -> str:
        at = listed([leak.at for leak in self.leaks or []])
        how = f", {plain(self.psi)} psi" if self.psi is not None else ", water" if self.method == "water" else ""
        if self.result == "fail":
            return f"FAIL at {at}{how}"
        cured = {"drive": "cured by driving", "took-up": "took up"}.get(self.cured_by or "", "")
        return f"pass{how}" + (f", leaked first at {at}, {cured}" if cured else "")


class Dims(Model):
    """Inside dimensions of a cask."""

    bung: float | None = Field(None, gt=0, le=3000, allow_inf_nan=False, description="bung diameter, mm")
    head: float | None = Field(None, gt=0, le=3000, allow_inf_nan=False, description="head diameter, mm")
    length: float | None = Field(None, gt=0, le=3000, allow_inf_nan=False, description="inside length, mm")


class Measure(Event):
    """The cask is measured: what it holds, what it weighs, how thick it is."""

    need: ClassVar[Need] = Need(bench=True)
    family: ClassVar[str] = "bench"

    job: Literal["measure"]
    capacity_l: float | None = number("litres", "measured capacity", hard=(1, 2000), plausible=(27, 700))
    tare_kg: float | None = number("kg", "weight empty", plausible=(8, 200))
    dims_mm: Dims | None = None
    staves: int | None = Field(None, ge=1, le=200)
    heads: list[Annotated[int, Field(ge=1, le=12)]] | None = Field(None, min_length=2, max_length=2)
    hoops: int | None = Field(None, ge=2, le=20)
    stave_mm: float | None = number("mm", "thinnest stave", plausible=(10, 50))

    def says(self) -> str:
        shown = {"holds": (self.capacity_l, " L"), "weighs": (self.tare_kg, " kg"), "thinnest stave": (self.stave_mm, " mm")}
        words = [f"{word} {plain(figure)}{unit}" for word, (figure, unit) in shown.items() if figure is not None]
        counts = {"staves": self.staves, "hoops": self.hoops}
        return ", ".join(words + [f"{count} {word}" for word, count in counts.items() if count is not None]) or "measured"


BENCH: tuple[type[Event], ...] = (Examine, Nose, Treat, Soak, Test, Measure)
