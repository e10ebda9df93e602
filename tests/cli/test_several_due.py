"""`due` of several ledgers: one list, each matter judged by its own house, in the order of one ledger."""

from __future__ import annotations

import json
import shutil
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from second.compare import WORD
from two_ledgers import DAY, Two, asked, csv_rows, rows, small
from two_ledgers import both as both
from two_ledgers import demos as demos

from caskbook.due.registry import RULES
from caskbook.words.verdicts import RANK

pytestmark = pytest.mark.thorough


def without_ledger(row: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in row.items() if key != "ledger"}


def test_every_verdict_is_that_of_the_second_fold_under_the_rules_of_its_own_house(both: Two) -> None:
    spoken = {(row["ledger"], row["cask"], row["rule"]): row for row in rows("due", "--all", *both.words)}
    compared = 0
    for ledger, casks in both.facts.items():
        for cask, facts in casks.items():
            for rule, word in facts.get("due", {}).items():
                one = spoken.get((ledger, cask, rule), {"verdict": "ok", "decided": None})
                if not one["decided"] and rule != "rechar":  # Its limit the second fold takes as the default alone; what a house wants before a fill, as it is.
                    assert WORD.get(one["verdict"], "no") == word, (ledger, cask, rule)
                    compared += 1
    assert compared > 150
    retests = Counter(key[0] for key, row in spoken.items() if key[2] == "retest" and row["verdict"] in ("due", "blocked"))
    assert retests["North"] > 3, "North wants a test before a fill"
    assert all(row["verdict"] in ("ok", "unknown") for key, row in spoken.items() if key[0] == "South-Side" and key[2] == "nose"), "South has switched it off"


def test_the_order_is_that_of_one_ledger_and_each_keeps_its_own_rows(demos: Two) -> None:
    told = rows("due", "--all", *demos.words)
    for name, root in (("North", demos.north), ("South-Side", demos.south)):
        assert [without_ledger(row) for row in told if row["ledger"] == name] == rows("due", "--all", "--records", str(root))
    ranks = {rule.name: rule.rank for rule in RULES}
    keys = [(RANK[row["verdict"]], ranks[row["rule"]], not row["well_past"]) for row in told]
    assert keys == sorted(keys)
    regauge = [(row["since"], row["cask"], row["ledger"]) for row in told if (row["rule"], row["verdict"]) == ("regauge", "due")]
    assert regauge == sorted(regauge) and len({ledger for _, _, ledger in regauge}) == 2


def test_the_head_counts_all_and_a_line_each_ledger(demos: Two) -> None:
    text = asked("due", *demos.words).split("\n")
    told = rows("due", *demos.words)
    of = Counter(row["ledger"] for row in told)
    casks = {name: len({row["cask"] for row in told if row["ledger"] == name}) for name in of}
    judged = {
        name: json.loads(asked("due", "--explain", "--records", str(root), "--format", "json"))["casks"]
        for name, root in (("North", demos.north), ("South-Side", demos.south))
    }
    assert text[0].startswith(f"due on {DAY} · {of.total()} matters on {sum(casks.values())} of {sum(judged.values())} casks in 2 ledgers · ")
    assert text[1:4] == [*(f"  {name}: {of[name]} matters on {casks[name]} of {judged[name]} casks" for name in ("North", "South-Side")), ""]


def test_a_number_of_two_ledgers_is_told_twice_by_cask(both: Two) -> None:
    told = rows("due", "--all", "--by-cask", *both.words)
    keys = [(row["ledger"], row["cask"]) for row in told]
    assert len(set(keys)) == len(keys) > len({cask for _, cask in keys})
    flat = sorted((row["ledger"], row["cask"], one["rule"]) for row in told for one in row["verdicts"])
    assert flat == sorted((row["ledger"], row["cask"], row["rule"]) for row in rows("due", "--all", *both.words))


