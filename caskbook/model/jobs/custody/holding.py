"""Held, released, marked."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from caskbook.model.jobs.base import ANY, Event, Need, Text
from caskbook.model.typed import Typed


class Hold(Event):
    """The cask is held back."""

    need: ClassVar[Need] = ANY

    job: Literal["hold"]
    why: Text

    def says(self) -> str:
        return self.why


class Release(Event):
    """A hold or a rejection ends."""

    need: ClassVar[Need] = ANY

    job: Literal["release"]
    why: Text
    approved_by: Text

    def says(self) -> str:
        return f"{self.why} (approved {self.approved_by})"


class Mark(Event):
    """A mark is put on, or the old one changed."""

    need: ClassVar[Need] = ANY

    job: Literal["mark"]
    text: Annotated[Text, Typed(label="what the mark says")]
    kind: Annotated[Literal["stencil", "paint", "tag", "chalk", "barcode"], Typed(label="kind of mark")]
    at: Annotated[Literal["head-A", "head-B"], Typed(label="on")] = Field(description="where it was put")
    old: Text | None = Field(None, description="the mark it took the place of; stays searchable")

    def says(self) -> str:
        return f"{self.kind} {self.text} on {self.at}" + (f", was {self.old}" if self.old else "")
