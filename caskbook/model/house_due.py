"""The settings of the due rules in house.yaml, one model for each."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

_DAYS: dict[str, Any] = {"unit": "days"}
_YEARS: dict[str, Any] = {"unit": "years"}
_FILLS: dict[str, Any] = {"unit": "fills"}
_DEPRECATED: dict[str, Any] = {"deprecated": True}
WITHOUT_EFFECT = ("watch_sigma", "act_sigma", "watch_times", "act_times")
"""Settings of `due.loss` that older books may have, and that nothing is judged by any more."""
_NO_EFFECT = "has no effect, and is kept so that older books are read: set false_alarms_per_1000_casks_a_year"


def _type_of_cask(word: str) -> str:
    """A type of cask as it is written in the files; ValueError for any other word, by which no cask would be meant."""
    from caskbook.words import CASK_TYPES
    from caskbook.words.spelling import did_you_mean

    if word not in CASK_TYPES:
        raise ValueError(f"no type of cask{did_you_mean(word, list(CASK_TYPES))}; write a type such as hogshead")
    return word


class _Rule(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True, strict=True)


class RecharRule(_Rule):
    """When a cask is charred again. Counts of 4 to 8 uses are common practice, no source."""

    off: bool = Field(False, description="true: this rule judges nothing")
    soon_at: int = Field(4, ge=1, le=99, json_schema_extra=_FILLS, description="soon from so many fills since char")
    due_at: int = Field(5, ge=1, le=99, json_schema_extra=_FILLS, description="due from so many fills since char")
    well_past_at: int = Field(8, ge=1, le=99, json_schema_extra=_FILLS, description="well past from so many fills since char")
    after_rechar_due_at: int = Field(2, ge=1, le=99, json_schema_extra=_FILLS, description="due from so many fills since a re-char")
    most_rechars: int = Field(
        2, ge=0, le=99, json_schema_extra={"unit": "re-chars"}, description="re-chars after which another is blocked, and needs a reason to be entered"
    )
    off_types: list[Annotated[str, AfterValidator(_type_of_cask)]] = Field(
        default=["butt", "puncheon", "port-pipe", "barrique", "madeira-drum", "gorda"],
        description="types that are not charred: fills since the last fire count, and other work is proposed",
    )


class RetestRule(_Rule):
    """Whether a repaired cask has been tested again."""

    off: bool = Field(False, description="true: this rule judges nothing")


class ExamineRule(_Rule):
    """Looking over empty casks; the days are `examine_valid_days`."""

    off: bool = Field(False, description="true: this rule judges nothing")


class NoseRule(_Rule):
    """Nosing wine casks, and faint ones again."""

    off: bool = Field(False, description="true: this rule judges nothing")
    faint_again_from: int = Field(7, ge=0, le=999, json_schema_extra=_DAYS, description="nosed again from so many days after a faint nose")
    faint_again_until: int = Field(14, ge=0, le=999, json_schema_extra=_DAYS, description="well past after so many days since a faint nose")


class LookRule(_Rule):
    """Looking again at leaks."""

    off: bool = Field(False, description="true: this rule judges nothing")
    weep_days: int = Field(14, ge=0, le=999, json_schema_extra=_DAYS, description="looked at again so many days after a weep; 0 is the same day")
    drip_days: int = Field(0, ge=0, le=999, json_schema_extra=_DAYS, description="looked at again so many days after a drip; 0 is the same day")
    run_days: int = Field(0, ge=0, le=999, json_schema_extra=_DAYS, description="looked at again so many days after a run; 0 is the same day")
    new_fill_days: list[int] = Field(default=[], json_schema_extra=_DAYS, description="days after filling on which a new fill is looked at; 2, 7, 30 is usual")


class HoldRule(_Rule):
    """Held and rejected casks wait for a decision."""

    off: bool = Field(False, description="true: this rule judges nothing")
    after_days: int = Field(0, ge=0, le=999, json_schema_extra=_DAYS, description="due so many days after a hold or a rejection")


class RegaugeRule(_Rule):
    """How often a filled cask is gauged."""

    off: bool = Field(False, description="true: this rule judges nothing")
    first_year: int = Field(5, ge=0, le=99, json_schema_extra=_YEARS, description="first gauged so many years after filling")
    every_years: int = Field(3, ge=1, le=99, json_schema_extra=_YEARS, description="gauged again so many years after the last gauge")
    yearly_from: int = Field(15, ge=1, le=99, json_schema_extra=_YEARS, description="every year from so many years after filling")
    yearly_under_abv: float = Field(43, ge=0, le=100, json_schema_extra={"unit": "% vol"}, description="every year where the last gauge was under it")


class RetireRule(_Rule):
    """When the book proposes that a cask has had its day; a person signs. What is spent and worn is common practice, no source."""

    off: bool = Field(False, description="true: this rule judges nothing")
    points: int = Field(2, ge=1, le=9, json_schema_extra={"unit": "points"}, description="proposed from so many signs together")
    age_years: int = Field(50, ge=1, le=999, json_schema_extra=_YEARS, description="an age that is a sign")
    life_fills: int = Field(6, ge=1, le=99, json_schema_extra=_FILLS, description="life fills after a second re-char")
    replaced_share: float = Field(0.333, gt=0, le=1, json_schema_extra={"unit": "of the whole"}, description="share of staves replaced in ten years")
    replaced_share_life: float = Field(
        0.5, gt=0, le=1, json_schema_extra={"unit": "of the whole"}, description="share of staves replaced in its life, which is the same sign"
    )
    spent_over: int = Field(
        0, ge=0, le=99, json_schema_extra=_FILLS, description="so many fills past the limit of rechar are a sign where it may not be charred again: it is spent"
    )
    worn_margin_mm: float = Field(
        1, ge=0, le=20, json_schema_extra={"unit": "mm"}, description="staves less than so much over the floor of the type are a sign: it is worn"
    )
    worn_visits: int = Field(
        3, ge=2, le=99, json_schema_extra={"unit": "visits"}, description="visits to the bench in which one place was mended that are the same sign"
    )
    fails_in_visit: int = Field(3, ge=1, le=99, json_schema_extra={"unit": "fails"}, description="failed tests in one visit to the bench that are a sign")
    visits_with_fails: int = Field(3, ge=1, le=99, json_schema_extra={"unit": "visits"}, description="visits with a failed test that are a sign")
    treatments: int = Field(2, ge=1, le=99, json_schema_extra={"unit": "treatments"}, description="treatments after which a taint is final")
    soaked: float = Field(
        0.5, gt=0, le=1, json_schema_extra={"unit": "of the whole"}, description="a stave soaked deeper than this part of its thickness is a sign"
    )
    loss_fills: int = Field(2, ge=1, le=99, json_schema_extra=_FILLS, description="fills running that lost too much, which are a sign")


class LossRule(_Rule):
    """When a fill loses more than its peers."""

    off: bool = Field(False, description="true: this rule judges nothing")
    false_alarms_per_1000_casks_a_year: float = Field(
        0.4,
        gt=0,
        le=100,
        json_schema_extra={"unit": "casks"},
        description="sound casks of 1000 that may be due for a loss in a year though nothing is wrong; four times as many are watched",
    )
    watch_sigma: float = Field(2, gt=0, json_schema_extra=_DEPRECATED, description=_NO_EFFECT)
    act_sigma: float = Field(3, gt=0, json_schema_extra=_DEPRECATED, description=_NO_EFFECT)
    watch_times: float = Field(1.75, gt=1, json_schema_extra=_DEPRECATED, description=_NO_EFFECT)
    act_times: float = Field(2.5, gt=1, json_schema_extra=_DEPRECATED, description=_NO_EFFECT)
    act_percent: float = Field(
        5,
        gt=0,
        json_schema_extra={"unit": "% a year"},
        description="% a year that is too much for 200 L or more in a temperate store, and 2.5 times the loss_table, beside fewer peers than fewest_peers",
    )
    fewest_peers: int = Field(
        15,
        ge=2,
        json_schema_extra={"unit": "fills"},
        description="fewest peers that are enough by themselves; fewer are leaned on the house's table or the store",
    )


class ClaimRule(_Rule):
    """Faults found before the supplier's last day."""

    off: bool = Field(False, description="true: this rule judges nothing")
    days: int = Field(30, ge=0, le=3650, json_schema_extra=_DAYS, description="after receipt, where neither the entry nor the supplier says")


class DueRules(_Rule):
    """Settings of the due rules."""

    # The defaults are made without validation: for that, models which hold nothing else would have to be built first.
    rechar: RecharRule = RecharRule.model_construct()
    retest: RetestRule = RetestRule.model_construct()
    examine: ExamineRule = ExamineRule.model_construct()
    nose: NoseRule = NoseRule.model_construct()
    look: LookRule = LookRule.model_construct()
    hold: HoldRule = HoldRule.model_construct()
    regauge: RegaugeRule = RegaugeRule.model_construct()
    retire: RetireRule = RetireRule.model_construct()
    loss: LossRule = LossRule.model_construct()
    claim: ClaimRule = ClaimRule.model_construct()


def read_due(raw: dict[str, Any]) -> DueRules:
    """The due rules as the house has them; of the models only those it speaks of are built. ValidationError for what is wrong."""
    if not raw.keys() <= DueRules.model_fields.keys():
        return DueRules.model_validate(raw)
    given: dict[str, Any] = {name: _model(name).model_validate(value) for name, value in raw.items()}
    return DueRules.model_construct(**given)


def _model(name: str) -> type[BaseModel]:
    model = DueRules.model_fields[name].annotation
    assert isinstance(model, type) and issubclass(model, BaseModel)
    return model
