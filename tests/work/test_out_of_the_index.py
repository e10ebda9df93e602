"""What a plan and `ready` take out of the index is what the files say: minutes of work, the first day of each rule, losses that speak for retiring."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from history.ledgers import RECEIVED, cask, event
from index.book import DAY, make_demo

from caskbook.index.ahead import Ahead

HOUSE = "timezone: UTC\ncrew: [{initials: ab}]\n"


def hours(book: Path, day: str) -> dict[str, tuple[float | None, int]]:
    """Job → (hours, of how many entries) as a plan tells it."""
    done = caskbook("plan", "--format", "json", "--as-of", day, "--records", str(book))
    assert done.returncode == 0, done.stderr
    return {one["job"]: (one["hours"], one["entries"]) for one in json.loads(done.stdout)["settings"]["job_hours"]}


def test_minutes_are_those_of_standing_entries_up_to_the_day(tmp_path: Path) -> None:
    folder = tmp_path / "casks" / "TH-004"
    folder.mkdir(parents=True)
    (tmp_path / "house.yaml").write_text(HOUSE)
    for n in range(6):
        tests = [event(f"dt3q62s{n}", "2015-03-20", "examine", "verdict: sound", f"work_minutes: {30 + n // 3}")]
        if n == 0:  # a second one that was voided, and a later one
            tests += [event("dt3q62t0", "2015-03-21", "examine", "verdict: sound", "work_minutes: 900"),
                      event("dt3q62t1", "2015-03-22", "void", "of: dt3q62t0", "why: not done"),
                      event("dt3q62t2", "2016-03-22", "examine", "verdict: sound", "work_minutes: 600")]  # fmt: skip
        (folder / f"TH-00421{n}.yaml").write_text(cask(RECEIVED, *tests, cask_id=f"TH-00421{n}"))
    assert hours(tmp_path, "2015-12-31")["examine"] == (pytest.approx(30.5 / 60, abs=1e-4), 6)
    assert hours(tmp_path, "2016-12-31")["examine"] == (pytest.approx(31 / 60, abs=1e-4), 7)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("plan") / "book", 150, 5)


@pytest.mark.thorough
@pytest.mark.parametrize("day", [DAY, "2024-02-29", "2019-11-30"])
def test_each_rule_by_itself_says_what_all_together_say(demo: Path, day: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def both() -> list[Any]:
        return [caskbook(*words, "--format", "json", "--as-of", day, "--records", str(demo)).stdout for words in (("plan", "--weeks", "12"), ("ready",))]

    quick = both()
    monkeypatch.setattr(Ahead, "turns", lambda *_: {})
    monkeypatch.setattr(Ahead, "losing", lambda *_: None)
    assert both() == quick and '"job"' in quick[0]
