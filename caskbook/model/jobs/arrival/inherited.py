"""What a cask made of others takes over from them."""

from typing import Literal

from pydantic import Field

from caskbook.model.jobs.base import CaskId, Day, Model, Text, When


class OfParent(Model):
    """What a parent bore as it was taken down: which cask, since when, and why."""

    cask: CaskId
    since: Day
    why: Text | None = None

    def says(self) -> str:
        """ "TH-004217 since 2023-05-18 (musty)"."""
        return f"{self.cask} since {self.since}" + (f" ({self.why})" if self.why else "")


class Inherited(Model):
    """The figures a child takes from its parents, as the command works them out; absent or null is unknown."""

    fills_life: int | None = Field(None, ge=0, le=9999)
    fills_life_min: int | None = Field(None, ge=0, le=9999)
    fills_of_class: int | None = Field(None, ge=0, le=9999)
    fills_since_char: int | None = Field(None, ge=0, le=9999)
    fills_since_fire: int | None = Field(None, ge=0, le=9999)
    char_count: int | None = Field(None, ge=0, le=9999)
    rechar_count: int | None = Field(None, ge=0, le=9999)
    last_char: When | None = None
    last_fire: When | None = None
    held: Literal["wine", "spirit", "none", "unknown"] = Field("unknown", description="what any parent ever held")
    tainted: list[OfParent] | None = Field(None, min_length=1, description="parents whose nose was at fault and not clean since")
    sulphured: list[OfParent] | None = Field(None, min_length=1, description="parents in which sulphur was burnt, and that were not nosed since")
    tainted_wood: list[OfParent] | None = Field(None, min_length=1, description="parents with wood of a tainted cask, put in and not nosed clean since")

    @property
    def had_liquor(self) -> bool | None:
        """Whether any parent held spirit or wine; a fill that is known of tells it, also where wine is not known."""
        if self.held == "unknown":
            return True if self.fills_life_min or self.fills_life else None
        return self.held != "none"
