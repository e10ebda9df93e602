"""Casks put up here, and what their staves came from or went into: raise, made-from, convert."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from caskbook.model.jobs.arrival.inherited import Inherited
from caskbook.model.jobs.base import EMPTY, CaskId, Event, Model, Need, Text, listed
from caskbook.model.typed import Typed


class Share(Model):
    """Staves given by or taken from another cask."""

    cask: CaskId | None = None
    unnumbered: Text | None = Field(None, description="a parent without a number: what it was")
    staves: int | None = Field(None, ge=0, le=200)


class Raise(Event):
    """Staves are put up into a whole cask: new, or from a knocked-down one."""

    need: ClassVar[Need] = Need(form=("shook",), contents=EMPTY, bench=True)

    job: Literal["raise"]
    staves: int | None = Field(None, ge=1, le=200)

    def says(self) -> str:
        return f"{self.staves} staves" if self.staves else "put up"


class Convert(Event):
    """The cask is taken down and its staves go into other casks."""

    need: ClassVar[Need] = Need(contents=EMPTY, bench=True)

    job: Literal["convert"]
    children: Annotated[list[CaskId], Typed(label="casks it became")] = Field(min_length=1, description="every cask the lot became")
    staves: Annotated[int | None, Typed(when="as --gave")] = Field(None, ge=0, le=200, description="staves this cask gave")

    def shared_with(self) -> list[str]:
        return list(self.children or [])

    def says(self) -> str:
        return "into " + (listed(self.children) if len(self.children) < 4 else f"{len(self.children)} casks, {self.children[0]} …")


class MadeFrom(Event):
    """A cask built here from the staves of others."""

    need: ClassVar[Need] = Need(first=True)

    job: Literal["made-from"]
    parents: Annotated[list[Share], Typed("parents", label="casks it came from")] = Field(
        min_length=1, description="the casks it came from, and the staves from each"
    )
    inherited: Inherited | None = None

    def shared_with(self) -> list[str]:
        return [share.cask for share in self.parents or [] if share.cask]

    def says(self) -> str:
        casks = [share.cask or share.unnumbered or "?" for share in self.parents]
        return "from " + (listed(casks) if len(casks) < 4 else f"{len(casks)} casks, {casks[0]} …")
