"""`ready` held against the book itself: who is ready in the lists, and what becomes of casks once the jobs are really entered."""

from __future__ import annotations

import json
import random
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import ev
from cli.test_plan import RECEIVED, empty, fill, made
from cli.test_ready import HOUSE
from commands import caskbook
from index.book import copied, make_demo, without_index

from work.test_against_the_book import asked, pressing

pytestmark = pytest.mark.thorough

DAY = date(2026, 6, 30)
BEFORE_A_FILL = {"hold", "nose", "retest", "examine", "rechar", "retire"}


@pytest.fixture(scope="module", params=["examine", pytest.param("test", marks=pytest.mark.slow)])
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
    due = {cask for cask, rule in pressing(demo, DAY) if rule in BEFORE_A_FILL}
    assert {cask for cask, word in group.items() if word == "ready now"} == {row["cask"] for row in rows if row["state"] == "ready"} - due
    with without_index():
        assert asked(demo, "ready", "--as-of", DAY.isoformat()) == found


def one_truth(root: Path, day: str) -> int:
    """`list`, `show`, `report stock` and `ready` say the same of who is ready; how many of them nobody can tell whether they are."""
    listed = {row["cask"]: row for row in asked(root, "list", "--columns", "cask,state,fitness,form", "--as-of", day)}
    found = asked(root, "ready", "--as-of", day)
    group = {one["cask"]: (row["group"], one) for row in found["groups"] for one in row["of"]}
    fit = {cask for cask, row in listed.items() if row["fitness"] == "ready" and row["state"] in ("ready", "open")}
    now = {cask for cask, (word, _) in group.items() if word == "ready now"}
    untold = {cask for cask, (word, _) in group.items() if word == "nobody can tell"}
    asked_for = {cask for cask in fit - now if group[cask][1]["jobs"] or group[cask][0] == "no way known"}
    assert now <= {cask for cask, row in listed.items() if row["state"] == "ready"} and fit == now | asked_for and not fit & untold
    stock = asked(root, "report", "stock", "--by", "state", "--as-of", day)
    assert sum(row["casks"] for row in stock["tables"][0]["rows"] if row["name"] == "ready") == sum(row["state"] == "ready" for row in listed.values())
    for cask in [*sorted(now)[:2], *sorted(untold)[:2]]:
        shown = json.loads(caskbook("show", cask, "--as-of", day, "--format", "json", "--records", str(root)).stdout)  # It may have errors in its file.
        assert shown["fitness"] == listed[cask]["fitness"]
    return sum(listed[cask]["fitness"] is None for cask in untold)


@pytest.mark.parametrize("mode", ["on", pytest.param("off", marks=pytest.mark.slow)])
def test_all_commands_have_one_truth_of_who_is_ready_in_histories_by_chance(tmp_path: Path, mode: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    root = made(tmp_path / "book", HOUSE, **dict(_by_chance(random.Random(number), number) for number in range(120)))
    assert [one_truth(root, day) > 0 for day in ("2026-11-20", "2026-11-29")] == [True, True]


def _by_chance(dice: random.Random, number: int) -> tuple[str, tuple[dict[str, Any], list[dict[str, Any]]]]:
    """A cask of some past, or of one that nobody wrote, and some days at the bench."""
    past = dice.choice(["absent", [], [{"contents": "bourbon", "fills": 1}], [{"contents": "unknown", "fills": 1}], [{"contents": "port", "fills": 1}]])
    done = [RECEIVED, *dice.choice([[], [], [fill("2018-01-10"), empty("2026-11-01")]])]
    bench = {
        "nose": {"verdict": dice.choice(["clean", "clean", "faint", "fault"]), "faults": []}, "examine": {"verdict": "sound"},
        "test": {"method": "air", "psi": 8, "result": "pass"}, "hoop": {"hoops": ["A-1"], "from_": "new"}, "hold": {"why": "asked"},
    }  # fmt: skip
    for day in range(2, 28, 3):
        job = dice.choice(["nose", "examine", "examine", "test", "hoop", "hold"]) if dice.random() < 0.5 else None
        if job is not None and (job != "hold" or dice.random() < 0.2):
            done.append(ev(f"2026-11-{day:02}", job, **{key: word for key, word in bench[job].items() if word}))
    return f"TH-{number + 100:06}", ({"prior": past, "charred": dice.choice([2011, "absent", "never"])}, done)


def test_all_commands_have_one_truth_of_who_is_ready_in_a_demo(demo: Path, tmp_path: Path) -> None:
    root, bare = copied(demo, tmp_path / "bare"), 0
    for path in sorted((root / "casks").rglob("*.yaml"))[::3]:  # Of a third of the casks nobody wrote what they held before.
        text = path.read_text(encoding="utf-8")
        short = re.sub(r"(?m)^prior:.*\n(?:[ -].*\n)*", "", text)
        bare += short != text
        path.write_text(short, encoding="utf-8")
    assert bare > 20
    one_truth(root, DAY.isoformat())
    with without_index():
        one_truth(root, DAY.isoformat())


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
