"""The house's own settings: house.yaml as written, and the settings in force for one type of cask on one day."""

from __future__ import annotations

import bisect
from datetime import date
from functools import cache, cached_property
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, Field, create_model

from caskbook.core.lazy import lazy_names
from caskbook.model.house_parts import IsoDay as IsoDay
from caskbook.model.house_parts import Part, Person, Question, Supplier, prefix_of
from caskbook.words.spelling import fold

if TYPE_CHECKING:
    from caskbook.model.house_due import ClaimRule as ClaimRule
    from caskbook.model.house_due import DueRules as DueRules
    from caskbook.model.house_due import ExamineRule as ExamineRule
    from caskbook.model.house_due import HoldRule as HoldRule
    from caskbook.model.house_due import LookRule as LookRule
    from caskbook.model.house_due import LossRule as LossRule
    from caskbook.model.house_due import NoseRule as NoseRule
    from caskbook.model.house_due import RecharRule as RecharRule
    from caskbook.model.house_due import RegaugeRule as RegaugeRule
    from caskbook.model.house_due import RetestRule as RetestRule
    from caskbook.model.house_due import RetireRule as RetireRule

__getattr__ = lazy_names("caskbook.model", {"house_due": (
    "ClaimRule", "DueRules", "ExamineRule", "HoldRule", "LookRule", "LossRule", "NoseRule", "RecharRule", "RegaugeRule", "RetestRule", "RetireRule",
)})  # fmt: skip

_DAYS: dict[str, Any] = {"unit": "days"}
_YEARS: dict[str, Any] = {"unit": "years"}
Law = Literal["scotch-2009", "irish-2014", "bourbon-5.143", "straight-5.143", "eu-2019-787"]


def _job(word: str) -> str:
    """A job as the book spells it; ValueError for another word, with the one that was likely meant."""
    from caskbook.words.job_table import JOB_TABLE
    from caskbook.words.spelling import did_you_mean

    stored = [job for job, row in JOB_TABLE.items() if row.model]
    if word in stored:
        return word
    raise ValueError(f"expected hours for a job of the book, as test or char{did_you_mean(word, stored)}")


