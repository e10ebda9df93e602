"""Some liquor drawn or added."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from caskbook.model.ids import is_cask_id
from caskbook.model.jobs.base import FULL, Need, Text, Word, must, strength
from caskbook.model.jobs.spirit.gauged import Gauged, OakSince
from caskbook.model.typed import Typed


class Draw(Gauged):
    """Some liquor is taken out."""

    need: ClassVar[Need] = FULL
    caution: ClassVar[str | None] = "vapour"

    job: Literal["draw"]
    litres: Annotated[float, Typed(label="litres drawn")] = must("litres", "taken out")
    abv: float = must("% vol", "strength at 20 °C", hard=(0, 100), plausible=(20, 95), kind="abv")

    def says(self) -> str:
        return strength(self.litres, self.abv)


class Top(Gauged):
    """Liquor is added to a filled cask."""

    need: ClassVar[Need] = FULL
    caution: ClassVar[str | None] = "vapour"

    job: Literal["top"]
    litres: Annotated[float, Typed(label="litres put in")] = must("litres", "put in")
    abv: float = must("% vol", "strength at 20 °C", hard=(0, 100), plausible=(20, 95), kind="abv")
    from_: Text | None = Field(None, alias="from", description="where it came from")
    spirit: Word | None = None
    oak_since: OakSince | None = Field(None, description="of what was added; without it the age becomes unknown")

    def other_casks(self) -> list[str]:
        """The cask it came from, where that is named by its number; a tank or a vat is named in other words."""
        return [self.from_] if self.from_ and is_cask_id(self.from_) else []

    def says(self) -> str:
        return strength(self.litres, self.abv) + (f", from {self.from_}" if self.from_ else "")
