"""The control chart by month: published limits, months in order, what lies outside and what is too few to tell."""

from __future__ import annotations

import pytest

from caskbook.render.month_chart import chart_lines
from caskbook.stats.control_chart import p_chart


def test_the_limits_of_the_handbook() -> None:
    """NIST/SEMATECH e-Handbook 6.3.3.2: thirty wafers of 50 chips, on average .2313 at fault; the limits .4102 and .0524 (these two from memory)."""
    counts = [(f"{2020 + n // 12}-{n % 12 + 1:02d}", 347 // 30 + (n < 347 % 30), 50) for n in range(30)]
    chart = p_chart(counts, 10)
    assert chart.middle == pytest.approx(0.2313, abs=5e-5)
    assert {(round(month.lower or 0, 4), round(month.upper or 0, 4)) for month in chart.months} == {(0.0524, 0.4102)}
    assert {month.mark for month in chart.months} == {"within"}


def test_months_are_in_order_without_a_gap_and_each_has_its_own_limits() -> None:
    chart = p_chart([("2026-02", 30, 40), ("2025-11", 5, 100), ("2025-12", 0, 9), ("2025-10", 0, 60)], 10)
    assert [(month.month, month.mark) for month in chart.months] == [
        ("2025-10", "below"), ("2025-11", "below"), ("2025-12", "small"), ("2026-01", "none"), ("2026-02", "above"),
    ]  # fmt: skip
    assert (chart.found, chart.of) == (35, 209)
    middle = 35 / 209
    assert chart.months[1].upper == pytest.approx(middle + 3 * (middle * (1 - middle) / 100) ** 0.5)
    assert chart.months[3].share is None


def test_just_enough_is_told_and_nothing_has_no_middle() -> None:
    assert [month.mark for month in p_chart([("2026-01", 1, 10), ("2026-02", 1, 9)], 10).months] == ["within", "small"]
    assert p_chart([], 10) == ((), 0, 0, 10) and p_chart([], 10).middle is None
    assert chart_lines(p_chart([], 10), width=80) == []


def test_the_picture_is_read_without_colour_and_in_ascii() -> None:
    chart = p_chart([("2025-11", 5, 100), ("2025-12", 1, 3), ("2026-01", 60, 100), ("2026-02", 30, 100)], 10)
    lines = chart_lines(chart, width=80)
    assert "".join(lines).isascii() and max(map(len, lines)) <= 80
    drawn = "\n".join(line.partition("|")[2] for line in lines)
    assert (drawn.count("X"), drawn.count("o"), drawn.count(".")) == (2, 1, 1)
    assert lines[-3].split() == ["month", "11", "12", "01", "02"] and lines[-2].split() == ["tested", "100", "3", "100", "100"]
    assert lines[-1].split() == ["year", "2025", "2026"]
    months = [(f"{2020 + n // 12}-{n % 12 + 1:02d}", 1, 20) for n in range(30)]
    assert len(chart_lines(p_chart(months, 10), width=80)[-3].split()) == 25
    assert len(chart_lines(p_chart(months, 10), width=40)[-3].split()) == 11
