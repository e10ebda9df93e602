"""Where the cask goes, and its coming back."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from caskbook.model.jobs.base import Event, Need, Text, listed
from caskbook.model.jobs.spirit.gauged import Stow
from caskbook.model.typed import Typed


class Move(Event):
    """The cask goes to another berth."""

    need: ClassVar[Need] = Need()
    caution: ClassVar[str | None] = "moving"

    job: Literal["move"]
    berth: Annotated[Text, Typed(when="for several casks W1/05/1..4 or a list, dealt out in order")]
    stow: Stow | None = None

    def says(self) -> str:
        return f"to {self.berth}" + (f", {self.stow}" if self.stow else "")


class Send(Event):
    """The cask leaves for an outside shop or another house, to come back."""

    need: ClassVar[Need] = Need()
    caution: ClassVar[str | None] = "moving"

    job: Literal["send"]
    to: Annotated[Text, Typed(label="sent to")]
    why: Text

    def says(self) -> str:
        return f"to {self.to}: {self.why}"


class Return(Event):
    """The cask comes back; what was done to it counts from its own events by shop-NAME."""

    need: ClassVar[Need] = Need(where=("away",))

    job: Literal["return"]
    verdict: Annotated[Literal["accept", "hold", "reject"], Typed(words="receive_verdict", label="taken back in")]
    done: list[Text] | None = Field(None, description="what the shop says it did: a note, nothing is counted from it")
    berth: Text | None = None
    stow: Stow | None = None

    def says(self) -> str:
        return self.verdict + (f", done: {listed(list(self.done))}" if self.done else "")
