"""Every setting is explained out of the models: in a new house.yaml and by `explain`, with the default that is true."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
import yaml
from commands import caskbook
from pydantic import BaseModel

from caskbook.loss.fills import USUAL_IN_DRINK
from caskbook.loss.gauges import USUAL_ERROR
from caskbook.model.house import USUAL_FLOORS, House, Settings, whole_settings
from caskbook.model.house_file import read_house
from caskbook.model.house_words import settings, settings_named
from caskbook.words import CASK_TYPES

DAY = date(2026, 11, 1)


def of_models() -> dict[str, object]:
    """Each setting and its default, straight from the models."""
    whole = whole_settings()
    found = {name: field.get_default() for name, field in whole.model_fields.items() if name != "due"}
    rules = whole.model_fields["due"].annotation
    assert isinstance(rules, type) and issubclass(rules, BaseModel)
    for rule, info in rules.model_fields.items():
        assert isinstance(info.annotation, type)
        found |= {f"due.{rule}.{name}": field.get_default() for name, field in info.annotation.model_fields.items()}
    return found


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("house")
    assert caskbook("init", cwd=folder).returncode == 0
    return (folder / "records" / "house.yaml").read_text(encoding="utf-8")


def uncommented(text: str) -> str:
    """Every setting's # taken away: a # with no space, or with two or more, behind it."""
    return re.sub(r"(?m)^#(?=\S|  )", "", text)


def test_every_setting_says_what_it_means_in_its_unit_with_its_default() -> None:
    assert {one.name: yaml.safe_load(one.default) for one in settings()} == of_models()
    for one in settings():
        assert len(one.says) > 8 and one.takes and "a value" not in one.takes, one
        measured = one.name.endswith(("_days", "_mm", "_psi", "_percent", "_years", "_fills", "_at", "_age", "_abv", "_sigma", "_times"))
        assert one.unit or not measured or one.deprecated, one


def test_a_new_house_file_holds_every_setting_once(written: str) -> None:
    data = yaml.safe_load(uncommented(written))
    rules = {f"due.{rule}.{key}": value for rule, keys in data.pop("due").items() for key, value in keys.items()}
    types = data.pop("types")
    assert types == {kind: {"stave_floor_mm": floor} for kind, floor in USUAL_FLOORS.items()}
    without_effect = {one.name for one in settings() if one.deprecated}
    assert set(data) | set(rules) == set(of_models()) - without_effect
    for name, value in of_models().items():
        if name not in ("name", "timezone", "crew", *without_effect):
            assert {**data, **rules}[name] == value, name
    assert all(len(line) < 140 for line in written.splitlines())


def test_uncommented_it_is_valid_and_changes_no_judgement(written: str) -> None:
    as_written, with_all = (read_house("house.yaml", text.encode()) for text in (written, uncommented(written)))
    assert as_written.findings == with_all.findings == ()
    bare = House({key: as_written.data[key] for key in ("name", "timezone", "crew")})
    for kind in (None, *CASK_TYPES):
        told = [house.on(DAY, kind) for house in (bare, as_written.house, with_all.house)]
        assert told[0].model_dump(exclude={"due_"}) == told[1].model_dump(exclude={"due_"}) == told[2].model_dump(exclude={"due_"})
        assert told[0].due.model_dump() == told[1].due.model_dump() == told[2].due.model_dump()


def test_each_line_alone_may_be_uncommented(written: str) -> None:
    usual = House({}).on(DAY, "barrel").model_dump(exclude={"due_", "name", "timezone", "crew"})
    for line in re.findall(r"(?m)^#([a-z_]+: .+)$", written):
        house = read_house("house.yaml", (line + "\n").encode())
        assert not house.findings, line
        assert house.house.on(DAY, "barrel").model_dump(exclude={"due_", "name", "timezone", "crew"}) == usual, line


