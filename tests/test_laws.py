"""What is crossed in the tests: every combination is there, and the default run has each value."""

from __future__ import annotations

from itertools import product

from laws import crossed


def test_each_value_is_in_the_default_run_and_every_combination_in_the_slow_one() -> None:
    lists = ("abc", [1, 2], "xyzuv")
    _, rows = crossed("one,two,three", *lists).mark.args
    assert [row.values for row in rows] == list(product(*lists))
    usual = [row.values for row in rows if not row.marks]
    assert [set(values) for values in zip(*usual, strict=True)] == [set(one) for one in lists]
    assert len(usual) == 5 and all([mark.name for mark in row.marks] == ["slow"] for row in rows if row.marks)
