"""`--format jsonl`: of every command that gives rows one object a line, the same objects as `--format json` has."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook

from caskbook.render.plain_json import data_json

SHIPPED = ("--records", str(Path(__file__).parents[2] / "records"), "--as-of", "2026-11-25")
ROWS: dict[tuple[str, ...], Callable[[Any], list[Any]]] = {
    ("list",): lambda data: data,
    ("list", "--columns", "cask,type"): lambda data: data,
    ("due",): lambda data: data,
    ("due", "--top", "3"): lambda data: data,
    ("due", "--by-cask"): lambda data: data,
    ("due", "--set", "due.rechar.due_at=3"): lambda data: data["turns"],
    ("check",): lambda data: data["findings"],
    ("report", "stock"): lambda data: [{"by": table["by"], **row} for table in data["tables"] for row in table["rows"]],
    ("report", "stock", "--by", "store"): lambda data: [{"by": table["by"], **row} for table in data["tables"] for row in table["rows"]],
    ("report", "loss"): lambda data: data["rows"],
    ("report", "loss", "--top", "2"): lambda data: [*data["rows"], data["others"]],
    ("report", "loss", "TH-004402", "--evidence"): lambda data: data,
    ("report", "service"): lambda data: [
        {**{name: account[name] for name in ("what", "unit", "by")}, **one}
        for account in data["accounts"]
        for one in [account["whole"], *account["groups"], *([account["from_receipt"]] if account["from_receipt"] else [])]
    ],
    ("morning",): lambda data: data["rows"],
    ("ready", "--want", "4"): lambda data: sorted(
        ({"group": group["group"], **cask} for group in data["groups"] for cask in group["of"]), key=lambda cask: cask["walk"]
    ),
    ("query", "suppliers"): lambda data: data,
    ("query", "--list"): lambda data: data,
}


def test_one_object_stands_on_a_line_and_nothing_where_there_is_none() -> None:
    assert data_json([{"a": "x\ny\u2028"}, {"a": 2}], "jsonl") == '{"a": "x\\ny\\u2028"}\n{"a": 2}\n'
    assert data_json({"rows": []}, "jsonl", []) == "" and data_json([]) == "[]"


@pytest.mark.thorough
@pytest.mark.parametrize("words", ROWS, ids=" ".join)
def test_the_lines_are_the_objects_of_json(words: tuple[str, ...]) -> None:
    whole, lines = (caskbook(*words, *SHIPPED, "--format", form) for form in ("json", "jsonl"))
    assert lines.returncode == whole.returncode in (0, 1), lines.stderr
    expected = ROWS[words](json.loads(whole.stdout))
    assert [json.loads(line) for line in lines.stdout.splitlines()] == expected and (expected or words == ("check",))


@pytest.mark.thorough
def test_the_lines_of_a_plan_are_its_rows_of_csv() -> None:
    """Jobs of the weeks, those that do not fit and those left out: in JSON they stand in lists of their own."""
    whole, lines, rows = (caskbook("plan", *SHIPPED, "--format", form).stdout for form in ("json", "jsonl", "csv"))
    found, data = [json.loads(line) for line in lines.splitlines()], json.loads(whole)
    assert [{name: "" if value is None else str(value) for name, value in row.items()} for row in found] == [
        {name: row[name] for name in found[0]} for row in csv.DictReader(rows.splitlines())
    ]
    planned = [{name: row[name] for name in data["jobs"][0]} for row in found if row["planned"] in ("yes", "does not fit")]
    assert sorted(planned, key=str) == sorted(data["jobs"], key=str) and len(planned) < len(found)


def test_every_command_that_gives_rows_has_the_same_forms() -> None:
    """One declaration says them; a form that is none names them all, at a command of each kind."""
    for words in (
        ("plan",),
        ("ready",),
        ("morning",),
        ("days",),
        ("list",),
        ("report", "service"),
        ("report", "stock"),
        ("report", "outlook"),
        ("report", "leaks"),
    ):
        done = caskbook(*words, *SHIPPED, "--format", "yaml")
        assert done.returncode == 2 and "expected text, json, jsonl or csv" in done.stderr, done.stderr


@pytest.mark.thorough
def test_each_finding_is_a_line(tmp_path: Path) -> None:
    (tmp_path / "casks").mkdir()
    (tmp_path / "house.yaml").write_text("timezone: Europe/Nowhere\nseverities: {by-mising: error}\n", encoding="utf-8")
    whole, lines = (caskbook("check", "--records", str(tmp_path), "--format", form) for form in ("json", "jsonl"))
    found = [json.loads(line) for line in lines.stdout.splitlines()]
    assert found == json.loads(whole.stdout)["findings"] and len(found) == 2 and lines.returncode == whole.returncode == 1


@pytest.mark.thorough
def test_nothing_is_printed_of_no_rows() -> None:
    assert caskbook("list", "--type", "tun", *SHIPPED, "--format", "jsonl").stdout == ""


@pytest.mark.thorough
@pytest.mark.parametrize("command", [("list",), ("due",), ("check",), ("report", "stock"), ("report", "loss"), ("query",)], ids=" ".join)
def test_help_names_it(command: tuple[str, ...]) -> None:
    assert "jsonl" in caskbook(*command, "--help").stdout
