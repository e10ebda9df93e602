"""The house's pattern of numbers: read as Python reads it, and never in a time that nobody waits for."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import HOUSE, Shop
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.checks.id_pattern import house_pattern

ONE = st.sampled_from(["A", "B", "-", "0", "[A-B]", "[^A]", ".", r"\d", r"\W", "[0-9-]", "^", "$"])
TIMES = st.sampled_from(["*", "+", "?", "{2}", "{1,3}", "{0,2}", "*?", "+?", "{2,}", "{30}"])
PATTERNS = st.recursive(
    ONE,
    lambda inner: st.one_of(
        st.tuples(inner, inner).map("".join),
        st.tuples(inner, inner).map(lambda two: f"({two[0]}|{two[1]})"),
        st.tuples(inner, TIMES).map(lambda two: f"(?:{two[0]}){two[1]}"),
        st.tuples(st.sampled_from(["(?=", "(?!", "("]), inner).map(lambda two: f"{two[0]}{two[1]})"),
    ),
    max_leaves=8,
)


@pytest.mark.thorough
@settings(max_examples=many(600), deadline=None)
@given(PATTERNS, st.text("AB-0b", max_size=6), st.sampled_from(["", "(?i)"]))
def test_a_pattern_takes_what_python_takes(pattern: str, text: str, flag: str) -> None:
    ours = house_pattern(flag + pattern)
    assert ours is not None and ours.fullmatch(text) == (re.fullmatch(flag + pattern, text) is not None)


@pytest.mark.parametrize("pattern", ["[", r"(a)\1", "(?<=a)b", "(?i:a)", r"\bA", "(?>a)", "(a*+)?", "a" * 201, "(" * 190])
def test_what_is_not_read_is_no_pattern(pattern: str) -> None:
    assert house_pattern(pattern) is None


@pytest.mark.parametrize("pattern", ["((([A-Z0-9-]+)+)+)+X", "(" * 60 + "A" + "+)" * 60 + "X", "(A|A|A)*X", ".*" * 60 + "X", "(A?){24}A{24}X"])
def test_no_pattern_holds_a_check_up(tmp_path: Path, pattern: str) -> None:
    shop = Shop(tmp_path, HOUSE + f"id_pattern: '{pattern}'\n")
    number = "A" * 19 + "-0001"
    shop.put({"date": "2026-01-01", "job": "receive", "verdict": "accept"}, cask=number)
    ran = caskbook("check", number, cwd=shop.root)
    assert "id-not-of-house" in ran.stdout and "unreadable" not in ran.stdout, ran.stdout


def test_a_number_is_judged_by_the_pattern_of_the_day_it_was_given(tmp_path: Path) -> None:
    rows = "\n  - {since: 2000-01-01, value: 'TH-[0-9]{6}'}\n  - {since: 2026-01-01, value: 'TX-[0-9]{6}'}\n  - {since: 2999-01-01, value: '['}\n"
    shop = Shop(tmp_path, HOUSE + "id_pattern:" + rows)
    for number, day in (("TH-000001", "2025-12-31"), ("TX-000001", "2026-01-01"), ("TH-000002", "2026-01-01"), ("TX-000002", "2025-12-31")):
        shop.put({"date": day, "job": "receive", "verdict": "accept"}, cask=number)
    ran = caskbook("check", "--format", "concise", cwd=shop.root)
    assert [line[:30].partition(":")[0][-14:-5] for line in ran.stdout.splitlines() if "id-not-of-house" in line] == ["TH-000002", "TX-000002"]
    assert ran.stdout.count("unreadable-id-pattern") == 1
    assert "since, value" in caskbook("explain", "id_pattern", cwd=shop.root).stdout
