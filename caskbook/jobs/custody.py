"""Where a cask is, who decides about it, how it leaves, and how the book is put right."""

from typing import ClassVar, Literal

from pydantic import Field

from caskbook.how_many import how_many
from caskbook.jobs.base import ANYWHERE, EMPTY, CaskId, Day, Event, EventId, Need, Text, listed, number
from caskbook.jobs.spirit import Stow

_ANY = Need(where=ANYWHERE)
_ALWAYS = Need(where=ANYWHERE, always=True)
DueName = Literal["rechar", "retest", "examine", "nose", "look", "hold", "regauge", "retire", "loss", "claim"]


class Move(Event):
    """The cask goes to another berth."""

    need: ClassVar[Need] = Need()
    family: ClassVar[str] = "custody"
    caution: ClassVar[str | None] = "moving"

    job: Literal["move"]
    berth: Text
    stow: Stow | None = None

    def says(self) -> str:
        return f"to {self.berth}" + (f", {self.stow}" if self.stow else "")


class Send(Event):
    """The cask leaves for an outside shop or another house, to come back."""

    need: ClassVar[Need] = Need()
    family: ClassVar[str] = "custody"
    caution: ClassVar[str | None] = "moving"

    job: Literal["send"]
    to: Text
    why: Text

    def says(self) -> str:
        return f"to {self.to}: {self.why}"


class Return(Event):
    """The cask comes back; what was done to it counts from its own events by shop-NAME."""

    need: ClassVar[Need] = Need(where=("away",))
    family: ClassVar[str] = "custody"

    job: Literal["return"]
    verdict: Literal["accept", "hold", "reject"]
    done: list[Text] | None = Field(None, description="what the shop says it did: a note, nothing is counted from it")
    berth: Text | None = None
    stow: Stow | None = None

    def says(self) -> str:
        return self.verdict + (f", done: {listed(list(self.done))}" if self.done else "")


class Hold(Event):
    """The cask is held back."""

    need: ClassVar[Need] = _ANY
    family: ClassVar[str] = "custody"

    job: Literal["hold"]
    why: Text

    def says(self) -> str:
        return self.why


class Release(Event):
    """A hold or a rejection ends."""

    need: ClassVar[Need] = _ANY
    family: ClassVar[str] = "custody"

    job: Literal["release"]
    why: Text
    approved_by: Text

    def says(self) -> str:
        return f"{self.why} (approved {self.approved_by})"


class Mark(Event):
    """A mark is put on, or the old one changed."""

    need: ClassVar[Need] = _ANY
    family: ClassVar[str] = "custody"

    job: Literal["mark"]
    text: Text
    kind: Literal["stencil", "paint", "tag", "chalk", "barcode"]
    at: Literal["head-A", "head-B"] = Field(description="where it was put")
    old: Text | None = Field(None, description="the mark it took the place of; stays searchable")

    def says(self) -> str:
        return f"{self.kind} {self.text} on {self.at}" + (f", was {self.old}" if self.old else "")


class Decide(Event):
    """A person answers a due line; it is quiet until the day, a claim or a loss for good."""

    need: ClassVar[Need] = _ANY
    family: ClassVar[str] = "custody"

    job: Literal["decide"]
    rule: DueName
    outcome: Literal["keep", "defer", "claimed", "credited", "refused", "explained", "unexplained"]
    until: Day | None = None
    litres: float | None = number("litres", "the litres it is about")
    ref: Text | None = None
    why: Text
    approved_by: Text

    def says(self) -> str:
        until = f" until {self.until}" if self.until else ""
        return f"{self.rule}: {self.outcome}{until}, {self.why} (approved {self.approved_by})"


class Retire(Event):
    """An empty cask is done: a person signs."""

    need: ClassVar[Need] = Need(contents=EMPTY, form=("whole", "open", "shook"), where=("here",))
    family: ClassVar[str] = "custody"

    job: Literal["retire"]
    reasons: list[Text] = Field(min_length=1)
    approved_by: Text

    def says(self) -> str:
        return f"{listed(list(self.reasons))} (approved {self.approved_by})"


class BreakUp(Event):
    """A retired cask is broken up; from then it can give parts."""

    need: ClassVar[Need] = Need(contents=EMPTY)
    family: ClassVar[str] = "custody"
    caution: ClassVar[str | None] = "knocking-down"

    job: Literal["break-up"]
    staves_saved: int | None = Field(None, ge=0, le=200)
    heads_saved: int | None = Field(None, ge=0, le=2)
    hoops_saved: int | None = Field(None, ge=0, le=20)

    def says(self) -> str:
        saved = {"stave": self.staves_saved, "head": self.heads_saved, "hoop": self.hoops_saved}
        return ", ".join(f"{how_many(count, part)} saved" for part, count in saved.items() if count is not None) or "nothing counted"


class Dispose(Event):
    """The cask leaves the book for good."""

    need: ClassVar[Need] = _ANY
    family: ClassVar[str] = "custody"

    job: Literal["dispose"]
    how: Literal["sold", "scrapped", "returned", "kept-by-shop", "lost", "stolen"]
    to: Text | None = None

    def says(self) -> str:
        return self.how + (f" to {self.to}" if self.to else "")


class Missing(Event):
    """It is not where the book says."""

    need: ClassVar[Need] = Need()
    family: ClassVar[str] = "custody"

    job: Literal["missing"]

    def says(self) -> str:
        return "not where the book says"


class Found(Event):
    """A missing cask is found."""

    need: ClassVar[Need] = Need(where=("missing",))
    family: ClassVar[str] = "custody"

    job: Literal["found"]
    berth: Text | None = None
    stow: Stow | None = None

    def says(self) -> str:
        return f"at {self.berth}" if self.berth else "found"


class Moved(Event):
    """An entry written on the wrong cask is put out of force here; its copy stands in the right file."""

    need: ClassVar[Need] = _ALWAYS
    family: ClassVar[str] = "book"

    job: Literal["moved"]
    of: EventId
    to: CaskId
    why: Text

    def says(self) -> str:
        return f"{self.of} belongs to {self.to}: {self.why}"


class SameAs(Event):
    """Two numbers were one cask: this file goes on, the other shows as joined."""

    need: ClassVar[Need] = _ALWAYS
    family: ClassVar[str] = "book"

    job: Literal["same-as"]
    of: CaskId
    why: Text

    def says(self) -> str:
        return f"{self.of}: {self.why}"


class Note(Event):
    """A remark, kept with the cask."""

    need: ClassVar[Need] = _ALWAYS
    family: ClassVar[str] = "book"

    job: Literal["note"]
    note: Text

    def says(self) -> str:
        return self.note


class Void(Event):
    """An entry is put out of force; it stays, struck through."""

    need: ClassVar[Need] = _ALWAYS
    family: ClassVar[str] = "book"

    job: Literal["void"]
    of: EventId
    why: Text

    def says(self) -> str:
        return f"{self.of}: {self.why}"


CUSTODY: tuple[type[Event], ...] = (
    Move, Send, Return, Hold, Release, Mark, Decide, Retire, BreakUp, Dispose, Missing, Found, Moved, SameAs, Note, Void,
)  # fmt: skip
