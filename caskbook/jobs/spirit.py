"""What happens with liquor in the cask: season, fill, rack, draw, top, gauge, sample, leaks and looks, empty, grade."""

from typing import ClassVar, Literal, Self

from pydantic import Field, model_validator

from caskbook.jobs.base import (
    EMPTY,
    FILLED,
    CaskId,
    Day,
    Event,
    EventId,
    Model,
    Need,
    PlaceText,
    Text,
    Word,
    any_of,
    between,
    listed,
    must,
    number,
    plain,
    strength,
)

_FILLED = Need(contents=FILLED)
Stow = Literal["bilge", "upright-A", "upright-B"]
OakSince = Day | Literal["unknown"]


class Gauged(Event):
    """An event that may say at what temperature its litres were measured; with neither they are uncorrected."""

    temp_c: float | None = number("°C", "temperature of the liquor", hard=(-20, 40), plausible=(-5, 35), kind="temp_c")
    at_20: Literal[True] | None = Field(None, description="the litres are already at 20 °C")


class Season(Event):
    """Wine is put in on purpose; no fill."""

    need: ClassVar[Need] = Need(contents=EMPTY, form=("whole",), bench=True)
    family: ClassVar[str] = "spirit"

    job: Literal["season"]
    wine: Word
    litres: float = must("litres", "wine put in")
    until: Day | None = None

    def says(self) -> str:
        return f"{plain(self.litres)} L {self.wine}" + (f", until {self.until}" if self.until else "")


class Fill(Gauged):
    """The cask is filled with spirit."""

    need: ClassVar[Need] = Need(contents=EMPTY, form=("whole",))
    family: ClassVar[str] = "spirit"
    caution: ClassVar[str | None] = "vapour"

    job: Literal["fill"]
    spirit: Word
    litres: float = must("litres", "as measured")
    abv: float = must("% vol", "strength at 20 °C", hard=(20, 95), plausible=(40, 80), kind="abv")
    method: Literal["meter", "weigh", "dip"] | None = None
    berth: Text | None = None
    stow: Stow | None = None
    oak_since: OakSince | None = Field(None, description="the day the spirit first went into oak, where it is not this day")

    def says(self) -> str:
        return f"{strength(self.litres, self.abv)}, {self.spirit}"


class RackedTo(Model):
    """What went into one cask."""

    cask: CaskId
    litres: float = Field(ge=0, le=1e6, allow_inf_nan=False)
    abv: float | None = Field(None, ge=0, le=100, allow_inf_nan=False)


class RackOut(Gauged):
    """Liquor is racked from this cask into others."""

    need: ClassVar[Need] = _FILLED
    family: ClassVar[str] = "spirit"
    caution: ClassVar[str | None] = "vapour"

    job: Literal["rack-out"]
    to: list[RackedTo] = Field(min_length=1)
    left_l: float | None = number("litres", "left in this cask; absent or 0 empties it")
    lost_l: float | None = number("litres", "lost in racking")
    why: Text

    @property
    def empties(self) -> bool:
        """Whether nothing is left in the cask."""
        return not self.left_l

    def says(self) -> str:
        return f"{plain(sum(part.litres for part in self.to))} L into {listed([part.cask for part in self.to])}: {self.why}"


class RackIn(Gauged):
    """Liquor from other casks is racked into this one: a fill only where it found the cask empty."""

    need: ClassVar[Need] = Need(form=("whole",))
    family: ClassVar[str] = "spirit"
    caution: ClassVar[str | None] = "vapour"

    job: Literal["rack-in"]
    from_: list[RackedTo] = Field(min_length=1, alias="from")
    spirit: Word
    oak_since: OakSince = Field(description="of the youngest of its sources, or unknown")
    berth: Text | None = None
    stow: Stow | None = None

    @property
    def litres(self) -> float:
        """All that came in, litres as measured."""
        return sum(part.litres for part in self.from_)

    def says(self) -> str:
        return f"{plain(self.litres)} L {self.spirit} from {listed([part.cask for part in self.from_])}"


class Draw(Gauged):
    """Some liquor is taken out."""

    need: ClassVar[Need] = _FILLED
    family: ClassVar[str] = "spirit"
    caution: ClassVar[str | None] = "vapour"

    job: Literal["draw"]
    litres: float = must("litres", "taken out")
    abv: float = must("% vol", "strength at 20 °C", hard=(0, 100), plausible=(20, 95), kind="abv")

    def says(self) -> str:
        return strength(self.litres, self.abv)


class Top(Gauged):
    """Liquor is added to a filled cask."""

    need: ClassVar[Need] = _FILLED
    family: ClassVar[str] = "spirit"
    caution: ClassVar[str | None] = "vapour"

    job: Literal["top"]
    litres: float = must("litres", "put in")
    abv: float = must("% vol", "strength at 20 °C", hard=(0, 100), plausible=(20, 95), kind="abv")
    from_: Text | None = Field(None, alias="from", description="where it came from")
    spirit: Word | None = None
    oak_since: OakSince | None = Field(None, description="of what was added; without it the age becomes unknown")

    def says(self) -> str:
        return strength(self.litres, self.abv) + (f", from {self.from_}" if self.from_ else "")


