"""`enter correct` as typed: what it says, what it writes, what it refuses, and how the cask, the list and the review then read."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from index.book import commit_all, without_index

from entry.shop import CASK, Shop, days_ago
from entry.states import STATES

OTHER = "TH-004218"
WHY = ("--why", "misread on the dock", "--yes")


@pytest.fixture
def two(shop: Shop) -> Shop:
    shop.put(*STATES["ready"] or [])
    shop.put(*STATES["filled"] or [], cask=OTHER)
    return shop


def test_a_gone_cask_is_corrected_as_of_a_day_before_it_left_and_the_refusal_says_so(shop: Shop) -> None:
    shop.put(*STATES["gone"] or [])
    ran = shop.enter("correct", CASK, "--supplier", "northquay", *WHY)
    assert ran.code == 1 and "  enter it for a day before the cask left, by --date: it counts for all days (caskbook show TH-004217)" in ran.err, ran.err
    before = shop.last(CASK)["date"] - timedelta(days=1)
    assert shop.enter("correct", CASK, "--supplier", "northquay", "--date", before.isoformat(), *WHY).code == 0


def test_many_casks_at_once_and_each_says_old_and_new(two: Shop) -> None:
    ran = two.enter("correct", CASK, OTHER, "--type", "hogshead", "--capacity", "250", *WHY)
    assert ran.code == 0, ran.err
    assert f"2 casks: correct: type barrel → hogshead, capacity 200 → 250 L: misread on the dock on {two.today:%A} {two.today}  (ab)" in ran.err
    for cask in (CASK, OTHER):
        assert {key: two.last(cask)[key] for key in ("job", "type", "capacity_l", "why")} == {
            "job": "correct",
            "type": "hogshead",
            "capacity_l": 250,
            "why": "misread on the dock",
        }
        assert (two.data(cask)["type"], two.facts(cask).type) == ("barrel", "hogshead")
    again = two.enter("corrected", CASK, "--maker", "Fenwick", "--prior", "oloroso 2", *WHY)
    assert "correct: maker unknown → Fenwick, prior bourbon 1 → oloroso 2: misread on the dock" in again.err, again.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--why", "x"], "say what is corrected"), (["--type", "barrel", "--why", "x"], "type is barrel already"),
        (["--type", "hogshead", "--capacity", "200", "--why", "x"], "capacity is 200 L already"), (["--type", "hogshead"], "--why"),
        (["--capacity", "9999", "--why", "x"], "1 to 2000 litres"), (["--format", "2", "--why", "x"], "no option"),
    ],
)  # fmt: skip
def test_what_is_refused_leaves_the_file_as_it_was(two: Shop, words: list[str], said: str) -> None:
    before = two.path().read_bytes()
    ran = two.enter("correct", CASK, *words, "--yes")
    assert ran.code in (1, 2) and said in ran.err and two.path().read_bytes() == before, ran.err


def test_a_type_of_any_size_wants_its_litres(shop: Shop) -> None:
    shop.put(*STATES["ready"] or [], capacity_l=None)
    assert shop.enter("correct", CASK, "--type", "custom", *WHY).code == 2
    assert "--capacity" in shop.enter("correct", CASK, "--type", "custom", *WHY).err
    assert shop.enter("correct", CASK, "--type", "custom", "--capacity", "225", *WHY).code == 0


def test_figures_unlike_the_type_are_warned_of_and_found_at_the_correction(two: Shop) -> None:
    ran = two.enter("correct", CASK, "--type", "butt", *WHY)
    assert ran.code == 1 and "`capacity_l` is 200" in ran.err
    assert two.enter("correct", CASK, "--type", "butt", "--anyway", *WHY).code == 0
    text = two.path().read_text(encoding="utf-8").splitlines()
    found = [
        one for one in json.loads(caskbook("check", "--format", "json", "--records", str(two.root)).stdout)["findings"] if one["code"] == "capacity-unlike-type"
    ]
    assert [text[one["line"] - 1].strip() for one in found] == ["type: butt"]


def test_a_char_after_the_arrival_is_found_at_the_correction(two: Shop) -> None:
    assert two.enter("correct", CASK, "--charred", str(two.today), "--anyway", *WHY).code == 0
    text = two.path().read_text(encoding="utf-8").splitlines()
    found = [
        one
        for one in json.loads(caskbook("check", "--format", "json", "--records", str(two.root)).stdout)["findings"]
        if one["code"] == "head-later-than-arrival"
    ]
    assert [text[one["line"] - 1].strip() for one in found] == [f"charred: {two.today}"] and text.index("events:") < found[0]["line"]


def test_one_that_would_not_count_is_refused(two: Shop) -> None:
    assert two.enter("correct", CASK, "--type", "hogshead", "--capacity", "250", *WHY).code == 0
    ran = two.enter("correct", CASK, "--type", "puncheon", "--capacity", "480", "--before", two.last()["id"], *WHY)
    assert ran.code == 1 and "counts before this" in ran.err and "--replaces" in ran.err
    assert two.enter("correct", CASK, "--type", "puncheon", "--capacity", "480", "--replaces", two.last()["id"], "--note", "misheard", *WHY).code == 0
    assert two.facts().type == "puncheon"


def test_a_new_file_like_a_corrected_one_takes_the_corrected_head(two: Shop) -> None:
    assert two.enter("correct", CASK, "--type", "hogshead", "--capacity", "250", *WHY).code == 0
    assert two.enter("receive", "TH-004300", "accept", "--like", CASK, "--yes").code == 0
    assert (two.data("TH-004300")["type"], two.data("TH-004300")["capacity_l"]) == ("hogshead", 250)


@pytest.mark.thorough
def test_show_tells_old_and_new_and_the_list_is_the_same_with_the_index_and_without(two: Shop) -> None:
    assert two.enter("correct", CASK, "--type", "hogshead", "--capacity", "250", *WHY).code == 0
    at = ("--records", str(two.root))
    card = caskbook("show", CASK, *at).stdout
    assert card.startswith(f"{CASK}   hogshead · 250 L") and f"\nwas barrel, 200 L until corrected {two.today}: misread on the dock\n" in card
    told: dict[str, Any] = json.loads(caskbook("show", CASK, "--format", "json", *at).stdout)
    assert [(one["key"], one["was"], one["is"], one["why"]) for one in told["corrected"]] == [
        ("type", "barrel", "hogshead", "misread on the dock"),
        ("capacity_l", 200.0, 250.0, "misread on the dock"),
    ]
    for words in (("list", "--format", "json"), ("list", "--type", "hogshead"), ("due",), ("list", "--as-of", str(two.today))):
        with_index = caskbook(*words, *at).stdout
        with without_index():
            assert caskbook(*words, *at).stdout == with_index
    assert CASK in caskbook("list", "--type", "hogshead", *at).stdout


@pytest.mark.thorough
@pytest.mark.parametrize("form", ["text", "json", "markdown"])
def test_the_review_of_a_real_repository_tells_old_and_new(two: Shop, form: str) -> None:
    commit_all(two.root.parent)
    assert two.enter("correct", CASK, "--type", "hogshead", "--capacity", "250", *WHY).code == 0
    out = caskbook("review", "--format", form, cwd=two.root.parent).stdout
    assert "corrected: type barrel → hogshead, capacity 200 → 250 L: misread on the dock" in out
    assert "nothing landed was altered" in out or '"clean": true' in out


@pytest.mark.parametrize("counts", [True, False])
def test_the_review_says_which_of_two_corrections_counts(shop: Shop, counts: bool) -> None:
    """As a merge brings them: the one of the larger id counts, be it the one that came in last or not."""
    there = {"date": days_ago(3), "job": "correct", "charred": 2007, "why": "one", "id": "gqw00005"}
    shop.put(*STATES["ready"] or [], there)
    commit_all(shop.root.parent)
    came = {"date": days_ago(3), "job": "correct", "charred": 2008, "why": "other", "id": "gqw00009" if counts else "gqw00003"}
    shop.put(*STATES["ready"] or [], *((there, came) if counts else (came, there)))
    out = " ".join(caskbook("review", cwd=shop.root.parent).stdout.split())
    assert (f"corrected: charred {2007 if counts else 2011} → 2008" + (": other" if counts else " (2007 by gqw00005 counts): other")) in out


def test_many_corrected_alike_are_one_sentence(shop: Shop) -> None:
    for n in range(5):
        shop.put(*STATES["ready"] or [], cask=f"TH-00421{n}", type="barrel" if n else "custom")
    commit_all(shop.root.parent)
    assert shop.enter("correct", "TH-004210..004214", "--type", "hogshead", "--capacity", "250", *WHY).code == 0
    out = caskbook("review", cwd=shop.root.parent).stdout
    assert "5 casks corrected: 4 type barrel → hogshead, capacity 200 → 250 L: misread on the dock; 1 type custom → hogshead" in " ".join(out.split())


def test_the_installed_command(two: Shop, tmp_path: Path) -> None:
    commit_all(two.root.parent)
    program = Path(sys.executable).with_name("caskbook")
    words = [str(program), "enter", "correct", CASK, "--type", "hogshead", "--capacity", "250", *WHY, "--by", "ab"]
    done = subprocess.run(words, cwd=two.root.parent, env=os.environ | {"LC_ALL": "C.UTF-8"}, capture_output=True, text=True, encoding="utf-8", check=False)
    assert done.returncode == 0 and "type barrel → hogshead, capacity 200 → 250 L: misread on the dock" in done.stdout, done.stderr
