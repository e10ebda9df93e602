"""A cask arrives and is looked at on the dock."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from caskbook.model.jobs.base import CaskId, Day, Event, Model, Need, PlaceText, Text, Word, number, strength
from caskbook.model.jobs.exact import Grade, Yes
from caskbook.model.jobs.rules import Broken, between
from caskbook.model.typed import Typed


class FoundDefect(Model):
    """One thing found wrong, and where."""

    at: PlaceText
    defect: Word = Field(description="a defect word of the trade")
    severity: Grade | None = Field(None, description="1 slight, 2 to be mended, 3 grave")
    depth: float | None = Field(None, ge=0, le=1, allow_inf_nan=False, description="fraction of the thickness, 0 to 1")

    def says(self) -> str:
        """ "stave-1 cracked (2)"."""
        return f"{self.at} {self.defect}" + (f" ({self.severity})" if self.severity else "")


_NOTHING_IN_IT = {"spirit": {"type": "null"}, "litres": {"enum": [None, 0]}, "abv": {"enum": [None, 0]}, "oak_since": {"type": "null"}}
"""JSON Schema: what a cask that came empty may say of liquor."""


class Receive(Event):
    """A cask arrives and is looked at on the dock."""

    model_config = between({"if": {"properties": {"contents": {"const": "empty"}}, "required": ["contents"]}, "then": {"properties": _NOTHING_IN_IT}})
    need: ClassVar[Need] = Need(first=True)

    job: Literal["receive"]
    verdict: Annotated[Literal["accept", "hold", "reject"], Typed(words="receive_verdict", label="taken in")]
    findings: Annotated[list[FoundDefect] | None, Typed("findings")] = Field(None, description="what the look on arrival found")
    residue_l: float | None = number("litres", "liquor or lees left in it", plausible=(0, 20))
    claim_by: Day | None = Field(None, description="last day for a claim on the supplier")
    form: Literal["whole", "open", "shook"] | None = None
    contents: Word | None = Field(None, description="empty, spirit, or the word for what is in it")
    spirit: Word | None = None
    litres: float | None = number("litres", "what is in it, as measured")
    abv: float | None = number("% vol", "strength at 20 °C", hard=(0, 100), plausible=(20, 95), kind="abv")
    temp_c: float | None = number("°C", "temperature of the liquor", hard=(-20, 40), plausible=(-5, 35), kind="temp_c")
    at_20: Yes | None = Field(None, description="the litres are already at 20 °C")
    oak_since: Annotated[Day | Literal["unknown"], Typed("oak")] | None = Field(None, description="the day the spirit first went into oak")
    berth: Text | None = None
    stow: Annotated[Literal["bilge", "upright-A", "upright-B"], Typed(words="stow")] | None = None
    instead_of: CaskId | None = Field(None, description="the refused cask this one makes good")

    def broken(self) -> Iterator[Broken]:
        if self.contents in (None, "empty") and not self.lost & {"contents", "spirit"}:
            told = [name for name in ("spirit", "litres", "abv", "oak_since") if getattr(self, name)]
            if told and (self.contents or not self.spirit):
                what = "empty, and" if self.contents else "not said, but"
                yield Broken(f"contents: {what} its {told[0]} is told", ("contents", *told))

    @model_validator(mode="after")
    def _what_is_in_it(self) -> Self:
        return self.held_to_rules()

    @property
    def full(self) -> bool:
        """Whether it came with liquor in it."""
        return self.contents not in (None, "empty") or (self.contents is None and self.spirit is not None)

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("findings", n, "at"), found.at) for n, found in enumerate(self.findings or [])]

    def other_casks(self) -> list[str]:
        return [self.instead_of] if self.instead_of else []

    def says(self) -> str:
        words: list[str] = [self.verdict]
        if self.full:
            words.append(f"full of {self.spirit or self.contents}: {strength(self.litres, self.abv)}".rstrip(": "))
        words += [found.says() for found in self.findings or []]
        return ", ".join(words)
