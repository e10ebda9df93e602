"""A wrong entry is taken as well as it can be: whatever is wrong with it, a life can be told and nothing is raised."""

from __future__ import annotations

from datetime import date
from typing import Any, Literal, Self

import pytest
from casks import HOUSE, cask_data, ev
from faulty_entries import MISSING, spoilt, whole_of
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many, others_thorough
from pydantic import BaseModel, Field, ValidationError, model_validator

from caskbook.core.finding import Fault
from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.cask import read_cask
from caskbook.model.jobs import JOBS
from caskbook.model.jobs.arrival.made import Share
from caskbook.model.jobs.base import CaskId, Day, Event, HoopName, PlaceText, StaveName, When, as_data
from caskbook.model.recovery import _bounds, as_written

_ODD = st.one_of(
    st.none(), st.booleans(), st.integers(-3, 10**9), st.floats(allow_nan=False), st.text(max_size=6),
    st.lists(st.one_of(st.text(max_size=3), st.integers(0, 5), st.dictionaries(st.text(max_size=4), st.integers(0, 3), max_size=2)), max_size=2),
    st.dictionaries(st.sampled_from(["at", "defect", "cask", "litres"]), st.text(max_size=4), max_size=2),
    st.sampled_from(["pass", "fail", "sound", "A", "new", "malt", "joint-3", "2020-01-05", "drive"]),
)  # fmt: skip


@st.composite
def odd_events(draw: st.DrawFn) -> dict[str, Any]:
    job = draw(st.sampled_from(sorted(JOBS)))
    fields = [field.alias or name for name, field in JOBS[job].model_fields.items() if name not in ("id", "job")]
    event = {key: draw(_ODD) for key in draw(st.lists(st.sampled_from(fields), max_size=6, unique=True))}
    return {"date": date(2020, 1, 5), **event, "job": job}


@pytest.mark.thorough
@settings(max_examples=many(400), deadline=None)
@given(st.lists(odd_events(), min_size=1, max_size=4))
def test_any_odd_entries_are_read_and_lived(events: list[dict[str, Any]]) -> None:
    cask, faults = read_cask(cask_data(ev("2020-01-01", "receive", verdict="accept"), *events))
    assert cask is not None
    assert all(fault.message and "\n" not in fault.message for fault in faults)
    facts_of(live(cask, HOUSE, date(2021, 1, 1)))


@pytest.mark.parametrize(
    "event",
    [ev("2020-01-02", "test", psi=11, result="fail", cured_by="drive"), ev("2020-01-02", "flag", at=[]), ev("2020-01-02", "flag", at="joint-3"),
     ev("2020-01-02", "empty", litres=3), ev("2020-01-02", "stave", staves=["x"], action="replace")],
)  # fmt: skip
def test_a_contradiction_is_one_fault_and_no_crash(event: dict[str, Any]) -> None:
    cask, faults = read_cask(cask_data(ev("2020-01-01", "receive", verdict="accept"), event))
    assert cask is not None and faults
    live(cask, HOUSE, date(2021, 1, 1))


def test_an_odd_head_is_read_as_far_as_it_goes() -> None:
    cask, faults = read_cask(cask_data(staves="many", heads=[1, 2, 3], prior="bourbon", charred=[2011], type=7, capacity_l="big"))
    assert cask is not None and cask.id == "TH-004217"
    assert [fault.where[0] for fault in faults] == ["type", "capacity_l", "staves", "heads", "prior", "charred"]


TIED = {("fill", "vat"): {"vat_litres"}}
"""What cannot be told either without a field: the litres of a vat that nobody names."""


@pytest.mark.parametrize("job", others_thorough(list(JOBS), 12))
def test_of_a_whole_entry_with_one_wrong_field_only_that_one_is_lost(job: str) -> None:
    before, fields = whole_of(job)
    whole, faults = read_cask(cask_data(*before, {**ev("2023-04-05", job), **fields}))
    assert whole is not None and not faults, faults
    known = as_data(whole.events[len(before)])
    for field, wrong, events in spoilt(job):
        cask, _ = read_cask(cask_data(*events))
        assert cask is not None
        event = cask.events[len(before)]
        if not event.codes:
            continue
        tied = TIED.get((job, field), set()) if wrong in (MISSING, None) else set()
        assert event.lost - tied == {field} and event.likely is not None, (field, wrong, event.lost)
        kept = {key: value for key, value in as_data(event).items() if key not in (*event.lost, "findings", *(["defects"] if "findings" in event.lost else []))}
        said = {key.replace("findings", "defects"): value for key, value in known.items() if key not in event.lost}  # `findings` are then those of the check
        assert kept == said, (field, wrong)


