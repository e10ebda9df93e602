"""Slips that the cask's own life shows, and what was probably meant."""

from __future__ import annotations

import pytest
from casks import cask_of, ev
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.loss.readings import readings
from caskbook.loss.slips import likely_slips
from loss.filled import START, emptied, filled, gauged, lived

MEASURED = ev("2014-12-20", "measure", dims_mm={"bung": 620, "head": 530, "length": 800}, capacity_l=200, tare_kg=52)
LIFE = lived(MEASURED, filled(litres=198.4, temp_c=14.5), gauged("2019-06-11", 183.4, 62.5, temp_c=14.5))
EMPTY = lived(MEASURED)


def told(**fields: object) -> list[str]:
    return likely_slips(LIFE, ev("2023-06-20", "regauge", **{"abv": 62.0, "temp_c": 14.5, **fields}))


@pytest.mark.parametrize(
    ("fields", "says", "meant"),
    [
        ({"litres": 174.4, "temp_c": 145}, "temp_c 145", "did you mean 14.5 °C?"),
        ({"litres": 174.4, "abv": 6.35}, "abv 6.35", "did you mean 63.5 %?"),
        ({"litres": 174.4, "abv": 26.0}, "it was 62.5 % vol on 2019-06-11", "did you mean 62 %?"),
        ({"litres": 174.4, "abv": 52.0}, "it was 62.5 % vol on 2019-06-11", ""),
        ({"litres": 192.4}, "spirit does not grow", "is it the right cask"),
        ({"litres": 46.1}, "it held", "did you mean US gal?"),
        ({"litres": 38.4}, "it held", "did you mean UK gal?"),
        ({"litres": 17.44}, "it held", "did you mean 174.4 L?"),
        ({"litres": 1744.0}, "spirit does not grow", "did you mean 174.4 L?"),
        ({"litres": 714.0}, "spirit does not grow", "did you mean 174 L?"),
        ({"wet_mm": 51.0}, "wet dip 51 mm: the cask is 620 mm deep", "did you mean cm?"),
        ({"wet_mm": 21.0}, "wet dip 21 mm", "did you mean in?"),
        ({"wet_mm": 5100.0}, "wet dip 5100 mm", "did you mean 510 mm?"),
        ({"dry_mm": 700.0}, "dry dip 700 mm", "did you mean 70 mm?"),
        ({"gross_kg": 470.0}, "spirit does not grow", "470 lb is 213.2 kg: did you mean lb?"),
    ],
)  # fmt: skip
def test_what_was_probably_meant(fields: dict[str, object], says: str, meant: str) -> None:
    (line,) = told(**fields)
    assert says in line and meant in line


@pytest.mark.parametrize(
    "fields",
    [{"litres": 174.4}, {"litres": 183.9}, {"litres": 60.0}, {"wet_mm": 510.0}, {"dry_mm": 110.0}, {"gross_kg": 210.0}, {"litres": 174.4, "abv": 60.0}],
)
def test_nothing_is_said_of_what_may_well_be(fields: dict[str, object]) -> None:
    assert told(**fields) == []


@pytest.mark.parametrize(
    ("litres", "meant"),
    [(52.4, "52.4 US gal is 198.36 L: did you mean US gal?"), (1940.0, "did you mean 194 L?"), (291.0, ""), (194.0, None), (30.0, None)],
)
def test_a_filling_is_held_against_the_cask(litres: float, meant: str | None) -> None:
    found = likely_slips(EMPTY, ev("2015-04-02", "fill", spirit="malt", litres=litres, abv=63.5, at_20=True))
    assert bool(found) == (meant is not None)
    assert meant is None or meant in found[0]


def test_a_strength_of_a_filling() -> None:
    (line,) = likely_slips(EMPTY, ev("2015-04-02", "fill", spirit="malt", litres=194, abv=6.35))
    assert "did you mean 63.5 %?" in line
    (line,) = likely_slips(EMPTY, ev("2015-04-02", "fill", spirit="malt", litres=194, abv=127))
    assert "127 US proof is 63.55 % vol" in line


def test_a_dip_of_an_unmeasured_cask_is_held_against_its_size() -> None:
    life = lived(filled(litres=195))
    (line,) = likely_slips(life, ev("2016-01-01", "regauge", wet_mm=58.0, abv=63.0, method="dip"))
    assert line == "wet dip 58 mm: the cask is about 620 mm deep; 58 cm is 580 mm: did you mean cm?"


def test_an_event_that_stands_in_the_life_is_not_held_against_itself() -> None:
    events = (*START, MEASURED, filled(litres=198.4, temp_c=14.5), gauged("2019-06-11", 46.1, 62.5, temp_c=14.5))
    cask = cask_of(*events)
    life = lived(*events[2:])
    (line,) = likely_slips(life, cask.events[-1])
    assert "did you mean US gal?" in line


def test_other_jobs_and_casks_without_a_fill_are_left_alone() -> None:
    assert likely_slips(LIFE, ev("2023-06-20", "test", psi=11, result="pass")) == []
    assert likely_slips(EMPTY, ev("2023-06-20", "regauge", litres=100, abv=62, method="meter")) == []
    emptied_life = lived(filled(), emptied("2018-01-01", 190))
    assert likely_slips(emptied_life, ev("2023-06-20", "regauge", litres=10, abv=62, method="meter")) == []


def test_other_readings_in_order() -> None:
    assert [one.value for one in readings("temp_c", 58.0)] == [14.44, 5.8, 580.0, 85.0, -58.0]


@settings(max_examples=many(60))
@given(
    st.fixed_dictionaries(
        {"abv": st.floats(0, 100)},
        optional={
            "litres": st.floats(0, 1e6),
            "wet_mm": st.floats(0, 3000),
            "dry_mm": st.floats(0, 3000),
            "gross_kg": st.floats(0, 5000),
            "temp_c": st.floats(-50, 500),
        },
    )
)
def test_any_figures_are_answered_in_one_line_each(fields: dict[str, float]) -> None:
    for line in likely_slips(LIFE, ev("2023-06-20", "regauge", **fields)):
        assert line and "\n" not in line and "e+" not in line
