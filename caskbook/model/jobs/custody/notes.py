"""Remarks."""

from typing import Annotated, ClassVar, Literal

from caskbook.model.jobs.base import ALWAYS, Event, Need, Text
from caskbook.model.typed import Typed


class Note(Event):
    """A remark, kept with the cask."""

    need: ClassVar[Need] = ALWAYS

    job: Literal["note"]
    note: Annotated[Text, Typed(label="the note")]

    def says(self) -> str:
        return self.note