FAIL, LEAKS = {"psi": 9, "result": "fail"}, {"leaks": [{"at": "joint-3"}]}
DISAGREE: tuple[tuple[str, dict[str, Any], set[str]], ...] = (
    ("fill", {"spirit": "malt", "litres": 190, "abv": 63.5, "vat": 12, "vat_litres": 2000}, {"vat"}),
    ("fill", {"spirit": "malt", "litres": 190, "abv": 63.5, "vat_litres": 2000}, {"vat", "vat_litres"}),
    ("bung", {"action": "rebore", "to": 4, "bore_mm": 50}, {"action", "to"}),
    ("bung", {"action": "moved", "bore_mm": 50}, {"to"}),
    ("bung", {"action": "mooved", "to": 4, "bore_mm": 50}, {"action"}),
    ("stave", {"staves": [3], "action": "replace", "staves_after": 31}, {"from"}),
    ("head", {"head": "A", "action": "replace", "from": "new"}, {"mark"}),
    ("head", {"head": "C", "action": "replace", "from": "new"}, {"head"}),
    ("char", {"fuel": "gas"}, {"level"}),
    ("char", {"seconds": "long", "fuel": "gas"}, {"seconds"}),
    ("empty", {"litres": 170, "temp_c": 14}, {"abv"}),
    ("empty", {"litres": "much", "temp_c": 14}, {"litres", "abv"}),
    ("empty", {"litres": 170, "abv": 60, "why": "sold"}, {"why"}),
    ("empty", {"litres": 170, "abv": 60, "why": "misread", "replaces": 7}, {"replaces"}),
    ("regauge", {"abv": 60, "method": "dip"}, {"litres"}),
    ("regauge", {"wet_mm": "x", "abv": 60, "method": "dip"}, {"wet_mm"}),
    ("correct", {"capacity_l": "big", "why": "misread"}, {"capacity_l"}),
    ("test", {"result": "pass", "water_l": 2}, {"psi"}),
    ("test", {**FAIL, "water_l": 2}, {"leaks"}),
    ("test", {**FAIL, **LEAKS, "cured_by": "drive"}, {"cured_by", "result"}),
    ("test", {**LEAKS, "psi": 9, "result": "pass"}, {"cured_by", "result"}),
    ("test", {**LEAKS, "psi": 9, "result": "pass", "cured_by": "hammer"}, {"cured_by", "result"}),
    ("test", {**LEAKS, "psi": 9, "result": "perhaps", "cured_by": "drive"}, {"result"}),
    ("test", {"psi": 9, "result": "pass", "cured_by": "drive", "leaks": 3}, {"leaks"}),
)


@pytest.mark.parametrize(("job", "says", "lost"), DISAGREE)
def test_of_fields_that_disagree_only_these_are_lost(job: str, says: dict[str, Any], lost: set[str]) -> None:
    before, _ = whole_of(job)
    cask, faults = read_cask(cask_data(*before, {**ev("2023-04-05", job), **says}))
    assert cask is not None and faults
    event = cask.events[-1]
    assert event.lost == lost
    assert {key for key, value in as_data(event).items() if value is not None} >= says.keys() - lost
    facts = facts_of(live(cask, HOUSE, date(2023, 4, 6)))
    assert job != "test" or not facts.proved and facts.fitness != "ready"


class Turned(Event):
    """A job that is still to come, with a required field of each kind that none has so far."""

    job: Literal["note"]
    turned: list[Day]
    once: Day
    made: When
    count: int = Field(ge=3)
    bore_mm: float = Field(ge=40, le=65)
    stave: StaveName
    hoop: HoopName
    place: PlaceText
    other: CaskId
    shares: list[Share]


def test_a_required_field_of_any_kind_has_a_mild_value_and_takes_no_other_along() -> None:
    whole = {
        "id": "e0000001", "date": date(2020, 1, 5), "job": "note", "turned": [date(2020, 1, 5)], "once": date(2020, 1, 5), "made": 2011, "count": 4, "bore_mm": 50,
        "stave": 14, "hoop": "A-1", "place": "joint-3", "other": "TH-004218", "shares": [{"cask": "TH-004218"}],
    }  # fmt: skip
    known = as_data(Turned.model_validate(whole))
    for key in whole.keys() - {"job"}:
        data = {**whole, key: [date(2020, 1, 5), "soon"] if key == "turned" else {"no": "such"}}
        with pytest.raises(ValidationError) as error:
            Turned.model_validate(data)
        event = as_written(Turned, data, error.value, [Fault("wrong-type", "error", "", ())])
        assert event is not None and event.lost == {key} and event.likely is not None, key
        assert {name: value for name, value in as_data(event).items() if name not in (key, "findings")} == {
            name: value for name, value in known.items() if name != key
        }


class Dried(Event):
    """A job that is still to come, with a rule between a figure that must be there and another one."""

    job: Literal["note"]
    driest: float = Field(ge=0.02, le=1)
    wettest: float

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.wettest < self.driest:
            raise ValueError("the wettest is drier than the driest")
        return self


def test_a_lost_figure_is_read_as_one_of_its_bounds_where_only_that_goes_with_the_others() -> None:
    data = {"id": "e0000001", "date": date(2020, 1, 5), "job": "note", "driest": "dry", "wettest": 0.14}
    with pytest.raises(ValidationError) as error:
        Dried.model_validate(data)
    event = as_written(Dried, data, error.value, [Fault("wrong-type", "error", "", ())])
    assert event is not None and event.lost == {"driest"} and event.likely is not None


class _Counted(BaseModel):
    coats: int = Field(strict=True, ge=6, lt=9)
    more: int = Field(strict=True, gt=6)
    share: float = Field(gt=0, le=1)


def test_the_bounds_of_a_count_are_counts() -> None:
    tried = {name: _bounds(field) for name, field in _Counted.model_fields.items()}
    assert 6 in tried["coats"] and 8 in tried["coats"] and 7 in tried["more"] and 0.001 in tried["share"] and 1 in tried["share"]
    assert all(isinstance(next(value for value in tried[name] if value == first), int) for name, first in (("coats", 6), ("coats", 8), ("more", 7)))