class _Settings(Part):
    """Every house setting, with its default, as in force on one day for one type of cask."""

    name: str | None = Field(None, description="the house's name, on printed sheets")
    timezone: str = Field("UTC", description="IANA name; an entry can never be dated after today, here")
    crew: list[Person] = Field(
        default=[], description="who enters: initials, name, from, until; never remove anybody, give an until instead; an empty list judges nobody"
    )
    shops: list[str] = Field(default=[], description="outside shops, written shop-NAME in `by`")
    suppliers: dict[str, Supplier] = Field(default={}, description="supplier: {name, claim_days}, the days within which it takes claims")
    stores: dict[str, str] = Field(default={}, description="prefix of a berth: the store it is in; W1 is none of W10/05")
    temperate_stores: list[str] | None = Field(None, description="stores with a temperate climate; absent means all")
    id_pattern: str | None = Field(None, description="narrows which cask ids this house uses")
    fill_needs: Literal["examine", "test"] = Field("examine", description="what makes an empty cask ready: a sound examination, or a pass as well, always")
    examine_valid_days: int = Field(30, ge=0, le=9999, json_schema_extra=_DAYS, description="how long an examination stays good: a house setting, no source")
    test_valid_days: int = Field(60, ge=0, le=9999, json_schema_extra=_DAYS, description="how long a pass stays good: a house setting, no source")
    test_limit_psi: float = Field(
        12, gt=0, le=60, json_schema_extra={"unit": "psi"}, description="most air pressure in a test; above it an entry needs a reason and stays a finding"
    )
    drive_unproves: bool = Field(True, description="whether driving alone needs a re-test: a house setting, no source")
    short_fill_days: int = Field(0, ge=0, le=9999, json_schema_extra=_DAYS, description="a shorter fill is not counted since char")
    count_prior: bool = Field(True, description="whether fills before us count since the char before us")
    vat_tolerance_percent: float = Field(
        2, ge=0, le=50, json_schema_extra={"unit": "%"}, description="how far the casks of a vat may lie from its litres: common practice, no source"
    )
    stave_floor_mm: float | None = Field(
        None, gt=0, le=60, json_schema_extra={"unit": "mm"}, description="thinnest stave that stands: a house setting, no source"
    )
    minimum_age: int | None = Field(None, ge=0, le=99, json_schema_extra=_YEARS, description="how old a spirit must be to come of age")
    class_of_spirit: str | list[str] = Field(default=["whisky", "malt", "grain"], description="words for the house's class of spirit")
    wine_words: list[str] = Field(default=[], description="further words for wines")
    laws: list[Law] = Field(default=[], description="the laws on casks this house declares it works under")
    gallon: Literal["us", "uk"] | None = Field(None, description="what a bare gal means when typed; unsaid, caskbook asks")
    proof: Literal["us", "uk"] | None = Field(None, description="what a bare proof means when typed; unsaid, caskbook asks")
    decimal_comma: bool = Field(False, description="whether a typed comma is a decimal point")
    wood_left: dict[str, Annotated[float, Field(ge=0, le=100)]] = Field(default={}, description="decay of the wood per year in it, by prior contents")
    in_drink_percent: float | None = Field(
        None,
        ge=0,
        le=20,
        json_schema_extra={"unit": "%"},
        description="% of the fill that goes into the wood at first; where not given 2 is taken (trade press)",
    )
    rounding: list[Literal["strength-down-0.1", "lpa-down-0.01", "us-tenth"]] = Field(default=[], description="how duty figures are rounded; none unless named")
    measuring_error: dict[Literal["meter", "weigh", "dip"], float] = Field(
        default={},
        json_schema_extra={"unit": "%"},
        description="standard deviation of the litres, %, by method; where not given 0.3, 0.2 and 1.0 are taken: no source",
    )
    strength_error: float = Field(
        0.1, gt=0, le=5, json_schema_extra={"unit": "% vol"}, description="standard deviation of a strength: a house setting, no source"
    )
    uncorrected_error: float = Field(
        1.0, ge=0, le=10, json_schema_extra={"unit": "%"}, description="standard deviation of litres without a temperature: 10 °C make about 1 %"
    )
    loss_table: dict[str, float] = Field(
        default={}, json_schema_extra={"unit": "% LPA a year"}, description="expected % LPA a year by TYPE, TYPE/STORE or STORE"
    )
    paper: Literal["A4", "A5"] = Field("A4", description="the paper that job cards are printed on")
    label_width_mm: float = Field(100, ge=20, le=420, json_schema_extra={"unit": "mm"}, description="how wide a cask's label is")
    label_height_mm: float = Field(50, ge=15, le=297, json_schema_extra={"unit": "mm"}, description="how high a cask's label is")
    label_page: Literal["label", "A4", "A5"] = Field("label", description="one label a page, as a roll has them, or as many as go on a sheet, to be cut")
    label_dpi: int = Field(
        300, ge=150, le=1200, json_schema_extra={"unit": "dots an inch"}, description="how fine the printer of labels is; bars are whole dots wide"
    )
    coopers: int | None = Field(
        None, ge=0, le=999, json_schema_extra={"unit": "coopers"}, description="how many work at the bench, for `caskbook plan` and `morning`"
    )
    hours_a_week: float | None = Field(
        None,
        gt=0,
        le=168,
        json_schema_extra={"unit": "hours"},
        description="hours that one cooper has at the bench in a week, for `caskbook plan` and `morning`",
    )
    job_hours: dict[Annotated[str, AfterValidator(_job)], Annotated[float, Field(gt=0, le=1000)]] = Field(
        default={}, json_schema_extra={"unit": "hours"}, description="hours that a job takes on one cask; else the median of the minutes of work in the book"
    )
    severities: dict[str, Literal["error", "warning", "note"]] = Field(default={}, description="code: severity, to change that of a warning")
    questions: dict[str, Question] = Field(default={}, description="name: {title, sql}, asked by `caskbook query NAME`")

    def person(self, initials: str) -> Person | None:
        """The crew member of these initials."""
        return next((person for person in self.crew if person.initials == initials), None)

    def store_of(self, berth: str | None) -> str | None:
        """The store a berth lies in: the longest prefix that fits."""
        prefix = prefix_of(self.stores, berth)
        return self.stores[prefix] if prefix is not None else None

    def is_of_class(self, contents: str) -> bool:
        """Whether the word names the house's class of spirit."""
        words = self.class_of_spirit
        return self.spirit_word(contents) in words if not isinstance(words, str) else self.spirit_word(contents) == words

    def spirit_word(self, text: str) -> str | None:
        """The word kept for a spirit in any of its spellings, the house's own words being as it spells them; None of another."""
        from caskbook.words.lookup import spirit_word

        return spirit_word(text, self._own_spirits())

    def same_spirit(self, one: str, other: str) -> bool:
        """Whether two words, as typed or as a file spells them, mean one spirit."""
        if one == other:
            return True
        first, second = (self.spirit_word(word) or fold(word) for word in (one, other))
        return first == second

    def nearest_spirit(self, text: str) -> str | None:
        """The spirit or wine that may be meant by a word that is none; None of one that is known, or near to nothing."""
        from caskbook.words.lookup import is_wine, nearest_liquor

        return None if self.spirit_word(text) or is_wine(text, self.wine_words) else nearest_liquor(text, self._own_spirits())

    def _own_spirits(self) -> tuple[str, ...]:
        own = self.class_of_spirit
        return (own,) if isinstance(own, str) else tuple(own)


