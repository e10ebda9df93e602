"""A cask's file copied under another number, through real commits and pushes: it is told where it comes in, and stops nothing that stood before."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest
from commands import caskbook

from history.ledgers import EXAMINED, FILLED, HOUSE, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

STORY = (RECEIVED, EXAMINED, TESTED, FILLED)
NOTED = event("gqw00001", "2023-06-01", "note", "note: seen")
OF_ANOTHER = (
    event("dsy3jp7k", "2015-03-12", "receive", "verdict: accept"),
    event("dsy3jp8m", "2015-03-12", "examine", "verdict: sound"),
    event("dt3q62qx", "2015-03-20", "test", "psi: 11", "water_l: 2", "result: pass"),
    event("dtcw0r1z", "2015-04-02", "fill", "spirit: malt", "litres: 198.4", "abv: 63.5", "temp_c: 14.5"),
)
TOLD = "4 entries, ids and all, stand in TH-004217 too"


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A server with the gate, and a bench without hooks of its own that has pushed a filled cask there."""
    place = tmp_path_factory.mktemp("template")
    bench = ledger(place, *STORY, name="bench")
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(place / "book.git")], check=True)
    assert caskbook("git", "install", "--server", str(place / "book.git")).returncode == 0
    bench.git("remote", "add", "origin", "../book.git")
    bench.git("push", "-q", "origin", "main")
    return place


@pytest.fixture
def bench(template: Path, tmp_path: Path) -> Repo:
    shutil.copytree(template, tmp_path / "both", symlinks=True)
    return Repo(tmp_path / "both" / "bench")


def copy(bench: Repo, number: str, of: str = "TH-004217") -> None:
    bench.write(bench.path(of).read_text().replace(f"cask: {of}", f"cask: {number}"), number)


def pushed(bench: Repo, good: bool = True, ref: str = "main") -> str:
    return bench.git("push", "origin", f"HEAD:{ref}", good=(0,) if good else (1,))


@pytest.mark.parametrize("number", ["TH-004218", "TH-001001"])
def test_a_copied_cask_is_refused_at_the_file_that_came_in(bench: Repo, number: str):
    copy(bench, number)
    bench.commit("copied")
    out = pushed(bench, good=False)
    assert f"records/casks/{number[:-3]}/{number}.yaml:1:7: error copied-cask: {TOLD}" in out and "nothing of this push is taken" in out
    bench.git("reset", "-q", "--hard", "HEAD~1")
    bench.write(cask(*OF_ANOTHER, cask_id=number), number)
    bench.commit("a cask of the same story")
    assert "copied-cask" not in pushed(bench)


def test_a_copy_of_a_file_that_came_in_with_it_is_refused(bench: Repo):
    bench.write(cask(*OF_ANOTHER, cask_id="TH-004219"), "TH-004219")
    copy(bench, "TH-004220", "TH-004219")
    bench.commit("both")
    assert "TH-004220.yaml:1:7: error copied-cask: 4 entries, ids and all, stand in TH-004219 too" in pushed(bench, good=False)


def test_a_copy_that_comes_in_two_steps_is_refused_with_the_second(bench: Repo):
    bench.write(cask(*STORY[:2], cask_id="TH-004218"), "TH-004218")
    bench.commit("a beginning")
    pushed(bench)
    bench.write(cask(*STORY, cask_id="TH-004218"), "TH-004218")
    bench.commit("the rest")
    assert f"copied-cask: {TOLD}" in pushed(bench, good=False)


def test_a_copy_that_is_gone_again_at_the_end_of_the_push_is_not_judged(bench: Repo):
    copy(bench, "TH-004218")
    bench.commit("copied")
    bench.path("TH-004218").unlink()
    bench.commit("seen, and taken away")
    assert "copied-cask" not in pushed(bench, good=False)  # What is refused is the removal of what was committed.
    bench.git("reset", "-q", "--hard", "HEAD~2")
    bench.write(cask(*STORY, NOTED))
    bench.commit("work")
    pushed(bench)


def test_another_branch_is_told_of_it_and_taken(bench: Repo):
    copy(bench, "TH-004218")
    bench.commit("copied")
    assert f"copied-cask: {TOLD}" in pushed(bench, ref="side")


