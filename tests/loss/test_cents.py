"""Figures to the hundredth, which are kept once they were worked out."""

from __future__ import annotations

from decimal import Decimal

import pytest

from caskbook.loss.gauges import cents, counted_lpa


@pytest.mark.parametrize("first", [0.145, Decimal(0.145)])
def test_a_float_and_the_decimal_that_it_is_equal_to_are_two_figures(first: float | Decimal) -> None:
    """0.145 was typed; the float stands a little below it, and written out to the end it is another figure."""
    cents.cache_clear()
    cents(first)
    assert Decimal(0.145) == 0.145
    assert (cents(0.145), cents(Decimal(0.145))) == (Decimal("0.15"), Decimal("0.14"))


def test_litres_of_alcohol_follow_the_rules_of_the_day() -> None:
    counted_lpa.cache_clear()
    assert counted_lpa(200.0, 63.58, ()) == Decimal("127.16")
    assert counted_lpa(200.0, 63.58, ("strength-down-0.1",)) == Decimal("127.00")
    assert counted_lpa(200.0, 63.58, ()) == Decimal("127.16")
