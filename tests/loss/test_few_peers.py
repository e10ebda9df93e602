"""Casks of a kind of which few are gauged: what leaks says nothing of what is sound, and several that leak do not clear each other."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook

HEAD = "cask: {cask}\nformat: 1\ntype: {type}\ncapacity_l: {litres}\nprior:\n  - {{contents: bourbon, fills: 1}}\ncharred: 2016\nevents:\n"
HOUSE = "timezone: UTC\ncrew: [{initials: ab}]\nstores: {W1: warehouse 1}\n"


def book(root: Path, after_a_year: tuple[float, ...], house: str = "", *, litres: float = 200.0, kind: str = "barrel") -> Path:
    """Casks filled to 195 of 200 L, gauged a year later at so many litres (of 200)."""
    (root / "casks" / "TH-000").mkdir(parents=True)
    (root / "house.yaml").write_text(HOUSE + house, encoding="utf-8")
    for number, left in enumerate(after_a_year, 1):
        full, gauged = (round(one * litres / 200, 1) for one in (195.0, left))
        events = (
            ("2020-01-01", "receive", "verdict: accept", "berth: W1/1"), ("2020-01-02", "examine", "verdict: sound"),
            ("2020-01-05", "fill", "spirit: malt", f"litres: {full}", "abv: 63.5", "at_20: true", "method: weigh"),
            ("2021-01-05", "regauge", f"litres: {gauged}", "abv: 63", "at_20: true", "method: weigh"),
        )  # fmt: skip
        text = HEAD.format(cask=f"TH-00000{number}", type=kind, litres=litres)
        for n, (day, job, *fields) in enumerate(events):
            text += f"  - id: e000000{n}\n    date: {day}\n    job: {job}\n    by: ab\n" + "".join(f"    {field}\n" for field in fields)
        (root / "casks" / "TH-000" / f"TH-00000{number}.yaml").write_text(text, encoding="utf-8")
    return root


def verdicts(root: Path) -> str:
    done = caskbook("due", "loss", "--all", "--sort", "cask", "--format", "json", "--as-of", "2021-01-06", "--records", str(root))
    assert done.returncode == 0, done.stderr
    return " ".join(one["verdict"] for one in json.loads(done.stdout))


@pytest.mark.thorough
@pytest.mark.parametrize("house", ["loss_table: {barrel: 2}\n", ""], ids=["a table", "nothing"])
@pytest.mark.parametrize(
    ("left", "said"),
    [
        ((150, 150), "due due"), ((110, 100), "due due"), ((187, 150, 150), "ok due due"), ((150, 150, 150), "due due due"),
        ((187, 150, 140, 130), "ok due due due"), ((170, 165, 160, 150, 140), "due due due due due"), ((187, 187, 150), "ok ok due"), ((188, 187, 186), "ok ok ok"),
    ],
)  # fmt: skip
def test_casks_that_leak_do_not_clear_each_other(tmp_path: Path, house: str, left: tuple[float, ...], said: str) -> None:
    assert verdicts(book(tmp_path / "book", left, house)) == said


def test_of_small_casks_and_of_warm_stores_the_houses_own_rate_decides(tmp_path: Path) -> None:
    small = "loss_table: {quarter-cask: 4}\n"
    assert verdicts(book(tmp_path / "small", (150, 150), small, litres=125.0, kind="quarter-cask")) == "due due"
    assert verdicts(book(tmp_path / "sound", (181, 180), small, litres=125.0, kind="quarter-cask")) == "ok ok"
    warm = "temperate_stores: [cellar]\nloss_table: {barrel: 9}\n"
    assert verdicts(book(tmp_path / "warm", (171, 170), warm)) == "ok ok"
    assert verdicts(book(tmp_path / "leaks", (110, 110), warm)) == "due due"


def test_a_table_above_what_is_usual_stands_against_the_five_per_cent(tmp_path: Path) -> None:
    assert verdicts(book(tmp_path / "book", (176, 175), "loss_table: {barrel: 7}\n")) == "ok ok"
