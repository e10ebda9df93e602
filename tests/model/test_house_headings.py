"""house.yaml as a newcomer edits it: a heading alone sets nothing and stops nothing; what is told of a setting is true of it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.model.house import House
from caskbook.model.house_file import read_house
from caskbook.model.house_words import settings, settings_named

DAY = date(2026, 11, 1)


@pytest.mark.parametrize("text", [
    "due:\n", "due:\n  rechar:\n", "due:\n  rechar:\n  retest:\n", "stores:\n", "suppliers:\n", "severities:\n", "loss_table:\n", "job_hours:\n", "types:\n",
    "types:\n  barrel:\n", "types:\n  barrel:\n    due:\n", "types:\n  barrel:\n    due:\n      nose:\n", "due: ~\n",
])  # fmt: skip
def test_a_heading_alone_sets_nothing_and_is_no_error(text: str) -> None:
    read = read_house("house.yaml", text.encode())
    assert read.findings == ()
    usual, told = House({}).on(DAY, "barrel"), read.house.on(DAY, "barrel")
    assert told.due == usual.due and told.model_dump(exclude={"due_"}) == usual.model_dump(exclude={"due_"})


@pytest.mark.parametrize("text", ["test_valid_days:\n", "due:\n  rechar:\n    due_at:\n", "crew:\n", "due: 5\n", "stores: none\n"])
def test_a_value_taken_away_or_a_list_of_people_emptied_is_still_told(text: str) -> None:
    assert [finding.code for finding in read_house("house.yaml", text.encode()).findings] == ["wrong-type"]


def test_a_heading_uncommented_in_the_file_of_init_stops_no_command(tmp_path: Path) -> None:
    assert caskbook("init", cwd=tmp_path).returncode == 0
    house = tmp_path / "records" / "house.yaml"
    text = house.read_text(encoding="utf-8")
    house.write_text(text.replace("#due:", "due:").replace("#  rechar:", "  rechar:").replace("#stores: {}", "stores:"), encoding="utf-8")
    for command in ("check", "due"):
        ran = caskbook(command, cwd=tmp_path)
        assert ran.returncode == 0 and "cannot be read" not in ran.stderr, ran


@pytest.mark.parametrize(("name", "by_type"), [("stores", False), ("gallon", False), ("proof", False), ("severities", False), ("shops", False),
                                               ("decimal_comma", False), ("test_valid_days", True), ("due.rechar.due_at", True)])  # fmt: skip
def test_only_what_can_be_set_for_one_type_says_so(name: str, by_type: bool) -> None:
    told = " ".join(caskbook("explain", name).stdout.split())
    assert ("one type of cask" in told) is by_type
    assert "{since, value}" in told


def test_settings_are_told_in_plain_words() -> None:
    told = [f"{one.says} {one.unit} {one.takes} {one.without}" for one in settings()]
    for awkward in ("a map", "a text", "list of text", "list of whole number;", "part of one", "333333"):
        assert not [text for text in told if awkward in text], awkward
    assert settings_named("replaced_share")[0].without == "0.333 of the whole"
    assert settings_named("stores")[0].takes == "lines of NAME: words"


@pytest.mark.parametrize("staves", range(1, 120))
def test_a_third_of_the_staves_is_the_same_count_as_ever(staves: int) -> None:
    share = House({}).on(DAY).due.retire.replaced_share
    assert [count / staves >= share for count in range(staves + 1)] == [3 * count >= staves for count in range(staves + 1)]


@pytest.mark.parametrize(
    ("text", "code", "told"),
    [
        ("job_hours: {tset: 0.3}", "wrong-form", "did you mean test?"),
        ("job_hours: {rack: 1}", "wrong-form", "expected hours for a job of the book"),
        ("types: {butt: {job_hours: {polish: 1}}}", "wrong-form", "as test or char"),
        ("job_hours: {test: 0}", "out-of-range", "expected more than 0"),
        ("coopers: -1", "out-of-range", "expected at least 0 coopers"),
        ("coopers: 1.5", "wrong-type", "expected a whole number"),
        ("hours_a_week: 169", "out-of-range", "expected at most 168 hours"),
    ],
)
def test_hours_of_a_job_that_is_none_and_figures_out_of_range_are_told(text: str, code: str, told: str) -> None:
    (found,) = read_house("house.yaml", f"{text}\n".encode()).findings
    assert found.code == code and told in found.message


def test_capacity_and_hours_hold_from_their_day_and_by_type() -> None:
    text = "coopers:\n  - {since: 2026-01-01, value: 2}\nhours_a_week: 37.5\njob_hours: {test: 0.3, char: 1}\ntypes: {butt: {job_hours: {test: 0.5}}}\n"
    read = read_house("house.yaml", text.encode())
    assert not read.findings
    assert read.house.on(date(2025, 12, 31)).coopers is None and (read.house.on(DAY).coopers, read.house.on(DAY).hours_a_week) == (2, 37.5)
    assert read.house.on(DAY, "butt").job_hours == {"test": 0.5, "char": 1} and read.house.on(DAY).job_hours["test"] == 0.3
    assert {one.name: one.without for one in settings() if one.name in ("coopers", "hours_a_week", "job_hours")} == dict.fromkeys(
        ("coopers", "hours_a_week", "job_hours"), "none"
    )