def test_a_copy_with_new_settings_of_the_house_is_refused_too(bench: Repo):
    (bench.ledger / "house.yaml").write_text(HOUSE + "examine_valid_days: [{since: 1900-01-01, value: 30}]\n")
    copy(bench, "TH-004218")
    bench.commit("copied, and a setting")
    assert f"TH-004218.yaml:1:7: error copied-cask: {TOLD}" in pushed(bench, good=False)


def test_a_copy_that_stood_before_the_gate_stops_no_work_and_is_put_right_by_voids(bench: Repo):
    copy(bench, "TH-004218")
    bench.commit("copied")
    shutil.move(bench.top.parent / "book.git" / "hooks", bench.top.parent / "hooks")
    pushed(bench)
    shutil.move(bench.top.parent / "hooks", bench.top.parent / "book.git" / "hooks")
    for number in ("TH-004217", "TH-004218"):
        bench.write(bench.path(number).read_text() + NOTED, number)
        bench.commit(f"seen {number}")
        assert "copied-cask" not in pushed(bench)
    ids = [line.split()[-1] for line in bench.path("TH-004218").read_text().splitlines() if "- id:" in line]
    voids = "".join(event(f"gqy0000{n}", "2023-06-02", "void", f"of: {ident}", "why: copied by mistake") for n, ident in enumerate(ids, 1))
    bench.write(bench.path("TH-004218").read_text() + voids, "TH-004218")
    bench.commit("void")
    pushed(bench)
    assert "copied-cask" not in caskbook("check", cwd=bench.top).stdout


def test_a_commit_and_a_push_of_a_bench_with_hooks_are_stopped(bench: Repo):
    assert caskbook("git", "install", cwd=bench.top).returncode == 0
    bench.commit("attributes")
    shutil.rmtree(bench.top.parent / "book.git" / "hooks")
    bench.git("push", "-q", "origin", "main")
    bench.git("remote", "set-head", "origin", "main")
    copy(bench, "TH-001001")
    bench.git("add", "-A")
    out = bench.git("commit", "-m", "copied", good=(1,))
    assert "TH-001001.yaml:1:7" in out and "copied-cask" in out and TOLD in out
    bench.git("commit", "-q", "--no-verify", "-m", "copied")
    out = bench.git("push", "origin", "main", good=(1,))
    assert "copied-cask" in out and TOLD in out


def test_check_and_review_tell_it_of_the_work_tree_and_of_commits(bench: Repo):
    start = bench.git("rev-parse", "HEAD").strip()
    assert "copied" not in caskbook("review", cwd=bench.top).stdout
    copy(bench, "TH-001001")
    told = f"copied   TH-001001: {TOLD}; take the copied file away"
    assert told in caskbook("review", cwd=bench.top).stdout
    assert [one["cask"] for one in json.loads(caskbook("review", "--format", "json", cwd=bench.top).stdout)["copies"]] == ["TH-001001"]
    for _ in range(2):
        out = caskbook("check", "--new-since", start, "--format", "concise", cwd=bench.top)
        assert out.returncode == 1 and "TH-001001.yaml:1:7: error copied-cask" in out.stdout and TOLD in out.stdout
        whole = caskbook("check", "--format", "concise", cwd=bench.top)
        assert whole.returncode == 1 and "TH-004217.yaml:1:7: error copied-cask" in whole.stdout
        bench.commit("copied")
    assert told in caskbook("review", f"{start}..HEAD", cwd=bench.top).stdout
    alone = caskbook("check", "TH-001001", "--format", "concise", cwd=bench.top)
    assert alone.returncode == 1 and "TH-001001.yaml:1:7: error copied-cask" in alone.stdout


@pytest.mark.parametrize("index", ["on", "off"])
def test_a_check_knows_it_from_what_it_kept_as_well(bench: Repo, index: str, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("CASKBOOK_INDEX", "off") if index == "off" else monkeypatch.delenv("CASKBOOK_INDEX", raising=False)

    def told() -> int:
        return caskbook("check", "--format", "concise", cwd=bench.top).stdout.count("error copied-cask")

    assert told() == 0
    copy(bench, "TH-004218")
    assert told() == told() == 1
    bench.write(bench.path().read_text() + NOTED)
    assert told() == 1
    bench.path("TH-004218").unlink()
    assert told() == told() == 0
