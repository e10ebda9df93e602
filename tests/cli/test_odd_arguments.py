"""Words of a command line that no value of the book can be: bytes that are no text, names longer than any file's. One line, exit 2."""

from __future__ import annotations

import pytest
from commands import caskbook

BYTE, LONG = "\udcff", "9" * 300


@pytest.mark.thorough
@pytest.mark.parametrize(
    "words",
    [
        ["due", "--berth", BYTE], ["list", "--where", f"berth = '{BYTE}'"], ["list", "--berth", BYTE], ["show", BYTE], ["check", BYTE], ["check", LONG], ["explain", BYTE],
        ["review", BYTE], ["enter", "note", "TH-003379", "--note", BYTE, "--by", "ab"], ["enter", BYTE], ["void", "--sheet", BYTE, "--why", "x", "--by", "ab"],
        ["void", BYTE, BYTE], ["query", f"SELECT '{BYTE}'"], ["gauge", "volume", "--litres", BYTE], ["show", LONG], ["check", "--since", BYTE],
        ["move-event", "TH-003379", BYTE, "--to", "TH-003380"], ["stamp", LONG],
        ["redate", "--sheet", BYTE, "--date", "wed"], ["redate", LONG, BYTE, "--date", BYTE], ["correct", BYTE, "--maker", BYTE, "--why", BYTE, "--by", "ab"],
        ["move-event", "--sheet", BYTE, "--map", f"{BYTE}={LONG}", "--why", "x", "--by", "ab"], ["move-event", "--sheet", "x", "--map", LONG, "--why", "x", "--by", "ab"],
    ],
)  # fmt: skip
def test_no_odd_word_is_a_fault_of_the_program(words: list[str]) -> None:
    done = caskbook(*words)
    assert done.returncode in (0, 1, 2) and "fault of the program" not in done.stderr and "Traceback" not in done.stderr, done.stderr


@pytest.mark.parametrize(
    "words", [["due"], ["show", "TH-003379"], ["check"], ["enter", "note", "TH-003379", "--note", "x", "--by", "ab", "--dry-run"], ["shift"]]
)
def test_a_clock_that_no_nanoseconds_reach_is_told_in_a_line(words: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """As Python itself does from 2262-04-12 on."""

    def far() -> int:
        raise OverflowError("timestamp too large to convert to C _PyTime_t")

    monkeypatch.setattr("time.time_ns", far)
    done = caskbook(*words)
    assert done.returncode == 2 and "the clock of this machine stands before 1677 or after 2262" in done.stderr, done.stderr
    assert "fault of the program" not in done.stderr and "Traceback" not in done.stderr and done.stderr.count("\n") == 1, done.stderr


@pytest.mark.parametrize("day", ["2262-04-12", "2300-01-01", "9999-12-31"])
def test_a_day_far_ahead_is_a_day_like_any_other(day: str) -> None:
    for words in (["due", "--top", "1"], ["list", "--columns", "cask,years_in_wood", "--top", "1"], ["show", "TH-003379", "--line"]):
        done = caskbook(*words, "--as-of", day)
        assert done.returncode in (0, 2) and "fault of the program" not in done.stderr and "Traceback" not in done.stderr, done.stderr
