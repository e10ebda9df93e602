"""`ready` held against the book itself: who is ready in the lists, and what becomes of casks once the jobs are really entered."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from commands import caskbook
from index.book import copied, make_demo, without_index

from work.test_against_the_book import asked, pressing

pytestmark = pytest.mark.thorough

DAY = date(2026, 6, 30)
BEFORE_A_FILL = {"hold", "nose", "retest", "examine", "rechar", "retire"}


@pytest.fixture(scope="module", params=["examine", "test"])
def demo(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Of 400 casks some dozens stand empty; in one book every cask is tested before it is filled."""
    root = make_demo(tmp_path_factory.mktemp("ready") / "book", 400, 5)
    house = root / "house.yaml"
    house.write_text(house.read_text(encoding="utf-8").replace("fill_needs: examine", f"fill_needs: {request.param}", 1), encoding="utf-8")
    filled = [row["cask"] for row in asked(root, "list", "--state", "filled", "--columns", "cask", "--as-of", "2026-06-01")][:120:3]
    done = caskbook("enter", "empty", *filled, "--date", "2026-06-01", "--litres", "0", "--why", "leaked-out", "--by", "tb", "--yes", "--records", str(root))
    assert done.returncode == 0, done.stderr
    return root


def test_every_empty_cask_is_in_one_group_and_the_ready_are_those_of_the_lists(demo: Path) -> None:
    found = asked(demo, "ready", "--as-of", DAY.isoformat())
    group = {one["cask"]: row["group"] for row in found["groups"] for one in row["of"]}
    assert sum(row["casks"] for row in found["groups"]) == len(group) == found["empty"] > 40
    rows = asked(demo, "list", "--where", "contents = 'empty' AND whereabouts = 'here' AND form <> 'gone'", "--as-of", DAY.isoformat())
    assert set(group) == {row["cask"] for row in rows}
    unknown = {
        one["cask"] for one in asked(demo, "due", "--unknown", "--as-of", DAY.isoformat()) if one["verdict"] == "unknown" and one["rule"] in BEFORE_A_FILL
    }
    due = {cask for cask, rule in pressing(demo, DAY) if rule in BEFORE_A_FILL}
    assert {cask for cask, word in group.items() if word == "ready now"} == {row["cask"] for row in rows if row["state"] == "ready"} - due - unknown
    with without_index():
        assert asked(demo, "ready", "--as-of", DAY.isoformat()) == found


def test_all_casks_a_job_or_two_away_are_ready_once_the_jobs_are_entered(demo: Path, tmp_path: Path) -> None:
    """The examinations and tests are really entered in a copy, one after the other: each cask is a job nearer after each, and ready in the end."""
    real = copied(demo, tmp_path / "real")
    found = asked(real, "ready", "--as-of", DAY.isoformat())
    ways = {one["cask"]: [job["job"] for job in one["jobs"]] for row in found["groups"] for one in row["of"]}
    for way, lines in ((["examine"], ("examine",)), (["examine", "test"], ("examine", "test"))):
        chosen = [cask for cask, jobs in ways.items() if jobs == way]
        for at, job in enumerate(lines):
            words = ("--verdict", "sound") if job == "examine" else ("pass", "--psi", "8")
            done = caskbook("enter", job, *chosen, *words, "--date", DAY.isoformat(), "--by", "tb", "--yes", "--records", str(real))
            assert not chosen or done.returncode == 0, done.stderr
            after = {
                one["cask"]: [job["job"] for job in one["jobs"]] for row in asked(real, "ready", "--as-of", DAY.isoformat())["groups"] for one in row["of"]
            }
            assert all(after[cask] == way[at + 1 :] for cask in chosen)
        listed = {row["cask"] for row in asked(real, "list", "--state", "ready", "--as-of", DAY.isoformat())}
        assert set(chosen) <= listed
    assert sum(way in (["examine"], ["examine", "test"]) for way in ways.values()) > 10
