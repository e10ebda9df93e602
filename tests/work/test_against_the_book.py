"""The plan held against the book itself: what falls due day by day, and what is due once an emptying is really entered."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from index.book import copied, make_demo, without_index

pytestmark = pytest.mark.thorough

DAY, TIP = date(2026, 6, 30), date(2026, 7, 8)
LAST = date(2026, 8, 2)
"""The Sunday of the fourth week from Monday 6 July."""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = make_demo(tmp_path_factory.mktemp("plan") / "book", 150, 5)
    house = root / "house.yaml"
    house.write_text(house.read_text(encoding="utf-8").replace("fill_needs: examine", "fill_needs: test", 1), encoding="utf-8")
    return root


def asked(root: Path, *words: str, code: int = 0) -> Any:
    done = caskbook(*words, "--format", "json", "--records", str(root))
    assert done.returncode == code, done.stderr
    return json.loads(done.stdout)


def pressing(root: Path, day: date) -> set[tuple[str, str]]:
    return {(one["cask"], one["rule"]) for one in asked(root, "due", "--as-of", day.isoformat())}


def planned(found: dict[str, Any]) -> dict[tuple[str, str], str | None]:
    """(cask, rule) → since when, or on which day, of every job that is planned or left out."""
    return {(one["cask"], one["rule"]): one["due"] for one in [*found["jobs"], *found["left_out"]]}


def merged(cask: str, rule: str, found: dict[str, Any]) -> bool:
    """Whether the gauge that a rule calls for is planned under the other rule that calls for one."""
    return rule in ("loss", "regauge") and any(job["cask"] == cask and job["job"] == "regauge" for job in found["jobs"])


def test_the_work_of_the_weeks_is_what_falls_due_on_each_day(demo: Path) -> None:
    found = asked(demo, "plan", "--as-of", DAY.isoformat())
    assert found["to"] == LAST.isoformat()
    first: dict[tuple[str, str], date] = {}
    for n in range((LAST - DAY).days + 1):
        for key in pressing(demo, DAY + timedelta(days=n)):
            first.setdefault(key, DAY + timedelta(days=n))
    mine = planned(found)
    assert set(mine) <= set(first)
    assert [key for key in first if key not in mine and not merged(*key, found)] == []
    later = {key: day for key, day in first.items() if day > DAY and key in mine}
    assert len(later) >= 5, "some turn within the weeks"
    assert {key: mine[key] for key in later} == {key: day.isoformat() for key, day in later.items()}
    assert all(mine[key] is None or (mine[key] or "") <= DAY.isoformat() for key in mine if first[key] == DAY)
    for job in found["jobs"]:
        assert job["week"] and found["weeks"][job["week"] - 1]["to"] >= (job["due"] or "")
    with without_index():
        assert asked(demo, "plan", "--as-of", DAY.isoformat()) == found


def test_a_tip_makes_what_due_says_once_the_emptying_is_entered(demo: Path, tmp_path: Path) -> None:
    """Thirty casks are really emptied in a copy: what is due on them that day is what the plan had from the tip, and what stood before."""
    filled = [row["cask"] for row in asked(demo, "list", "--state", "filled", "--columns", "cask", "--as-of", DAY.isoformat())][:30]
    assert len(filled) == 30
    found = asked(demo, "plan", *filled, "--tip", TIP.isoformat(), "--as-of", DAY.isoformat())
    real = copied(demo, tmp_path / "real")
    done = caskbook("enter", "empty", *filled, "--date", TIP.isoformat(), "--litres", "0", "--why", "leaked-out", "--by", "tb", "--yes", "--records", str(real))
    assert done.returncode == 0, done.stderr
    due = {key for key in pressing(real, TIP) if key[0] in filled and key[1] != "loss"}
    mine = {(job["cask"], job["rule"]) for job in [*found["jobs"], *(one for one in found["left_out"] if one["why"] != "falls away with the tip")]
            if job["cask"] in filled and (job["due"] or "") <= TIP.isoformat() and job["rule"] not in ("loss", "look")}  # fmt: skip
    assert mine == due and {rule for _, rule in due} >= {"examine", "rechar", "retest"}
    assert {job["kind"] for job in found["jobs"] if job["cask"] in filled} <= {"from the tip", "must"}
    assert not any(job["rule"] == "regauge" and job["cask"] in filled for job in found["jobs"])
    before = asked(demo, "plan", "--as-of", DAY.isoformat())
    others = [job for job in before["jobs"] if job["cask"] not in filled]
    assert [(job["cask"], job["job"]) for job in found["jobs"] if job["cask"] not in filled] == [(job["cask"], job["job"]) for job in others]


def test_nothing_of_a_book_is_written(demo: Path) -> None:
    files = {path: path.read_bytes() for path in sorted((demo / "casks").rglob("*.yaml"))}
    cask = min(path.stem for path in files)
    caskbook("plan", cask, "--tip", TIP.isoformat(), "--as-of", DAY.isoformat(), "--records", str(demo))
    assert {path: path.read_bytes() for path in sorted((demo / "casks").rglob("*.yaml"))} == files
