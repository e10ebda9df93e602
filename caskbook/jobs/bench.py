"""Bench jobs on an empty cask: looking, nosing, testing, and every repair of staves, heads, hoops and bung."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field, model_validator

from caskbook.jobs.arrival import FoundDefect
from caskbook.jobs.base import (
    EMPTY,
    CaskId,
    Event,
    EventId,
    HeadName,
    HoopName,
    Model,
    Need,
    PlaceText,
    StaveName,
    Text,
    Word,
    between,
    listed,
    number,
    plain,
    when,
)

_EMPTY_WHOLE = Need(contents=EMPTY, form=("whole",), bench=True)
_OPEN = Need(contents=EMPTY, form=("open",), bench=True)
Source = CaskId | Literal["new", "unknown"]


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
    def _whole_story(self) -> Test:
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


class Drive(Event):
    """Hoops are driven."""

    need: ClassVar[Need] = Need(form=("whole",), bench=True)
    family: ClassVar[str] = "bench"
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


class Hoop(Event):
    """Hoops are put on in place of old ones."""

    need: ClassVar[Need] = Need(form=("whole", "open"), bench=True)
    family: ClassVar[str] = "bench"
    caution: ClassVar[str | None] = "driving"

    job: Literal["hoop"]
    hoops: list[HoopName] = Field(min_length=1)
    from_: CaskId | Literal["new", "reused"] | None = Field(None, alias="from")
    hoops_after: int | None = Field(None, ge=2, le=20)
    closes: EventId | None = Field(None, description="the leak it stopped")

    def places(self) -> list[str]:
        return list(self.hoops)

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("hoops", n), hoop) for n, hoop in enumerate(self.hoops)] if self.hoops_after is None else []

    def says(self) -> str:
        return listed(list(self.hoops)) + (f", {origin(self.from_)}" if self.from_ else "")


class Stave(Event):
    """Staves are replaced, rejointed or turned, the cask being open."""

    model_config = between(when("action", "replace", "from"))
    need: ClassVar[Need] = _OPEN
    family: ClassVar[str] = "bench"

    job: Literal["stave"]
    staves: list[StaveName] = Field(min_length=1)
    action: Literal["replace", "rejoint", "turn"]
    from_: Source | None = Field(None, alias="from", description="donor cask, new wood or unknown; must be given to replace")
    staves_after: int | None = Field(None, ge=1, le=200)

    @model_validator(mode="after")
    def _from_where(self) -> Stave:
        if self.action == "replace" and self.from_ is None:
            raise ValueError("from: a replaced stave needs where the wood came from: a cask, new or unknown")
        return self

    def places(self) -> list[str]:
        return [f"stave-{stave}" for stave in self.staves]

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("staves", n), f"stave-{stave}") for n, stave in enumerate(self.staves)]

    def says(self) -> str:
        done = {"replace": "replaced", "rejoint": "rejointed", "turn": "turned"}[self.action]
        return f"{listed(list(self.staves))} {done}" + (f", {origin(self.from_)}" if self.from_ else "")


class Head(Event):
    """A head, or pieces of it, is replaced, redowelled or turned."""

    model_config = between(
        {"if": {"properties": {"head": {"enum": ["A", "head-A"]}, "action": {"const": "replace"}}}, "then": {"required": ["mark"]}}
    )
    need: ClassVar[Need] = _OPEN
    family: ClassVar[str] = "bench"

    job: Literal["head"]
    head: HeadName
    action: Literal["replace", "piece", "redowel", "turn"]
    which: list[int] | None = Field(None, description="pieces, counted from the left seen from outside, bung up")
    from_: Source | None = Field(None, alias="from")
    pieces_after: int | None = Field(None, ge=1, le=12)
    mark: Text | None = Field(None, description="the mark on the new head; must be given when head A is replaced")

    @model_validator(mode="after")
    def _marked(self) -> Head:
        if self.action == "replace" and self.head == "A" and self.mark is None:
            raise ValueError("mark: a new head A needs the mark it bears, or the cask loses its number")
        return self

    def places(self) -> list[str]:
        return [f"head-{self.head}-{piece}" for piece in self.which] if self.which else [f"head-{self.head}"]

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("which", n), f"head-{self.head}-{piece}") for n, piece in enumerate(self.which or [])]

    def says(self) -> str:
        what = f"{self.head}, piece {listed(list(self.which))}" if self.which else self.head
        done = {"replace": "replaced", "piece": "replaced", "redowel": "redowelled", "turn": "turned"}[self.action]
        return f"{what} {done}" + (f", {origin(self.from_)}" if self.from_ else "")


class Flag(Event):
    """Dried rush is laid in a joint or croze."""

    need: ClassVar[Need] = Need(contents=EMPTY, bench=True)
    family: ClassVar[str] = "bench"

    job: Literal["flag"]
    at: list[PlaceText] = Field(min_length=1)

    def places(self) -> list[str]:
        return list(self.at)

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("at", n), place) for n, place in enumerate(self.at)]

    def says(self) -> str:
        return "rush in " + listed(list(self.at))


class Peg(Event):
    """A spile, wedge or wax stops a leak for now."""

    need: ClassVar[Need] = Need(form=("whole",), bench=True)
    family: ClassVar[str] = "bench"

    job: Literal["peg"]
    at: PlaceText
    kind: Literal["spile", "wedge", "wax"]
    closes: EventId | None = Field(None, description="the leak it stopped, where its place differs")

    def places(self) -> list[str]:
        return [self.at]

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("at",), self.at)]

    def says(self) -> str:
        return f"{self.kind} at {self.at}"


class Bung(Event):
    """The bung hole is rebored, bushed or moved, or the bung replaced."""

    model_config = between(when("action", "moved", "to"), {"if": {"required": ["to"]}, "then": {"properties": {"action": {"const": "moved"}}}})
    need: ClassVar[Need] = Need(form=("whole", "open"), bench=True)
    family: ClassVar[str] = "bench"

    job: Literal["bung"]
    action: Literal["rebore", "bush", "replace", "moved"]
    bore_mm: float | None = number("mm", "bore of the bung hole", plausible=(40, 65))
    to: StaveName | None = Field(None, description="the stave it was moved to")

    @model_validator(mode="after")
    def _to_where(self) -> Bung:
        if (self.action == "moved") != (self.to is not None):
            raise ValueError("to: a moved bung hole, and only that, needs the stave it went to")
        return self

    def places(self) -> list[str]:
        return ["bung"]

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [] if self.to is None else [(("to",), f"stave-{self.to}")]

    def says(self) -> str:
        done = {"rebore": "rebored", "bush": "bushed", "replace": "replaced", "moved": f"moved to stave {self.to}"}[self.action]
        return done + (f", {plain(self.bore_mm)} mm" if self.bore_mm is not None else "")


class Open(Event):
    """One or both heads come out."""

    need: ClassVar[Need] = Need(contents=EMPTY, form=("whole", "open"), bench=True)
    family: ClassVar[str] = "bench"
    caution: ClassVar[str | None] = "looking-in"

    job: Literal["open"]
    heads: list[HeadName] = Field(min_length=1, max_length=2)

    def says(self) -> str:
        return f"head {listed(list(self.heads))} out"


class Close(Event):
    """Heads go back in."""

    need: ClassVar[Need] = _OPEN
    family: ClassVar[str] = "bench"

    job: Literal["close"]
    heads: list[HeadName] = Field(min_length=1, max_length=2)

    def says(self) -> str:
        return f"head {listed(list(self.heads))} in"


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
    heads: list[int] | None = Field(None, min_length=2, max_length=2)
    hoops: int | None = Field(None, ge=2, le=20)
    stave_mm: float | None = number("mm", "thinnest stave", plausible=(10, 50))

    def says(self) -> str:
        shown = {"holds": (self.capacity_l, " L"), "weighs": (self.tare_kg, " kg"), "thinnest stave": (self.stave_mm, " mm")}
        words = [f"{word} {plain(figure)}{unit}" for word, (figure, unit) in shown.items() if figure is not None]
        counts = {"staves": self.staves, "hoops": self.hoops}
        return ", ".join(words + [f"{count} {word}" for word, count in counts.items() if count is not None]) or "measured"


class KnockDown(Event):
    """An empty cask is taken down into a bundle of staves."""

    need: ClassVar[Need] = _EMPTY_WHOLE
    family: ClassVar[str] = "bench"
    caution: ClassVar[str | None] = "knocking-down"

    job: Literal["knock-down"]
    staves: int | None = Field(None, ge=1, le=200)

    def says(self) -> str:
        return f"into {self.staves} staves" if self.staves else "into staves"


class SwapHeads(Event):
    """Two open casks were found with each other's head: the book says so in both."""

    need: ClassVar[Need] = _OPEN
    family: ClassVar[str] = "bench"

    job: Literal["swap-heads"]
    with_: CaskId = Field(alias="with")
    heads: list[HeadName] = Field(min_length=1, max_length=2)
    why: Text

    def says(self) -> str:
        return f"head {listed(list(self.heads))} with {self.with_}"


def origin(source: str | None) -> str:
    """Where a part came from: "new wood", "from TH-001187"."""
    return {"new": "new", "reused": "reused", "unknown": "of unknown past", None: ""}.get(source, f"from {source}")


BENCH: tuple[type[Event], ...] = (
    Examine, Nose, Treat, Soak, Test, Drive, Hoop, Stave, Head, Flag, Peg, Bung, Open, Close, Measure, KnockDown, SwapHeads,
)  # fmt: skip