def test_what_the_models_cannot_hold_is_true_too() -> None:
    in_drink, error = (settings_named(name)[0].says for name in ("in_drink_percent", "measuring_error"))
    assert f"not given {USUAL_IN_DRINK:g} is taken" in in_drink
    assert "0.3, 0.2 and 1.0 are taken" in error and [USUAL_ERROR[way] for way in ("meter", "weigh", "dip")] == [0.3, 0.2, 1.0]
    assert settings_named("stave_floor_mm")[0].without == "none, 18 mm for a barrel, 18 mm for a hogshead"
    assert House({}).on(DAY, "barrel").stave_floor_mm == 18 and Settings().stave_floor_mm is None


@pytest.mark.parametrize(("word", "told"), [
    ("due.rechar.due_at", ["due.rechar.due_at   a setting of house.yaml", "Takes: a whole number from 1 to 99, fills.", "Without it: 5 fills."]),
    ("test_limit_psi", ["Takes: a number above 0 to 60, psi.", "Without it: 12 psi."]),
    ("due_at", ["due.rechar.due_at   a setting"]), ("gallon", ["Takes: us or uk.", "Without it: none."]),
    ("rechar", ["a due rule", "due.rechar.due_at: 5 fills", "due.rechar.off_types"]), ("crew", ["{initials, name, from, until}"]),
])  # fmt: skip
def test_explain_tells_of_a_setting(word: str, told: list[str]) -> None:
    done = caskbook("explain", word)
    assert done.returncode == 0, done.stderr
    for text in told:
        assert text in done.stdout


@pytest.mark.parametrize(
    ("word", "near"), [("test_limit_ps", "test_limit_psi"), ("due.rechar.due_t", "due.rechar.due_at"), ("rechr", "rechar"), ("dueat", "due.rechar.due_at")]
)
def test_a_slip_is_told_the_nearest(word: str, near: str) -> None:
    done = caskbook("explain", word)
    assert done.returncode == 2 and f"did you mean {near}?" in done.stderr


def test_explain_alone_lists_the_settings_too() -> None:
    listed = caskbook("explain").stdout
    assert all(re.search(rf"(?m)^{re.escape(name)} +setting ", listed) for name in of_models())


def test_due_help_does_not_say_that_loss_must_be_named() -> None:
    assert "named" not in caskbook("due", "--help").stdout


def test_each_schema_description_is_the_same(tmp_path: Path) -> None:
    from caskbook.model.json_schema import house_schema

    schema = house_schema()["properties"]
    for one in settings():
        if "." not in one.name:
            assert one.says in str(schema[one.name]), one.name


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("due: {regauge: {first_year: ninety}}", "expected a whole number (years); first gauged so many years after filling"),
        ("in_drink_percent: some", "expected a number (%); "),
        ("due: {rechar: {off: sometimes}}", "expected true or false; "),
    ],
)
def test_a_word_in_place_of_a_figure_is_told_what_figure(text: str, expected: str) -> None:
    """What the setting is for comes behind what it takes: nobody reads out of that alone what to write."""
    (finding,) = [one for one in read_house("house.yaml", f"{text}\n".encode()).findings if one.code == "wrong-form"]
    assert expected in finding.message


@pytest.mark.parametrize(
    "text",
    ["test_limit_psi: true", "examine_valid_days: '5'", "due: {rechar: {due_at: true}}", "loss_table: {barrel: true}", "due: {look: {new_fill_days: [2, true]}}",
     "test_limit_psi: [{since: 2020-01-01, value: true}]", "types: {barrel: {test_valid_days: '9'}}", "drive_unproves: 1", "due: {rechar: {off_types: [Butt]}}",
     "due: {rechar: {off_types: [butts, puncheon]}}", "types: {butt: {due: {rechar: {off_types: [hogsheads]}}}}"],
)  # fmt: skip
def test_nothing_of_another_kind_is_taken_for_a_figure_nor_a_word_for_a_type(text: str) -> None:
    """True is no 1, and by a word that is no type of cask none would be meant."""
    found = read_house("house.yaml", f"{text}\n".encode())
    assert [one.severity for one in found.findings] == ["error"], found.findings
    assert found.at_default == 1
