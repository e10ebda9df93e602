"""How a cask comes into the book: receive, raise, made-from; and convert, by which its staves become other casks."""

from typing import ClassVar, Literal

from pydantic import Field

from caskbook.jobs.base import (
    ANYWHERE,
    EMPTY,
    CaskId,
    Day,
    Event,
    Model,
    Need,
    PlaceText,
    Text,
    When,
    Word,
    listed,
    number,
    strength,
)


class FoundDefect(Model):
    """One thing found wrong, and where."""

    at: PlaceText
    defect: Word = Field(description="a defect word of the trade")
    severity: Literal[1, 2, 3] | None = Field(None, description="1 slight, 2 to be mended, 3 grave")
    depth: float | None = Field(None, ge=0, le=1, allow_inf_nan=False, description="fraction of the thickness, 0 to 1")

    def says(self) -> str:
        """"stave-1 cracked (2)"."""
        return f"{self.at} {self.defect}" + (f" ({self.severity})" if self.severity else "")


class Share(Model):
    """Staves given by or taken from another cask."""

    cask: CaskId | None = None
    unnumbered: Text | None = Field(None, description="a parent without a number: what it was")
    staves: int | None = Field(None, ge=0, le=200)


class Inherited(Model):
    """The figures a child takes from its parents, as the command works them out; absent or null is unknown."""

    fills_life: int | None = Field(None, ge=0)
    fills_life_min: int | None = Field(None, ge=0)
    fills_of_class: int | None = Field(None, ge=0)
    fills_since_char: int | None = Field(None, ge=0)
    fills_since_fire: int | None = Field(None, ge=0)
    char_count: int | None = Field(None, ge=0)
    rechar_count: int | None = Field(None, ge=0)
    last_char: When | None = None
    last_fire: When | None = None
    held: Literal["wine", "spirit", "none", "unknown"] = Field("unknown", description="what any parent ever held")


class Receive(Event):
    """A cask arrives and is looked at on the dock."""

    need: ClassVar[Need] = Need(first=True)
    family: ClassVar[str] = "arrival"

    job: Literal["receive"]
    verdict: Literal["accept", "hold", "reject"]
    findings: list[FoundDefect] | None = Field(None, description="what the look on arrival found")
    residue_l: float | None = number("litres", "liquor or lees left in it", plausible=(0, 20))
    claim_by: Day | None = Field(None, description="last day for a claim on the supplier")
    form: Literal["whole", "open", "shook"] | None = None
    contents: Word | None = Field(None, description="empty, spirit, or the word for what is in it")
    spirit: Word | None = None
    litres: float | None = number("litres", "what is in it, as measured")
    abv: float | None = number("% vol", "strength at 20 °C", hard=(0, 100), plausible=(20, 95), kind="abv")
    temp_c: float | None = number("°C", "temperature of the liquor", hard=(-20, 40), plausible=(-5, 35), kind="temp_c")
    at_20: Literal[True] | None = Field(None, description="the litres are already at 20 °C")
    oak_since: Day | Literal["unknown"] | None = Field(None, description="the day the spirit first went into oak")
    berth: Text | None = None
    stow: Literal["bilge", "upright-A", "upright-B"] | None = None
    instead_of: CaskId | None = Field(None, description="the refused cask this one makes good")

    @property
    def full(self) -> bool:
        """Whether it came with liquor in it."""
        return self.contents not in (None, "empty") or (self.contents is None and self.spirit is not None)

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("findings", n, "at"), found.at) for n, found in enumerate(self.findings or [])]

    def says(self) -> str:
        words: list[str] = [self.verdict]
        if self.full:
            words.append(f"full of {self.spirit or self.contents}: {strength(self.litres, self.abv)}".rstrip(": "))
        words += [found.says() for found in self.findings or []]
        return ", ".join(words)


class Raise(Event):
    """Staves are put up into a whole cask: new, or from a knocked-down one."""

    need: ClassVar[Need] = Need(form=("shook",), contents=EMPTY)
    family: ClassVar[str] = "arrival"

    job: Literal["raise"]
    staves: int | None = Field(None, ge=1, le=200)

    def says(self) -> str:
        return f"{self.staves} staves" if self.staves else "put up"


class Convert(Event):
    """The cask is taken down and its staves go into other casks."""

    need: ClassVar[Need] = Need(contents=EMPTY, bench=True)
    family: ClassVar[str] = "arrival"

    job: Literal["convert"]
    children: list[CaskId] = Field(min_length=1, description="every cask the lot became")
    staves: int | None = Field(None, ge=0, le=200, description="staves this cask gave")

    def says(self) -> str:
        return "into " + (listed(self.children) if len(self.children) < 4 else f"{len(self.children)} casks, {self.children[0]} …")


class MadeFrom(Event):
    """A cask built here from the staves of others."""

    need: ClassVar[Need] = Need(first=True)
    family: ClassVar[str] = "arrival"

    job: Literal["made-from"]
    parents: list[Share] = Field(min_length=1, description="the casks it came from, and the staves from each")
    inherited: Inherited | None = None

    def says(self) -> str:
        casks = [share.cask or share.unnumbered or "?" for share in self.parents]
        return "from " + (listed(casks) if len(casks) < 4 else f"{len(casks)} casks, {casks[0]} …")


ARRIVAL: tuple[type[Event], ...] = (Receive, Raise, Convert, MadeFrom)
__all__ = ["ANYWHERE", "ARRIVAL", "Convert", "FoundDefect", "Inherited", "MadeFrom", "Raise", "Receive", "Share"]
