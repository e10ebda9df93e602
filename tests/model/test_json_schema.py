"""The JSON Schemas are what the models say, take every good file and refuse wrong ones."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import cask_data, ev
from jsonschema import Draft202012Validator

from caskbook.model.cask import read_cask
from caskbook.model.house_file import read_house
from caskbook.model.json_schema import cask_schema, house_schema, schema_texts
from caskbook.yaml.document import read_document
from caskbook.yaml.source import Source

ROOT = Path(__file__).parents[2]
CASK = Draft202012Validator(cask_schema())
HOUSE = Draft202012Validator(house_schema())


def plain(value: Any) -> Any:
    """Data as JSON has it: days are text."""
    return json.loads(json.dumps(value, default=lambda day: day.isoformat() if isinstance(day, date) else str(day)))


@pytest.mark.parametrize("name", sorted(schema_texts()))
def test_the_kept_files_equal_the_models(name: str) -> None:
    assert (ROOT / "schemas" / name).read_text(encoding="utf-8") == schema_texts()[name], "run: caskbook schema"


@pytest.mark.thorough
def test_the_schemas_are_schemas() -> None:
    Draft202012Validator.check_schema(cask_schema())
    Draft202012Validator.check_schema(house_schema())


def test_every_field_is_described_with_its_unit() -> None:
    fill = cask_schema()["$defs"]["Fill"]["properties"]
    assert fill["litres"]["unit"] == "litres" and fill["temp_c"]["unit"] == "°C"
    assert "strength" in fill["abv"]["description"]


@pytest.mark.thorough
@pytest.mark.parametrize("every", [3, pytest.param(1, marks=pytest.mark.slow)])
def test_the_whole_demo_ledger_is_valid(every: int) -> None:
    files = sorted((ROOT / "records" / "casks").rglob("*.yaml"))
    assert len(files) >= 60
    for file in files[::every]:
        data = read_document(Source.from_bytes(file.name, file.read_bytes())).data
        assert not list(CASK.iter_errors(plain(data))), file.name
    house = read_house("house.yaml", (ROOT / "records" / "house.yaml").read_bytes())
    assert not house.findings and not list(HOUSE.iter_errors(plain(house.data)))


WRONG: list[dict[str, Any]] = [
    cask_data(type="barel"),
    cask_data(cask="th-004217"),
    cask_data(cask="../../x"),
    cask_data(format=2),
    cask_data(staves="31"),
    cask_data(heads=[5]),
    cask_data(colour="brown"),
    cask_data(type="custom", capacity_l="absent"),
    cask_data(type="quarter-cask", capacity_l="absent"),
    cask_data(made="long ago"),
    cask_data(charred="perhaps"),
    cask_data(prior=[{"fills": 1}]),
    cask_data(ev("2015-03-12", "receive")),
    cask_data(ev("2015-03-12", "receive", verdict="fine")),
    cask_data(ev("2015-03-12", "polish")),
    cask_data(ev("12/03/2015", "receive", verdict="accept")),
    cask_data(ev("2015-03-12", "test", psi=11)),
    cask_data(ev("2015-03-12", "test", psi="11", result="pass")),
    cask_data(ev("2015-03-12", "test", result="pass")),
    cask_data(ev("2015-03-12", "test", psi=11, result="fail")),
    cask_data(ev("2015-03-12", "test", psi=11, result="fail", leaks=[{"at": "joint-1"}], cured_by="drive")),
    cask_data(ev("2015-03-12", "test", psi=11, result="pass", leaks=[{"at": "joint-1"}])),
    cask_data(ev("2015-03-12", "stave", staves=[1], action="replace")),
    cask_data(ev("2015-03-12", "head", head="A", action="replace", from_="new")),
    cask_data(ev("2015-03-12", "char", heads="plain")),
    cask_data(ev("2015-03-12", "char", level=6)),
    cask_data(ev("2015-03-12", "shave", method="cut", depth_mm=11)),
    cask_data(ev("2015-03-12", "bung", action="moved")),
    cask_data(ev("2015-03-12", "bung", action="rebore", to=3)),
    cask_data(ev("2015-03-12", "fill", spirit="malt", litres=-1, abv=63)),
    cask_data(ev("2015-03-12", "fill", spirit="malt", litres=190, abv=6.3)),
    cask_data(ev("2015-03-12", "fill", litres=190, abv=63)),
    cask_data(ev("2015-03-12", "empty", litres=190)),
    cask_data(ev("2015-03-12", "empty", litres=190, abv=60, why="bored")),
    cask_data(ev("2015-03-12", "regauge", abv=60, method="dip")),
    cask_data(ev("2015-03-12", "look", seen="sound")),
    cask_data(ev("2015-03-12", "void", why="wrong")),
    cask_data(ev("2015-03-12", "made-from", parents=[{"unnumbered": "x"}], inherited={"fills_life": 10000})),
    cask_data({**ev("2015-03-12", "note", note="x"), "id": "short"}),
    {"cask": "TH-004217", "format": 1, "type": "barrel"},
]  # fmt: skip


@pytest.mark.parametrize("data", WRONG)
def test_a_wrong_file_is_refused_by_schema_and_reader_alike(data: dict[str, Any]) -> None:
    assert list(CASK.iter_errors(plain(data)))
    assert read_cask(data)[1]


@pytest.mark.parametrize(
    "data",
    [{"crew": [{"name": "x"}]}, {"fill_needs": "luck"}, {"test_limit_psi": "12"}, {"due": {"rechar": {"due_at": -1}}},
     {"due": {"polish": {}}}, {"laws": ["ours"]}, {"types": {"barel": {}}}, {"nonsense": 1}, {"wood_left": {"bourbon": -0.1}},
     {"test_limit_psi": [{"since": "2020-01-01"}, {"value": 3}]}],
)  # fmt: skip
def test_a_wrong_house_is_refused(data: dict[str, Any]) -> None:
    assert list(HOUSE.iter_errors(plain(data)))


def test_a_dated_house_setting_is_taken() -> None:
    dated = {"test_limit_psi": [{"since": "2020-01-01", "value": 12}, {"since": "2026-01-01", "value": 10}],
             "due": {"rechar": {"due_at": [{"since": "2026-11-18", "value": 4}]}}, "types": {"butt": {"test_limit_psi": 8}}}  # fmt: skip
    assert not list(HOUSE.iter_errors(dated))


@pytest.mark.parametrize("heading", ["due:", "types:", "due:\n  rechar:", "stores:", "severities:", "loss_table:", "types:\n  barrel:\n    due:"])
def test_a_bare_heading_is_no_fault_to_an_editor_either(heading: str) -> None:
    source = Source.from_bytes("house.yaml", f"{heading}\n".encode())
    assert not read_house("house.yaml", f"{heading}\n".encode()).findings
    assert list(HOUSE.iter_errors(read_document(source).data)) == []
