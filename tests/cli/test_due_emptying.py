"""`due --soon`: what is done to every full cask whenever it is emptied is counted at the foot and not listed line by line."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from commands import caskbook
from index.book import DAY, make_demo

from caskbook.words.due_names import DUE_NAMES, EVERY_EMPTYING

pytestmark = pytest.mark.thorough


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("demo") / "book", 60)


def asked(demo: Path, *words: str) -> str:
    done = caskbook("due", *words, "--records", str(demo), "--as-of", DAY)
    assert done.returncode == 0, done.stderr
    return done.stdout


def waiting(demo: Path, *words: str) -> list[str]:
    """The rules that wait for an emptying, one for each cask on which one does, as JSON has them."""
    return [row["rule"] for row in json.loads(asked(demo, "--soon", "--format", "json", *words)) if row["verdict"] == "at-emptying"]


def rules_listed(text: str) -> list[str]:
    return re.findall(rf"({'|'.join(DUE_NAMES)}) at-emptying", text)


def test_the_rules_set_apart_wait_on_every_full_cask(demo: Path) -> None:
    full = {row["cask"] for row in json.loads(caskbook("list", "--state", "filled", "--format", "json", "--records", str(demo), "--as-of", DAY).stdout)}
    told = json.loads(asked(demo, "--all", "--format", "json"))
    for rule in EVERY_EMPTYING:
        assert {row["cask"] for row in told if (row["rule"], row["verdict"]) == (rule, "at-emptying")} >= full and full


@pytest.mark.parametrize("index", ["", "off"])
@pytest.mark.parametrize("words", [(), ("--by-cask",), ("--type", "barrel"), ("--store", "racked four")], ids=" ".join)
def test_they_are_counted_at_the_foot_and_in_the_head(demo: Path, words: tuple[str, ...], index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    rules, text = waiting(demo, *(word for word in words if word != "--by-cask")), asked(demo, "--soon", "--top", "999", *words)
    apart, soon = rules.count("examine"), asked(demo, "--soon", "--format", "csv", *words).count(",soon,")
    assert apart > 2 and rules_listed(text) == [rule for rule in rules if rule != "examine"]
    same = ", with the same filters" if words and words != ("--by-cask",) else ""
    assert text.splitlines()[-1] == f"{apart} more are examined whenever they are emptied: caskbook due examine --soon{same}"
    head = text.splitlines()[0]
    assert f"{apart} examined whenever emptied" in head and (f"{len(rules) - apart + soon} soon or at emptying" in head or len(rules) - apart + soon == 0)


@pytest.mark.parametrize("words", [("examine", "--soon"), ("--all",), ("examine", "rechar", "--soon")], ids=" ".join)
def test_they_are_listed_where_they_are_asked_for(demo: Path, words: tuple[str, ...]) -> None:
    text = asked(demo, *words, "--top", "9999")
    assert rules_listed(text).count("examine") == waiting(demo).count("examine") and "more are examined" not in text
    assert "whenever emptied" not in text.splitlines()[0]


@pytest.mark.parametrize("form", ["json", "jsonl", "csv"])
def test_data_keeps_everything(demo: Path, form: str) -> None:
    assert len(re.findall("at-emptying", asked(demo, "--soon", "--format", form))) == len(waiting(demo)) > waiting(demo).count("examine") - 1


def test_nothing_is_said_at_the_foot_where_nothing_was_to_be_listed(demo: Path) -> None:
    assert "more are examined" not in asked(demo) and "more are examined" not in asked(demo, "rechar", "--soon")
