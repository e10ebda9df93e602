"""Two sides put one entry right, each in its own way: a merge names it, a check finds it, and one void settles it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from commands import caskbook

from history.ledgers import EXAMINED, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

BASE = cask(RECEIVED, EXAMINED, TESTED)
OTHERS = ("TH-004218", "TH-004219")
COPY = [event(f"dt3q6{n}00", "2015-03-20", "test", "psi: 11", "water_l: 2", "result: pass", "moved_from: TH-004217/dt3q62s1") for n in range(2)]


def moved(n: int, to: str) -> str:
    return event(f"gqw0000{n}", "2023-06-01", "moved", "of: dt3q62s1", f"to: {to}", "why: another cask")


WAYS: dict[str, Callable[[int], str]] = {
    "void": lambda n: event(f"gqw0000{n}", "2023-06-01", "void", "of: dt3q62s1", "why: not done"),
    "replaced": lambda n: event(f"dt3q62s{n + 2}", "2015-03-20", "test", "psi: 10", "water_l: 2", "result: pass", "replaces: dt3q62s1", "why: misread"),
    "replaced again": lambda n: (
        WAYS["replaced"](n)
        + event(f"dt3q62s{n + 2}kk", "2015-03-20", "test", "psi: 9", "water_l: 2", "result: pass", f"replaces: dt3q62s{n + 2}", "why: nine it was")
    ),
    "moved": lambda n: moved(n, OTHERS[0]),
    "moved on": lambda n: moved(n, OTHERS[1]),
}


def added(way: str, n: int) -> dict[str, str]:
    """The files as a side leaves them, by cask."""
    there = {"moved": OTHERS[0], "moved on": OTHERS[1]}.get(way)
    rest = {one: cask(RECEIVED, EXAMINED, *([COPY[n]] if one == there else []), cask_id=one) for one in OTHERS}
    return {"TH-004217": BASE + WAYS[way](n), **rest}


def found(repo: Repo, index: bool = True) -> list[tuple[str, str]]:
    words = ("check", "--format", "json", *([] if index else ["--at", "HEAD"]))
    report = json.loads(caskbook(*words, cwd=repo.top).stdout)
    return [(one["cask"], one["code"]) for one in report["findings"] if one["severity"] == "error"]


@pytest.mark.parametrize(("one", "other", "code"), [
    ("void", "void", None), ("void", "replaced", "put-right-twice"), ("void", "moved", "put-right-twice"), ("replaced", "moved", "put-right-twice"),
    ("moved", "moved on", "put-right-twice"), ("moved", "moved", "put-right-twice"), ("replaced", "replaced", "replaced-twice"),
    ("replaced again", "replaced", "put-right-twice"), ("replaced again", "void", "put-right-twice"), ("replaced again", "moved", "put-right-twice"),
])  # fmt: skip
def test_two_ways_are_named_at_the_merge_and_found_by_a_check(tmp_path: Path, one: str, other: str, code: str | None):
    repo = ledger(tmp_path)
    for name in OTHERS:
        repo.write(cask(RECEIVED, EXAMINED, cask_id=name), name)
    repo.write(BASE)
    assert caskbook("git", "install", cwd=repo.top).returncode == 0
    repo.commit("begun")
    for n, (branch, way) in enumerate((("side", one), ("main", other))):
        repo.git("checkout", "-q", *(["-b"] if branch == "side" else []), branch)
        for name, text in added(way, n).items():
            repo.write(text, name)
        assert not found(repo), "lawful alone"
        repo.commit(way)
    said = repo.git("merge", "--no-edit", "side")
    assert ("puts the same entry right" in said) == (code is not None), said
    assert found(repo) == found(repo, index=False) == ([("TH-004217", code)] if code else [])
    if code:
        last = WAYS[other](1).split("id: ")[1].split("\n")[0]
        assert caskbook("void", "TH-004217", last, "--why", "the other is right", "--by", "ab", "--yes", cwd=repo.top).returncode == 0
        assert not found(repo)
    if one == other == "moved":
        out = repo.path(OTHERS[0]).read_text().count("job: void")
        assert out == 1, "of the two copies one stays, for the move that stays"


def corrected(n: int, *fields: str) -> str:
    return event(f"gqw0000{n}", "2023-06-01", "correct", *fields, "why: misread")


@pytest.mark.parametrize(("one", "other", "told"), [
    (("type: butt", "capacity_l: 500"), ("type: hogshead", "capacity_l: 250"), ["type", "capacity"]), (("staves: 30",), ("staves: 30",), []), (("staves: 30",), ("hoops: 8",), []),
])  # fmt: skip
def test_a_head_that_two_sides_correct_each_in_its_own_way_is_named_at_the_merge(tmp_path: Path, one: tuple[str, ...], other: tuple[str, ...], told: list[str]):
    repo = ledger(tmp_path)
    repo.write(BASE)
    assert caskbook("git", "install", cwd=repo.top).returncode == 0
    repo.commit("begun")
    for n, (branch, fields) in enumerate((("side", one), ("main", other))):
        repo.git("checkout", "-q", *(["-b"] if branch == "side" else []), branch)
        repo.write(BASE + corrected(n, *fields))
        repo.commit(branch)
    said = repo.git("merge", "--no-edit", "side")
    lines = [line.split("TH-004217: ")[1] for line in said.splitlines() if "is corrected to" in line]
    assert [line.split(" ")[0] for line in lines] == told and all("(gqw00000)" in line and "(gqw00001)" in line for line in lines), said
    report = json.loads(caskbook("check", "--format", "json", cwd=repo.top).stdout)
    at_once = [one for one in report["findings"] if one["code"] == "head-corrected-at-once"]
    assert [one["message"].split(" ")[0] for one in at_once] == told, "found by a check too"
    for one in at_once[:1]:
        paste = one["help"].split("caskbook ")[1].split(" --why ")[0].split()
        assert caskbook(*paste, "--why", "the other is right", "--by", "ab", "--yes", cwd=repo.top).returncode == 0
        assert "head-corrected" not in caskbook("check", "--format", "json", cwd=repo.top).stdout
