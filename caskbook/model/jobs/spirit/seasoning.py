"""Wine put in on purpose, and the grade of what came out."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from caskbook.model.jobs.base import EMPTY, Day, Event, EventId, Need, Word, must, plain
from caskbook.model.typed import Typed


class Season(Event):
    """Wine is put in on purpose; no fill."""

    need: ClassVar[Need] = Need(contents=EMPTY, form=("whole",), bench=True)

    job: Literal["season"]
    wine: Annotated[Word, Typed("wine")]
    litres: Annotated[float, Typed(label="litres of wine put in")] = must("litres", "wine put in")
    until: Day | None = None

    def says(self) -> str:
        return f"{plain(self.litres)} L {self.wine}" + (f", until {self.until}" if self.until else "")


class Grade(Event):
    """The spirit of a fill is judged."""

    need: ClassVar[Need] = Need(where=("here", "away", "missing"))

    job: Literal["grade"]
    of: EventId | None = Field(None, description="the fill judged; the last ended one where absent")
    grade: Literal["A", "B", "C", "D"]

    def says(self) -> str:
        return self.grade
