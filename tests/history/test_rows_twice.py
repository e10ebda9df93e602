"""A second row for one day, or a row put over what had landed: never taken in silence, and never the one that counts."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from caskbook.checks.landed_beside import house_breaches
from caskbook.model.house_file import read_house
from history.ledgers import EXAMINED, HOUSE, RECEIVED, TESTED, cask, ledger

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")
LIMITS = "test_limit_psi:\n  - {since: 2000-01-01, value: 12}\n  - {since: 2024-06-01, value: 11}\n"
CREW = "crew:\n  - {initials: ab, from: 2010-01-01, until: 2019-12-31}\n  - {initials: kd}\n"


def told(old: str, new: str) -> list[tuple[str, tuple[object, ...]]]:
    return [(one.finding.code, one.unit[1:]) for one in house_breaches("house.yaml", old.encode(), new.encode())]


def errors(text: str) -> list[str]:
    return [one.code for one in read_house("house.yaml", text.encode()).findings if one.severity == "error"]


ROW = "  - {since: 2000-01-01, value: 12}\n"
PLANTED = {
    "below": LIMITS.replace(ROW, ROW + ROW.replace("12", "40")),
    "above": LIMITS.replace(ROW, ROW.replace("12", "40") + ROW),
    "at the end": LIMITS + ROW.replace("12", "40"),
    "in other signs": LIMITS + '  - {since: "20000101", value: 40}\n',
}


@pytest.mark.parametrize("way", PLANTED)
def test_a_second_row_of_a_landed_day_is_an_alteration_and_an_error(way: str):
    assert told(LIMITS, PLANTED[way]) == [("landed-setting-changed", ("test_limit_psi", "2000-01-01"))]
    assert errors(PLANTED[way]) == ["row-twice"]


def test_of_two_rows_of_one_day_the_first_counts():
    house = read_house("house.yaml", PLANTED["below"].encode()).house
    assert read_house("house.yaml", PLANTED["below"].encode()).at_default == 0, "nothing stands at its default"
    assert house.on(date(2010, 1, 1)).test_limit_psi == 12 and house.on(date(2025, 1, 1)).test_limit_psi == 11
    twice = read_house("house.yaml", b"test_limit_psi: 11\ntest_limit_psi: 40\n")
    assert twice.house.on(date(2010, 1, 1)).test_limit_psi == 11 and [one.code for one in twice.findings] == ["duplicate-key"]


def test_a_row_put_among_those_that_landed_is_an_alteration_and_one_behind_them_is_none():
    assert told(LIMITS, LIMITS + "  - {since: 2000-01-02, value: 40}\n") == [("landed-setting-changed", ("test_limit_psi", "2000-01-02"))]
    assert told(LIMITS, LIMITS + "  - {since: 2000-01-02, value: 12}\n") == []
    assert told(LIMITS, LIMITS + "  - {since: 2026-01-01, value: 10}\n") == []


def test_what_landed_with_two_rows_may_be_put_right_and_is_told_once_only():
    assert told(PLANTED["below"], PLANTED["below"] + "name: A\n") == []
    assert told(PLANTED["below"], LIMITS) == []


@pytest.mark.parametrize(
    ("types", "codes"),
    [
        ("{test_limit_psi: 40}", ["landed-setting-changed"]),
        ("{test_limit_psi: [{since: 2020-01-01, value: 40}]}", ["landed-setting-changed"]),
        ("{test_limit_psi: [{since: 2026-01-01, value: 40}]}", []),
        ("{examine_valid_days: 300}", ["undated-setting-changed"]),
        ("{examine_valid_days: 30}", []),
        ("{examine_valid_days: [{since: 2026-01-01, value: 300}]}", []),
    ],
)
def test_a_setting_of_one_type_does_not_take_the_place_of_what_landed_for_all(types: str, codes: list[str]):
    old = LIMITS + "examine_valid_days: 30\n"
    assert [code for code, _ in told(old, f"{old}types:\n  barrel: {types}\n")] == codes


@pytest.mark.parametrize("more", ["{initials: ab, from: 2010-01-01}", "{initials: ab, from: 2010-01-01, until: 2030-01-01}"])
def test_a_second_row_of_one_person_and_day_is_an_alteration_and_an_error(more: str):
    new = f"{CREW}  - {more}\n"
    assert [code for code, _ in told(CREW, new)] == ["landed-setting-changed"] and errors(new) == ["row-twice"]
    assert told(new, new) == []


def test_who_comes_back_has_a_row_of_his_own():
    new = CREW + "  - {initials: ab, from: 2026-01-01}\n"
    assert told(CREW, new) == [] and errors(new) == []
    assert errors(CREW + "  - {initials: ab, from: 2019-01-01}\n") == ["row-twice"], "both speak of the same days"
    assert read_house("house.yaml", (CREW + "  - {initials: ab, from: 2019-01-01}\n").encode()).house.on(date(2025, 1, 1)).crew, (
        "the crew is not forgotten for it"
    )


def test_the_installed_gate_takes_no_second_row(tmp_path: Path):
    bench = ledger(tmp_path)
    bench.house(HOUSE + LIMITS)
    bench.write(cask(RECEIVED, EXAMINED, TESTED))
    bench.commit("book")
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(tmp_path / "book.git")], check=True)
    assert subprocess.run([str(PROGRAM), "git", "install", "--server", str(tmp_path / "book.git")], check=False).returncode == 0
    bench.git("remote", "add", "origin", str(tmp_path / "book.git"))
    bench.git("push", "-q", "origin", "main")
    bench.house(HOUSE + PLANTED["below"])
    bench.commit("limit")
    out = bench.git("push", "origin", "main", good=(1,))
    assert "landed-setting-changed" in out and "row-twice" in out and "`test_limit_psi.2000-01-01` was 12 when it landed, is 40" in out
