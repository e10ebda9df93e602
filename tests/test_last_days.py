"""The first and the last day of the calendar are days like any other: no command that reckons on from them fails."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import CASK, Shop, days_ago

from caskbook.cli.commands.report_outlook_backtest import last_day

FILLED = [
    {"date": days_ago(9), "job": "receive", "verdict": "accept", "berth": "W1/1/1"},
    {"date": days_ago(8), "job": "examine", "verdict": "sound"},
    {"date": days_ago(7), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "temp_c": 15, "method": "meter"},
    {"date": days_ago(6), "job": "leak", "at": "joint-3", "severity": "drip"},
]
ASKED = [
    ["due", "--soon", "--format", "ics"], ["due", "--all"], ["plan", "--coopers", "1", "--hours-a-week", "8"], ["morning", "--hours", "8"], ["ready"], ["report", "leaks"],
    ["report", "service"], ["report", "outlook"], ["report", "outlook", "--back-test"], ["report", "retirement", CASK], ["show", CASK],
]  # fmt: skip


@pytest.mark.thorough
@pytest.mark.parametrize("day", ["9999-12-31", "9999-12-30", "0001-01-01"])
def test_no_command_fails_on_the_last_day_or_the_first(tmp_path: Path, day: str) -> None:
    shop = Shop(tmp_path)
    shop.put(*FILLED)
    for words in ASKED:
        done = caskbook(*words, "--as-of", day, "--records", str(shop.root))
        assert "a fault of the program" not in done.stderr, (words, done.stderr)


def test_an_entry_of_the_last_day_has_no_end(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(*FILLED[:2])
    ends = {}
    for day in ("9999-12-30", "9999-12-31"):
        done = caskbook("due", "--format", "ics", "--as-of", day, "--records", str(shop.root))
        assert done.returncode == 0, done.stderr
        ends[day] = done.stdout.count("DTSTART"), done.stdout.count("DTSTART;VALUE=DATE:99991231"), done.stdout.count("DTEND")
    for starts, last, end in ends.values():
        assert starts and end == starts - last


def test_a_month_outside_of_the_calendar_ends_with_its_first_or_last_day() -> None:
    assert (last_day(-90), last_day(12), last_day(12 * 9999 + 11), last_day(12 * 10_000)) == (date.min, date(1, 1, 31), date.max, date.max)
