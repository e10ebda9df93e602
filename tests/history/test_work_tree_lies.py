"""What git is told of the work tree may be untrue: every answer is that of the files, and history that of the commits."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path
from unittest import mock

import pytest
from commands import caskbook
from laws import crossed

from history.ledgers import EXAMINED, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")
DAY = ("--as-of", "2026-01-01")
LEFT_OUT = "2 casks are left out of this work tree by a sparse checkout: git sparse-checkout disable"
INDEX = pytest.mark.parametrize("index", ["", "off"])


def here(repo: Repo, *words: str, index: str = "") -> subprocess.CompletedProcess[str]:
    """The command in this process; `index`: what CASKBOOK_INDEX says."""
    with mock.patch.dict(os.environ, {"CASKBOOK_INDEX": index}):
        done = caskbook(*words, cwd=repo.top)
    assert "Traceback" not in done.stderr and "fault of the program" not in done.stderr, done.stderr
    return done


def installed(repo: Repo, *words: str, index: str = "") -> subprocess.CompletedProcess[str]:
    """The same as the installed command, in a process of its own: once for each command."""
    env = {key: value for key, value in os.environ.items() if not key.startswith("GIT_")}
    quiet = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1", "CASKBOOK_INDEX": index}
    done = subprocess.run([PROGRAM, *words], cwd=repo.top, env=env | quiet, capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr, done.stderr
    return done


def codes(repo: Repo, *words: str, index: str = "") -> set[str]:
    """What `check` finds."""
    done = here(repo, "check", "--format", "json", *words, index=index)
    assert done.stdout, done.stderr
    return {one["code"] for one in json.loads(done.stdout)["findings"]}


@pytest.fixture
def sparse(tmp_path: Path) -> Repo:
    """A book whose casks TH-005… are left out of the work tree; one that stays took staves of one that does not."""
    repo = ledger(tmp_path)
    opened = event("dt3q62s2", "2015-03-21", "open", "heads: [A]")
    stave = event("dt4q62s2", "2015-03-25", "stave", "staves: [4]", "action: replace", "from: TH-005001")
    broken_up = event("dsz3q62s", "2015-03-15", "break-up", "staves_saved: 20")
    repo.write(cask(RECEIVED, EXAMINED, TESTED, opened, stave))
    repo.write(cask(RECEIVED.replace("accept", "reject"), broken_up, cask_id="TH-005001"), "TH-005001")
    repo.write(cask(RECEIVED, cask_id="TH-005002"), "TH-005002")
    repo.commit()
    return repo


def leave_out(repo: Repo) -> None:
    """Set the sparse checkout."""
    repo.git("sparse-checkout", "set", "--no-cone", "/*", "!/records/casks/TH-005/")
    assert not repo.path("TH-005001").exists() and repo.path().exists()


@INDEX
def test_a_list_says_which_casks_are_left_out(sparse: Repo, index: str) -> None:
    words = (("due", *DAY), ("list", *DAY), ("query", "SELECT cask FROM cask"), ("report", "loss", *DAY))
    for one in words:
        assert "left out" not in here(sparse, *one, index=index).stderr
    leave_out(sparse)
    for one in words:
        done = here(sparse, *one, index=index)
        assert done.returncode == 0 and done.stderr.splitlines() == [LEFT_OUT], (one, done.stderr)
        again = here(sparse, *one, index=index)
        assert (again.stdout, again.stderr) == (done.stdout, done.stderr)
        if not index:
            real = installed(sparse, *one)
            assert (real.stdout, real.stderr) == (done.stdout, done.stderr)
    assert "left out" not in here(sparse, "due", *DAY, "--at", "HEAD", index=index).stderr
    sparse.git("sparse-checkout", "disable")
    assert "left out" not in here(sparse, "due", *DAY, index=index).stderr


@INDEX
def test_nothing_is_entered_on_a_cask_that_is_left_out(sparse: Repo, index: str) -> None:
    leave_out(sparse)
    for words in (("receive", "TH-005001", "--type", "barrel", "--verdict", "accept"), ("note", "TH-005002", "--note", "seen")):
        done = (here if index else installed)(sparse, "enter", *words, "--by", "ab", "--date", "2026-01-02", index=index)
        assert done.returncode != 0 and "left out" in done.stderr and "sparse" in done.stderr, done.stderr
        assert not sparse.path(words[1]).exists()


@crossed("donor,index", ["TH-005001", "TH-005002", "TH-005003"], ["", "off"])
def test_a_donor_that_is_left_out_is_known_at_the_entry(sparse: Repo, index: str, donor: str) -> None:
    words = ("enter", "stave", "TH-004217", "--staves", "5", "--action", "replace", "--from", donor, "--by", "ab", "--date", "2016-01-02", "--dry-run")
    before = here(sparse, *words, index=index)
    assert ("donor" in before.stderr or "no cask of the book" in before.stderr or "not broken up" in before.stderr) == (donor != "TH-005001"), before.stderr
    leave_out(sparse)
    done = (here if index else installed)(sparse, *words, index=index)
    assert (done.returncode, done.stderr) == (before.returncode, before.stderr)


@INDEX
def test_a_check_knows_the_casks_that_are_left_out(sparse: Repo, index: str) -> None:
    before = codes(sparse, index=index)
    leave_out(sparse)
    assert codes(sparse, index=index) == before | {"sparse-checkout"}
    assert codes(sparse, "TH-004217", index=index) == before & codes(sparse, "TH-004217", index=index)
    assert "donor-unknown" not in codes(sparse, "TH-004217", index=index)
    assert codes(sparse, "--since", "HEAD", index=index) == before | {"sparse-checkout"}


ALTERED = cask(RECEIVED, EXAMINED, TESTED.replace("psi: 11", "psi: 12"))
OVERLOOK = ["--skip-worktree", "--assume-unchanged"]
FLAGS = pytest.mark.parametrize("flag", OVERLOOK)


@crossed("flag,index", OVERLOOK, ["", "off"])
def test_an_alteration_that_git_was_told_to_overlook_is_found(tmp_path: Path, flag: str, index: str) -> None:
    repo = ledger(tmp_path)
    assert codes(repo, "--since", "HEAD", index=index) == set()
    repo.git("update-index", flag, "records/casks/TH-004/TH-004217.yaml")
    repo.write(ALTERED)
    assert "landed-event-altered" in codes(repo, "--since", "HEAD", index=index)
    done = here(repo, "review", index=index)
    assert done.returncode == 1 and "nothing landed was altered" not in done.stdout
    assert "landed-event-altered" in codes(repo, "TH-004217", "--since", "HEAD", index=index)


@FLAGS
def test_a_removal_that_git_was_told_to_overlook_is_found(tmp_path: Path, flag: str) -> None:
    repo = ledger(tmp_path)
    repo.git("update-index", flag, "records/casks/TH-004/TH-004217.yaml")
    repo.path().unlink()
    assert "landed-file-removed" in codes(repo, "--since", "HEAD")
    assert "landed-file-removed" in installed(repo, "check", "--since", "HEAD", "--format", "concise").stdout
    assert installed(repo, "review").returncode == 1


def test_settings_that_git_was_told_to_overlook_are_found(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    house = repo.ledger / "house.yaml"
    house.write_text(house.read_text(encoding="utf-8") + "shops: [north]\n", encoding="utf-8")
    before = here(repo, "review").stdout
    repo.git("update-index", "--skip-worktree", "records/house.yaml")
    assert "shops" in before and here(repo, "review").stdout == before


@crossed("settings,index", [("core.trustctime", "false"), ("core.checkStat", "minimal"), ("core.ignoreStat", "true")], ["", "off"])
def test_an_alteration_that_leaves_time_and_size_alone_is_found(tmp_path: Path, settings: tuple[str, str], index: str) -> None:
    repo = ledger(tmp_path)
    repo.git("config", *settings)
    long_ago = 1_500_000_000
    os.utime(repo.path(), (long_ago, long_ago))
    repo.git("update-index", "--refresh")
    repo.git("update-index", "--really-refresh")
    codes(repo, index=index)
    while time.time() < int(repo.path().stat().st_ctime) + 1.05:  # git looks at whole seconds, and the clock of files lags a little
        time.sleep(0.05)
    with repo.path().open("r+b") as file:
        file.write(ALTERED.encode())
    os.utime(repo.path(), (long_ago, long_ago))
    assert "landed-event-altered" in codes(repo, "--since", "HEAD", index=index)
    assert here(repo, "review", index=index).returncode == 1
    assert "12 psi" in (here if index or settings[0] != "core.trustctime" else installed)(repo, "show", "TH-004217", index=index).stdout


@INDEX
def test_an_intended_file_landed_nothing(tmp_path: Path, index: str) -> None:
    repo = ledger(tmp_path)
    repo.write(cask(RECEIVED, cask_id="TH-005001"), "TH-005001")
    plain = here(repo, "review", index=index)
    assert plain.returncode == 0 and "TH-005001" in plain.stdout
    repo.git("add", "-N", "records/casks/TH-005/TH-005001.yaml")
    assert here(repo, "review", index=index).stdout == plain.stdout
    assert codes(repo, "--since", "HEAD", index=index) == set()
    for words in (("list", *DAY), ("due", *DAY, "--all")):
        assert here(repo, *words, index=index).stdout.count("TH-005001") >= 1


@pytest.mark.parametrize("flag", ["--skip-worktree", "--assume-unchanged", ""])
def test_no_new_cask_is_written_where_a_landed_one_is_gone_from_the_disk(tmp_path: Path, flag: str) -> None:
    """Git, told to overlook the file, would say of neither that it is gone nor that another stands there."""
    repo = ledger(tmp_path)
    repo.write(cask(RECEIVED, cask_id="TH-004219"), "TH-004219")
    repo.commit()
    path = repo.path()
    if flag:
        repo.git("update-index", flag, str(path.relative_to(repo.top)))
    path.unlink()
    done = caskbook("enter", "receive", "TH-004217", "accept", "--type", "butt", "--by", "ab", cwd=repo.top)
    assert done.returncode == 2 and "TH-004217 is gone from this work tree, and git has it" in done.stderr and not path.exists()
    assert caskbook("enter", "receive", "TH-004218", "accept", "--type", "butt", "--by", "ab", cwd=repo.top).returncode == 0
