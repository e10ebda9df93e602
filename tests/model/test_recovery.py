"""A wrong entry is taken as well as it can be: whatever is wrong with it, a life can be told and nothing is raised."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from casks import HOUSE, cask_data, ev
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.cask import read_cask
from caskbook.model.jobs import JOBS

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