def test_forms_filters_casks_and_orders_are_of_all(demos: Two) -> None:
    told = rows("due", "--all", "--type", "barrel", "--sort", "-ledger,cask", *demos.words)
    assert {row["type"] for row in told} == {"barrel"} and [row["ledger"] for row in told] == sorted((row["ledger"] for row in told), reverse=True)
    assert [(row["ledger"], row["cask"]) for row in csv_rows("due", "--all", "--type", "barrel", "--sort", "-ledger,cask", *demos.words)] == [
        (row["ledger"], row["cask"]) for row in told
    ]
    cask = next(row["cask"] for row in told if row["ledger"] == "North")
    named = rows("due", cask, "--all", *demos.words)
    assert {row["cask"] for row in named} == {cask} and "only the " in asked("due", cask, "--all", *demos.words)
    assert asked("due", "--format", "markdown", *demos.words).count("| North |") == Counter(row["ledger"] for row in rows("due", *demos.words))["North"]
    assert asked("due", "--format", "csv", "--store", "nowhere", *demos.words).startswith("ledger,cask,type,")


def test_explain_tells_each_house_with_its_own_settings(both: Two) -> None:
    found = json.loads(asked("due", "rechar", "--explain", "--format", "json", *both.words))["ledgers"]
    limits = {one["ledger"]: [row["value"] for row in one["rules"][0]["settings"] if row["name"] == "due.rechar.due_at"] for one in found}
    assert limits == {"North": [3], "South-Side": [6]}
    text = asked("due", "rechar", "--explain", *both.words)
    assert text.startswith("North\nfilter: only rechar\n") and "\n\nSouth-Side\nfilter: only rechar\n" in text


def test_a_rule_that_one_house_has_switched_off_is_said_of_it(both: Two) -> None:
    assert "off in house.yaml: nose in South-Side" in asked("due", *both.words).replace("\n", " ")


def test_what_is_of_one_house_alone_is_refused(both: Two) -> None:
    for words, said in ((("--set", "due.rechar.due_at=4"), "a setting is tried in one house.yaml"), (("--format", "ics"), "a calendar is of one house")):
        done = caskbook("due", *words, *both.words)
        assert (done.returncode, done.stdout) == (2, "") and said in done.stderr
    done = caskbook("due", "--sort", "ledger", "--records", str(both.north))
    assert done.returncode == 2 and "expected cask, type, berth, rule, verdict or since" in done.stderr


def test_the_exit_code_is_that_of_the_ledger_in_which_something_is_due(both: Two, tmp_path: Path) -> None:
    empty, other = small(tmp_path / "a", "Empty"), small(tmp_path / "b", "Other")
    assert caskbook("due", "--fail-if-any", "--records", str(empty), "--records", str(both.north), "--as-of", DAY).returncode == 1
    assert caskbook("due", "--fail-if-any", "--records", str(empty), "--records", str(other), "--as-of", DAY).returncode == 0
    assert caskbook("due", "--store", "xyzzy", "--fail-if-any", "--records", str(empty), "--records", str(both.north), "--as-of", DAY).returncode == 1


def test_houses_of_two_time_zones_have_a_day_each(tmp_path: Path) -> None:
    for name, zone in (("East", "Pacific/Kiritimati"), ("West", "Pacific/Pago_Pago")):
        small(tmp_path / name, name)
        (tmp_path / name / "house.yaml").write_text(f"name: {name}\ntimezone: {zone}\n", encoding="utf-8")
    done = caskbook("due", "--records", str(tmp_path / "East"), "--records", str(tmp_path / "West"))
    head = done.stdout.split(" · ")[0]
    assert head.startswith("due on ") and " in East, " in head and head.endswith(" in West"), done


def test_settings_that_cannot_be_read_are_told_of_that_ledger_alone(both: Two, tmp_path: Path) -> None:
    torn = tmp_path / "torn"
    shutil.copytree(both.south, torn, ignore=shutil.ignore_patterns(".caskbook"))
    (torn / "house.yaml").write_text("name: Torn\ndue: {rechar: {due_at: often}}\n", encoding="utf-8")
    done = caskbook("due", "--all", "--records", str(both.north), "--records", str(torn), "--as-of", DAY, "--format", "json")
    assert {(row["ledger"], row["settings_unread"]) for row in json.loads(done.stdout)} == {("North", False), ("Torn", True)}
    assert "Torn: " in done.stderr and f"caskbook check --records {torn}" in done.stderr and "North: " not in done.stderr.replace("North: ", "", 1)
