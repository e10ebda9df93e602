"""How a cask ends: retire, break-up, dispose."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from caskbook.model.jobs.base import ANY, EMPTY, Event, Need, Text, listed
from caskbook.model.typed import Typed
from caskbook.words.plural import number_of


class Retire(Event):
    """An empty cask is done: a person signs."""

    need: ClassVar[Need] = Need(contents=EMPTY, form=("whole", "open", "shook"), where=("here",))

    job: Literal["retire"]
    reasons: list[Text] = Field(min_length=1)
    approved_by: Text

    def says(self) -> str:
        return f"{listed(list(self.reasons))} (approved {self.approved_by})"


class BreakUp(Event):
    """A retired cask is broken up; from then it can give parts."""

    need: ClassVar[Need] = Need(contents=EMPTY)
    caution: ClassVar[str | None] = "knocking-down"

    job: Literal["break-up"]
    staves_saved: int | None = Field(None, ge=0, le=200)
    heads_saved: int | None = Field(None, ge=0, le=2)
    hoops_saved: int | None = Field(None, ge=0, le=20)

    def says(self) -> str:
        saved = {"stave": self.staves_saved, "head": self.heads_saved, "hoop": self.hoops_saved}
        return ", ".join(f"{number_of(count, part)} saved" for part, count in saved.items() if count is not None) or "nothing counted"


class Dispose(Event):
    """The cask leaves the book for good."""

    need: ClassVar[Need] = ANY

    job: Literal["dispose"]
    how: Annotated[Literal["sold", "scrapped", "returned", "kept-by-shop", "lost", "stolen"], Typed(label="how it left")]
    to: Annotated[Text | None, Typed(label="to whom")] = None

    def says(self) -> str:
        return self.how + (f" to {self.to}" if self.to else "")