class Regauge(Gauged):
    """How much is in it, and how strong."""

    model_config = between(any_of("litres", "wet_mm", "dry_mm", "gross_kg"))
    need: ClassVar[Need] = _FILLED
    family: ClassVar[str] = "spirit"
    caution: ClassVar[str | None] = "vapour"

    job: Literal["regauge"]
    litres: float | None = number("litres", "as measured")
    wet_mm: float | None = number("mm", "wet dip: liquor on the rod", hard=(0, 3000))
    dry_mm: float | None = number("mm", "dry dip: bung to liquor", hard=(0, 3000))
    gross_kg: float | None = number("kg", "weight of cask and liquor", hard=(0, 5000))
    abv: float = must("% vol", "strength at 20 °C", hard=(0, 100), plausible=(20, 95), kind="abv")
    method: Literal["meter", "weigh", "dip"]

    @model_validator(mode="after")
    def _how_much(self) -> Self:
        if self.litres is None and self.wet_mm is None and self.dry_mm is None and self.gross_kg is None:
            raise ValueError("litres: a regauge needs litres, or wet_mm, dry_mm or gross_kg to work them out")
        return self

    def says(self) -> str:
        dips = {"wet": (self.wet_mm, "mm"), "dry": (self.dry_mm, "mm"), "gross": (self.gross_kg, "kg")}
        found = [f"{word} {plain(figure)} {unit}" for word, (figure, unit) in dips.items() if figure is not None]
        return ", ".join([strength(self.litres, self.abv), *found])


class Sample(Event):
    """A small sample is drawn."""

    need: ClassVar[Need] = _FILLED
    family: ClassVar[str] = "spirit"
    caution: ClassVar[str | None] = "vapour"

    job: Literal["sample"]
    ml: float = must("ml", "sample size", hard=(0, 20000), plausible=(20, 500))

    def says(self) -> str:
        return f"{plain(self.ml)} ml"


class Leak(Event):
    """A full cask is seen to leak: an observation, that may heal."""

    need: ClassVar[Need] = _FILLED
    family: ClassVar[str] = "spirit"
    caution: ClassVar[str | None] = "leak"

    job: Literal["leak"]
    at: PlaceText
    severity: Literal["weep", "drip", "run"]
    look_again: Day | None = Field(None, description="the day to look again, where it is not the house's")

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("at",), self.at)]

    def says(self) -> str:
        return f"{self.severity} at {self.at}"


class Look(Event):
    """The leak, or the whole cask, is looked at again."""

    need: ClassVar[Need] = _FILLED
    family: ClassVar[str] = "spirit"

    job: Literal["look"]
    seen: Literal["dry", "weep", "drip", "run"]
    at: PlaceText | None = None
    of: EventId | None = Field(None, description="the leak event looked at")
    closed_as: Literal["took-up", "repaired", "false"] | None = Field(None, description="what made it dry")

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [] if self.at is None else [(("at",), self.at)]

    def says(self) -> str:
        at = f" at {self.at}" if self.at else ""
        return f"{self.seen}{at}" + (f", {self.closed_as}" if self.closed_as else "")


class Empty(Gauged):
    """The cask is emptied."""

    model_config = between(
        {"if": {"properties": {"litres": {"exclusiveMinimum": 0}}}, "then": {"required": ["abv"]}},
        {"if": {"not": {"required": ["replaces"]}}, "then": {"properties": {"why": {"enum": ["drawn", "leaked-out", "burst", "lost", None]}}}},
    )
    need: ClassVar[Need] = _FILLED
    family: ClassVar[str] = "spirit"
    caution: ClassVar[str | None] = "vapour"

    job: Literal["empty"]
    litres: float = must("litres", "what came out, as measured")
    abv: float | None = number("% vol", "strength at 20 °C", hard=(0, 100), plausible=(20, 95), kind="abv")
    method: Literal["meter", "weigh", "dip"] | None = None
    why: Text | None = Field(None, description="drawn, leaked-out, burst or lost; or the reason of a replacement")

    @model_validator(mode="after")
    def _strength(self) -> Self:
        if self.litres > 0 and self.abv is None:
            raise ValueError("abv: an emptying of more than 0 litres needs its strength")
        if self.why and self.replaces is None and self.why not in EMPTIED_WHY:
            raise ValueError(f"why: write one of {', '.join(EMPTIED_WHY)}; other words belong in note")
        return self

    def says(self) -> str:
        return strength(self.litres, self.abv) + (f", {self.why}" if self.why else "")


EMPTIED_WHY = ("drawn", "leaked-out", "burst", "lost")


class Grade(Event):
    """The spirit of a fill is judged."""

    need: ClassVar[Need] = Need(where=("here", "away", "missing"))
    family: ClassVar[str] = "spirit"

    job: Literal["grade"]
    of: EventId | None = Field(None, description="the fill judged; the last ended one where absent")
    grade: Literal["A", "B", "C", "D"]

    def says(self) -> str:
        return self.grade


SPIRIT: tuple[type[Event], ...] = (
    Season, Fill, RackOut, RackIn, Draw, Top, Regauge, Sample, Leak, Look, Empty, Grade,
)  # fmt: skip
