"""The book put right: moved, same-as, void."""

from typing import Annotated, ClassVar, Literal

from caskbook.model.jobs.base import ALWAYS, CaskId, Event, EventId, Need, Text
from caskbook.model.typed import Typed


class Moved(Event):
    """An entry written on the wrong cask is put out of force here; its copy stands in the right file."""

    need: ClassVar[Need] = ALWAYS

    job: Literal["moved"]
    of: Annotated[EventId, Typed(label="which entry")]
    to: CaskId
    why: Text

    def other_casks(self) -> list[str]:
        return [self.to] if self.to else []

    def says(self) -> str:
        return f"{self.of} belongs to {self.to}: {self.why}"


class SameAs(Event):
    """Two numbers were one cask: this file goes on, the other shows as joined."""

    need: ClassVar[Need] = ALWAYS

    job: Literal["same-as"]
    of: Annotated[CaskId, Typed(label="the other number")]
    why: Text

    def other_casks(self) -> list[str]:
        return [self.of] if self.of else []

    def says(self) -> str:
        return f"{self.of}: {self.why}"


class Void(Event):
    """An entry is put out of force; it stays, struck through."""

    need: ClassVar[Need] = ALWAYS

    job: Literal["void"]
    of: Annotated[EventId, Typed(label="which entry")]
    why: Text

    def says(self) -> str:
        return f"{self.of}: {self.why}"
