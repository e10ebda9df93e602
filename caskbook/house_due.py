"""The settings of the due rules in house.yaml, one model for each."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field


class _Rule(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class RecharRule(_Rule):
    """When a cask is charred again. Counts of 4 to 8 uses are common practice, no source."""

    off: bool = False
    soon_at: int = Field(4, ge=1, le=99, description="fills since char")
    due_at: int = Field(5, ge=1, le=99, description="fills since char")
    well_past_at: int = Field(8, ge=1, le=99, description="fills since char")
    after_rechar_due_at: int = Field(2, ge=1, le=99, description="fills since a re-char")
    most_rechars: int = Field(2, ge=0, le=99, description="re-chars after which another is blocked")
    off_types: list[str] = ["butt", "puncheon", "port-pipe", "barrique", "madeira-drum", "gorda"]


class RetestRule(_Rule):
    """Whether a repaired cask has been tested again."""

    off: bool = False


class ExamineRule(_Rule):
    """Looking over empty casks; the days are `examine_valid_days`."""

    off: bool = False


class NoseRule(_Rule):
    """Nosing wine casks, and faint ones again."""

    off: bool = False
    faint_again_from: int = Field(7, ge=0, le=999, description="days after a faint nose")
    faint_again_until: int = Field(14, ge=0, le=999, description="days after a faint nose")


class LookRule(_Rule):
    """Looking again at leaks."""

    off: bool = False
    weep_days: int = Field(14, ge=0, le=999)
    drip_days: int = Field(0, ge=0, le=999)
    run_days: int = Field(0, ge=0, le=999)
    new_fill_days: list[int] = Field(default=[], description="days after filling on which a new fill is looked at; 2, 7, 30 is usual")


class HoldRule(_Rule):
    """Held and rejected casks wait for a decision."""

    off: bool = False
    after_days: int = Field(0, ge=0, le=999)


class RegaugeRule(_Rule):
    """How often a filled cask is gauged."""

    off: bool = False
    first_year: int = Field(5, ge=0, le=99, description="years after filling")
    every_years: int = Field(3, ge=1, le=99)
    yearly_from: int = Field(15, ge=1, le=99, description="years after filling")
    yearly_under_abv: float = Field(43, ge=0, le=100, description="% vol at the last gauge")


class RetireRule(_Rule):
    """When the book proposes that a cask has had its day; a person signs."""

    off: bool = False
    points: int = Field(2, ge=1, le=9)
    age_years: int = Field(50, ge=1, le=999)
    life_fills: int = Field(6, ge=1, le=99, description="life fills after a second re-char")
    replaced_share: float = Field(1 / 3, gt=0, le=1, description="share of staves replaced in ten years")
    fails_in_visit: int = Field(3, ge=1, le=99)
    visits_with_fails: int = Field(3, ge=1, le=99)
    treatments: int = Field(2, ge=1, le=99, description="treatments after which a taint is final")
    soaked: float = Field(0.5, gt=0, le=1)
    loss_fills: int = Field(2, ge=1, le=99)


class LossRule(_Rule):
    """When a fill loses more than its peers."""

    off: bool = False
    watch_sigma: float = Field(2, gt=0)
    act_sigma: float = Field(3, gt=0)
    watch_times: float = Field(1.75, gt=1)
    act_times: float = Field(2.5, gt=1)
    act_percent: float = Field(5, gt=0, description="% a year that is too much by itself, for 200 L or more in a temperate store")
    fewest_peers: int = Field(15, ge=2)


class ClaimRule(_Rule):
    """Faults found before the supplier's last day."""

    off: bool = False
    days: int = Field(30, ge=0, le=3650, description="after receipt, where neither the entry nor the supplier says")


class DueRules(_Rule):
    """Settings of the due rules."""

    # Made without validation: that of ten models, which hold their defaults only, would have to be built first.
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
