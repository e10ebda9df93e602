"""A person answers a due line."""

from typing import Annotated, ClassVar, Literal

from caskbook.model.jobs.base import ANY, Day, Event, Need, Text, number
from caskbook.model.typed import Typed
from caskbook.words.due_names import DueName as DueName


class Decide(Event):
    """A person answers a due line; it is quiet until the day, a claim or a loss for good."""

    need: ClassVar[Need] = ANY

    job: Literal["decide"]
    rule: Annotated[DueName, Typed(label="which rule")]
    outcome: Literal["keep", "defer", "claimed", "credited", "refused", "explained", "unexplained"]
    until: Day | None = None
    litres: float | None = number("litres", "the litres it is about")
    ref: Text | None = None
    why: Text
    approved_by: Text

    def says(self) -> str:
        until = f" until {self.until}" if self.until else ""
        return f"{self.rule}: {self.outcome}{until}, {self.why} (approved {self.approved_by})"
