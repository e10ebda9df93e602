"""What a cask made of others takes over from them."""

from typing import Annotated, Literal

from pydantic import Field

from caskbook.model.jobs.base import Model, When

Count = Annotated[int, Field(ge=0, le=9999)]
"""How often something was done in the life of a cask: no cask's life reaches the limit, and sums of such counts stay small."""


class Inherited(Model):
    """The figures a child takes from its parents, as the command works them out; absent or null is unknown."""

    fills_life: Count | None = None
    fills_life_min: Count | None = None
    fills_of_class: Count | None = None
    fills_since_char: Count | None = None
    fills_since_fire: Count | None = None
    char_count: Count | None = None
    rechar_count: Count | None = None
    last_char: When | None = None
    last_fire: When | None = None
    held: Literal["wine", "spirit", "none", "unknown"] = Field("unknown", description="what any parent ever held")

    @property
    def had_liquor(self) -> bool | None:
        """Whether any parent held spirit or wine; a fill that is known of tells it, also where wine is not known."""
        if self.held == "unknown":
            return True if self.fills_life_min or self.fills_life else None
        return self.held != "none"
