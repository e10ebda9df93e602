"""Staves and heads replaced or taken down."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from caskbook.model.jobs.base import EMPTY_WHOLE, OPEN, CaskId, HeadName, Need, StaveName, Text, donor, listed, origin
from caskbook.model.jobs.rules import Broken, between, when
from caskbook.model.jobs.work import BenchJob
from caskbook.model.typed import OfType, Typed

Piece = Annotated[int, Field(ge=1, le=12)]
Source = Annotated[CaskId | Literal["new", "unknown"], OfType("source")]


class Stave(BenchJob):
    """Staves are replaced, rejointed or turned, the cask being open."""

    model_config = between(when("action", "replace", "from"))
    need: ClassVar[Need] = OPEN

    job: Literal["stave"]
    staves: Annotated[list[StaveName], Typed(label="which staves")] = Field(min_length=1)
    action: Literal["replace", "rejoint", "turn"]
    from_: Source | None = Field(None, alias="from", description="donor cask, new wood or unknown; must be given to replace")
    from_tainted: Annotated[Text | None, Typed(label="taint of its donor")] = Field(None, description="the taint that the donor had, as the book tells it")
    staves_after: int | None = Field(None, ge=1, le=200)

    def broken(self) -> Iterator[Broken]:
        if self.action == "replace" and self.from_ is None:
            yield Broken("from: a replaced stave needs where the wood came from: a cask, new or unknown", ("from",))

    @model_validator(mode="after")
    def _from_where(self) -> Self:
        return self.held_to_rules()

    def places(self) -> list[str]:
        return [f"stave-{stave}" for stave in self.staves]

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("staves", n), f"stave-{stave}") for n, stave in enumerate(self.staves)]

    def other_casks(self) -> list[str]:
        return donor(self.from_)

    def says(self) -> str:
        done = {"replace": "replaced", "rejoint": "rejointed", "turn": "turned"}[self.action]
        return f"{listed(list(self.staves))} {done}" + (f", {origin(self.from_)}" if self.from_ else "") + _tainted(self)


def _tainted(event: "Stave | Head") -> str:
    return f" (tainted: {event.from_tainted})" if event.from_tainted else ""


class Head(BenchJob):
    """A head, or pieces of it, is replaced, redowelled or turned."""

    model_config = between({"if": {"properties": {"head": {"enum": ["A", "head-A"]}, "action": {"const": "replace"}}}, "then": {"required": ["mark"]}})
    need: ClassVar[Need] = OPEN

    job: Literal["head"]
    head: HeadName
    action: Literal["replace", "piece", "redowel", "turn"]
    which: list[Piece] | None = Field(None, description="pieces, counted from the left seen from outside, bung up")
    from_: Source | None = Field(None, alias="from")
    from_tainted: Annotated[Text | None, Typed(label="taint of its donor")] = Field(None, description="the taint that the donor had, as the book tells it")
    pieces_after: int | None = Field(None, ge=1, le=12)
    mark: Text | None = Field(None, description="the mark on the new head; must be given when head A is replaced")

    def broken(self) -> Iterator[Broken]:
        if self.action == "replace" and self.head == "A" and self.mark is None:
            yield Broken("mark: a new head A needs the mark it bears, or the cask loses its number", ("mark",))

    @model_validator(mode="after")
    def _marked(self) -> Self:
        return self.held_to_rules()

    def places(self) -> list[str]:
        return [f"head-{self.head}-{piece}" for piece in self.which] if self.which else [f"head-{self.head}"]

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("which", n), f"head-{self.head}-{piece}") for n, piece in enumerate(self.which or [])]

    def other_casks(self) -> list[str]:
        return donor(self.from_)

    def says(self) -> str:
        what = f"{self.head}, piece {listed(list(self.which))}" if self.which else self.head
        done = {"replace": "replaced", "piece": "replaced", "redowel": "redowelled", "turn": "turned"}[self.action]
        return f"{what} {done}" + (f", {origin(self.from_)}" if self.from_ else "") + _tainted(self)


class KnockDown(BenchJob):
    """An empty cask is taken down into a bundle of staves."""

    need: ClassVar[Need] = EMPTY_WHOLE
    caution: ClassVar[str | None] = "knocking-down"

    job: Literal["knock-down"]
    staves: int | None = Field(None, ge=1, le=200)

    def says(self) -> str:
        return f"into {self.staves} staves" if self.staves else "into staves"


class SwapHeads(BenchJob):
    """Two open casks were found with each other's head: the book says so in both."""

    need: ClassVar[Need] = OPEN

    job: Literal["swap-heads"]
    with_: Annotated[CaskId, Typed(label="with which cask")] = Field(alias="with")
    heads: list[HeadName] = Field(min_length=1, max_length=2)
    why: Text

    def shared_with(self) -> list[str]:
        return [self.with_] if self.with_ else []

    def says(self) -> str:
        return f"head {listed(list(self.heads))} with {self.with_}"
