"""Repairs: hoops, staves, heads, rush, pegs, the bung, opening and closing, knocking down."""

from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from caskbook.jobs.base import (
    EMPTY,
    CaskId,
    Event,
    EventId,
    HeadName,
    HoopName,
    Need,
    PlaceText,
    StaveName,
    Text,
    between,
    listed,
    number,
    plain,
    when,
)

_EMPTY_WHOLE = Need(contents=EMPTY, form=("whole",), bench=True)
_OPEN = Need(contents=EMPTY, form=("open",), bench=True)
Piece = Annotated[int, Field(ge=1, le=12)]
Source = CaskId | Literal["new", "unknown"]


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
    def _from_where(self) -> Self:
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
    which: list[Piece] | None = Field(None, description="pieces, counted from the left seen from outside, bung up")
    from_: Source | None = Field(None, alias="from")
    pieces_after: int | None = Field(None, ge=1, le=12)
    mark: Text | None = Field(None, description="the mark on the new head; must be given when head A is replaced")

    @model_validator(mode="after")
    def _marked(self) -> Self:
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
    def _to_where(self) -> Self:
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


REPAIR: tuple[type[Event], ...] = (Drive, Hoop, Stave, Head, Flag, Peg, Bung, Open, Close, KnockDown, SwapHeads)
