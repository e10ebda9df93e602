"""Remarks."""

from typing import ClassVar, Literal

from caskbook.model.jobs.base import ALWAYS, Event, Need, Text


class Note(Event):
    """A remark, kept with the cask."""

    need: ClassVar[Need] = ALWAYS

    job: Literal["note"]
    note: Text

    def says(self) -> str:
        return self.note
