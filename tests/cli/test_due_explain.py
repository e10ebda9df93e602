"""`due --explain`: each rule with its definition, the settings in force and where they come from, and of how many casks it says what."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from history.ledgers import EXAMINED, FILLED, RECEIVED, TESTED, cask

import caskbook as package
from caskbook.due import RULES
from caskbook.due.explained import BESIDE
from caskbook.words.due_names import DUE_NAMES

HOUSE = """timezone: UTC
crew: [{initials: ab}]
test_valid_days: 45
due:
  rechar:
    due_at: [{since: 2020-01-01, value: 4}, {since: 2024-01-01, value: 6}]
types:
  butt: {due: {rechar: {due_at: 9}}}
"""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    folder = tmp_path / "casks" / "TH-004"
    folder.mkdir(parents=True)
    (tmp_path / "house.yaml").write_text(HOUSE)
    for number, events in (("217", (RECEIVED, EXAMINED, TESTED)), ("218", (RECEIVED, EXAMINED, TESTED, FILLED)), ("219", (RECEIVED,))):
        (folder / f"TH-004{number}.yaml").write_text(cask(*events, cask_id=f"TH-004{number}"))
    return tmp_path


def asked(book: Path, *words: str) -> Any:
    done = caskbook("due", *words, "--format", "json", "--records", str(book))
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.mark.parametrize("index", ["", "off"])
def test_each_rule_is_told_with_all_its_verdicts(book: Path, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    found, whole = asked(book, "--explain", "--as-of", "2026-06-30"), asked(book, "--all", "--as-of", "2026-06-30")
    assert [one["rule"] for one in found["rules"]] == [rule.name for rule in RULES]
    for one in found["rules"]:
        words = Counter(verdict["verdict"] for verdict in whole if verdict["rule"] == one["rule"])
        assert {word: count for word, count in one["verdicts"].items() if count} == words and one["judged"] == words.total() == 3
    assert (found["casks"], found["away"], found["filter"]) == (3, 0, {})
    assert found["pressed"] == len({verdict["cask"] for verdict in whole if verdict["verdict"] in ("due", "blocked")}) > 0


def test_only_the_rules_and_casks_asked_for_are_counted(book: Path) -> None:
    found = asked(book, "examine", "TH-004217", "--type", "barrel", "--explain", "--as-of", "2026-06-30")
    assert [one["rule"] for one in found["rules"]] == ["examine"] and found["casks"] == found["rules"][0]["judged"] == 1
    assert found["filter"] == {"rule": ["examine"], "type": ["barrel"], "cask": ["TH-004217"]}


def test_a_setting_is_told_with_where_it_comes_from(book: Path) -> None:
    def settings(rule: str, day: str) -> set[tuple[str, Any, str, str | None]]:
        one = asked(book, rule, "--explain", "--as-of", day)["rules"][0]
        return {(row["name"], str(row["value"]), row["origin"], row["type"]) for row in one["settings"]}

    due_at = "due.rechar.due_at"
    assert (due_at, "6", "house.yaml, since 2024-01-01", None) in settings("rechar", "2026-06-30")
    assert (due_at, "4", "house.yaml, since 2020-01-01", None) in settings("rechar", "2023-06-30")
    assert (due_at, "5", "default", None) in settings("rechar", "2019-06-30")
    found = settings("rechar", "2026-06-30")
    assert (due_at, "9", "house.yaml, types.butt", "butt") in found and ("stave_floor_mm", "18.0", "default of a barrel", "barrel") in found
    assert ("test_valid_days", "45", "house.yaml", None) in settings("retest", "2026-06-30")
    assert not any(name.endswith("_sigma") for name, *_ in settings("loss", "2026-06-30")), "what has no effect is not told"


def test_the_text_has_definition_counts_and_settings_of_each_rule(book: Path) -> None:
    text = " ".join(caskbook("due", "--explain", "--as-of", "2026-06-30", "--records", str(book)).stdout.split())
    for name in DUE_NAMES:
        assert re.search(
            rf"{name}: .{{20,}}? When it is due: .*?{name}, of 3 casks that it judges: .*?{name}, settings in force: due\.{name}\.off false", text
        ), name
    assert "due.rechar.due_at 6 (house.yaml, since 2024-01-01); due.rechar.due_at 9 for a butt (house.yaml, types.butt)" in text


def test_every_setting_that_a_rule_reads_is_named_beside_it() -> None:
    folder = Path(package.__file__).parent / "due"
    for rule in RULES:
        read = set(re.findall(r"\bsettings\.([a-z_]+)", (folder / f"{rule.name}.py").read_text(encoding="utf-8"))) - {"due"}
        assert read <= set(BESIDE.get(rule.name, ())), rule.name


@pytest.mark.parametrize("words", [("--top", "3"), ("--by-cask",), ("--all",), ("--sort", "cask"), ("--fail-if-any",), ("--format", "csv"), ("--format", "jsonl"),
                                   ("--set", "due.rechar.due_at=4")])  # fmt: skip
def test_what_does_nothing_beside_it_is_refused(book: Path, words: tuple[str, ...]) -> None:
    done = caskbook("due", "--explain", *words, "--records", str(book))
    assert done.returncode == 2 and done.stdout == "" and "--explain" in done.stderr