class Settings(_Settings):
    """The settings as commands use them. Only what judges what is due loads the settings for that."""

    due_: dict[str, Any] = Field(default={}, alias="due")

    @cached_property
    def due(self) -> DueRules:
        """The settings of the due rules; ValidationError where they are wrong, which reading house.yaml has found before."""
        from caskbook.model.house_due import read_due

        return read_due(self.due_)


@cache
def whole_settings() -> type[BaseModel]:
    """The model of all settings, the due rules among them: to make the schema from, and to tell every fault."""
    from caskbook.model.house_due import DueRules

    return create_model("Settings", __base__=_Settings, __doc__=_Settings.__doc__, due=(DueRules, DueRules.model_construct()))


def is_dated(value: object) -> bool:
    """Whether a setting is written as a list of {since, value}."""
    return isinstance(value, list) and bool(value) and all(isinstance(v, dict) and set(v) == {"since", "value"} for v in value)


def since_day(entry: dict[str, Any]) -> date | None:
    """The day a dated value starts, or None where it cannot be read."""
    since = entry["since"]
    try:
        return since if isinstance(since, date) else date.fromisoformat(str(since))
    except ValueError:
        return None


def row_in_force(rows: list[dict[str, Any]], day: date) -> int | None:
    """Which row of a dated setting holds on a day: the latest begun; of two of one day the first, as of a key given twice."""
    begun = [(since, -n) for n, row in enumerate(rows) if (since := since_day(row)) and since <= day]
    return -max(begun)[1] if begun else None


def in_force(raw: Any, day: date) -> Any:
    """`raw` with every dated setting replaced by its value on the day; a setting not yet in force falls to its default."""
    if not isinstance(raw, dict):
        return raw
    plain: dict[str, Any] = {}
    for key, value in raw.items():
        if is_dated(value):
            if (n := row_in_force(value, day)) is not None:
                plain[key] = value[n]["value"]
        else:
            plain[key] = in_force(value, day)
    return plain


def _starts(raw: Any) -> set[date]:
    if is_dated(raw):
        return {since for entry in raw if (since := since_day(entry))}
    if isinstance(raw, dict):
        return set().union(*(_starts(value) for value in raw.values())) if raw else set()
    return set()


def _laid_over(under: dict[str, Any], over: dict[str, Any]) -> dict[str, Any]:
    merged = dict(under)
    for key, value in over.items():
        old = merged.get(key)
        merged[key] = _laid_over(old, value) if isinstance(old, dict) and isinstance(value, dict) else value
    return merged


OF_THE_HOUSE = (
    "timezone", "crew", "shops", "id_pattern", "gallon", "proof", "decimal_comma", "vat_tolerance_percent", "paper", "label_page", "severities",
    "coopers", "hours_a_week", "questions",
)  # fmt: skip
"""Settings that nothing looks up for a type of cask: under `types` they are without effect."""
USUAL_FLOORS = {"barrel": 18.0, "hogshead": 18.0}
"""`stave_floor_mm` of these types where the house says nothing: common practice, no source."""


class House:
    """house.yaml once read and found well; `on` gives the settings in force. Settings never change behind your back."""

    def __init__(self, raw: dict[str, Any] | None = None) -> None:
        self.raw = dict(raw or {})
        self.types: dict[str, Any] = self.raw.pop("types", None) or {}
        self._starts = sorted(_starts(self.raw) | _starts(self.types))
        self._known: dict[tuple[int, str | None], Settings] = {}

    def on(self, day: date, cask_type: str | None = None) -> Settings:
        """The settings on a day for a type of cask (None: the house's own)."""
        period = bisect.bisect_right(self._starts, day)
        key = (period, cask_type)
        if key not in self._known:
            self._known[key] = self._settle(period, cask_type)
        return self._known[key]

    def _settle(self, period: int, cask_type: str | None) -> Settings:
        day = self._starts[period - 1] if period else date.min
        raw: dict[str, Any] = in_force(self.raw, day)
        if cask_type in USUAL_FLOORS and raw.get("stave_floor_mm") is None:
            raw = {**raw, "stave_floor_mm": USUAL_FLOORS[cask_type]}
        own = self.types.get(cask_type) if cask_type else None
        return Settings.model_validate(_laid_over(raw, in_force(own, day)) if own else raw)

    @property
    def starts(self) -> tuple[date, ...]:
        """The days on which a dated setting comes into force, in order."""
        return tuple(self._starts)

    @property
    def timezone(self) -> str:
        """The IANA name of the house's time zone; of a house that moves, each with its first day, as `zone_at` takes them."""
        rows = self.raw.get("timezone")
        if not isinstance(rows, list) or not is_dated(rows):
            return self.on(date.max).timezone
        starts = sorted({since for row in rows if (since := since_day(row))})
        return ",".join(f"{day.isoformat()}={self.on(day).timezone}" for day in starts) or self.on(date.min).timezone
