"""What went to the air and by leaks: the parts of any division close with the whole, and no part leaks more than it loses."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.loss.account import grouped, rows_of, total
from caskbook.loss.parts import Division
from loss.filled import filled, gauged, lived
from loss.test_verdicts import PEERS, kept


def test_a_leak_of_known_litres_is_told_apart_from_the_air() -> None:
    """Two years at 2 %, then 30 L at once: 19.0 L of alcohol by the leak, by own arithmetic."""
    life = lived(filled(), gauged("2017-01-01", kept(2), 63.5), gauged("2019-01-01", kept(4) - 30.0, 63.5))
    (row,) = rows_of(life, PEERS)
    assert row.verdict == "act" and row.leaked is not None and row.to_air is not None and row.lpa is not None
    assert float(row.leaked) == pytest.approx(30.0 * 0.635, rel=0.05)
    assert row.leaked + row.to_air == row.lpa
    years = {part.year: part for part in rows_of(life, PEERS, Division(by_year=True))}
    assert years[2015].leaked == years[2016].leaked == Decimal("0.00")
    assert years[2017].leaked + years[2018].leaked + years[2019].leaked == row.leaked  # type: ignore[operator]


def test_a_sound_fill_leaks_nothing() -> None:
    (row,) = rows_of(lived(filled(), gauged("2019-01-01", kept(4), 63.5)), PEERS)
    assert row.leaked == 0 and row.to_air == row.lpa


def test_a_gauge_that_is_likely_misread_is_in_no_sum_and_says_so() -> None:
    rows = rows_of(lived(filled(), gauged("2019-01-01", round(kept(4) / 3.785, 1), 63.2)), PEERS)
    assert (rows[0].lpa, rows[0].doubt) == (None, "gauge likely misread")
    assert rows[0].reason is not None and "US gal" in rows[0].reason
    assert (total(rows).lpa, total(rows).doubtful) == (0, 1)


@given(st.lists(st.tuples(st.integers(100, 900), st.floats(0.5, 1.0)), min_size=1, max_size=6))
def test_parts_close(steps: list[tuple[int, float]]) -> None:
    day, litres, gauges = date(2015, 1, 1).toordinal(), 200.0, []
    for later, share in steps:
        day, litres = day + later, litres * share
        gauges.append(gauged(str(date.fromordinal(day)), round(litres, 1), 63.5))
    life = lived(filled(), *gauges, day="2032-01-01")
    whole = total(rows_of(life, PEERS))
    parts = grouped(rows_of(life, PEERS, Division(by_year=True)), "year")
    assert sum((part.leaked for part in parts), Decimal("0.00")) == whole.leaked
    assert sum((part.to_air for part in parts), Decimal("0.00")) == whole.to_air
    assert whole.leaked + whole.to_air == whole.lpa
    assert all(part.leaked <= part.lpa + Decimal("0.02") for part in parts)
