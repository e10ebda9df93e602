"""Liquor racked from casks into others."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from caskbook.model.jobs.base import FULL, CaskId, Model, Need, Text, Word, listed, number, plain
from caskbook.model.jobs.spirit.gauged import Gauged, OakSince, Stow
from caskbook.model.typed import Typed


class RackedTo(Model):
    """What went into one cask."""

    cask: CaskId
    litres: float = Field(ge=0, le=1e6, allow_inf_nan=False)
    abv: float | None = Field(None, ge=0, le=100, allow_inf_nan=False)


class RackOut(Gauged):
    """Liquor is racked from this cask into others."""

    need: ClassVar[Need] = FULL
    caution: ClassVar[str | None] = "vapour"

    job: Literal["rack-out"]
    to: Annotated[list[RackedTo], Typed("racked", label="into which casks")] = Field(min_length=1)
    left_l: float | None = number("litres", "left in this cask; absent or 0 empties it")
    lost_l: float | None = number("litres", "lost in racking")
    why: Text

    @property
    def empties(self) -> bool:
        """Whether nothing is left in the cask."""
        return not self.left_l

    @property
    def shares(self) -> list[RackedTo]:
        """What went into each cask; nothing of a faulty entry that does not say."""
        return self.to or []

    def shared_with(self) -> list[str]:
        return [part.cask for part in self.shares]

    def says(self) -> str:
        return f"{plain(sum(part.litres for part in self.to))} L into {listed([part.cask for part in self.to])}: {self.why}"


class RackIn(Gauged):
    """Liquor from other casks is racked into this one: a fill only where it found the cask empty."""

    need: ClassVar[Need] = Need(form=("whole",))
    caution: ClassVar[str | None] = "vapour"

    job: Literal["rack-in"]
    from_: Annotated[list[RackedTo], Typed("racked")] = Field(min_length=1, alias="from")
    spirit: Word
    oak_since: OakSince = Field(description="of the youngest of its sources, or unknown")
    berth: Text | None = None
    stow: Stow | None = None

    @property
    def litres(self) -> float:
        """All that came in, litres as measured."""
        return sum(part.litres for part in self.from_)

    @property
    def shares(self) -> list[RackedTo]:
        """What came out of each cask; nothing of a faulty entry that does not say."""
        return self.from_ or []

    def shared_with(self) -> list[str]:
        return [part.cask for part in self.shares]

    def says(self) -> str:
        return f"{plain(self.litres)} L {self.spirit} from {listed([part.cask for part in self.from_])}"
