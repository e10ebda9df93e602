"""A second ledger above the first: no command guesses which one is meant."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from commands import caskbook
from laws import crossed

from caskbook.core.finding import CaskbookError
from caskbook.ledger.folder import find_ledger
from history.ledgers import RECEIVED, cask, ledger
from history.test_carried_in import PROGRAM

pytestmark = pytest.mark.thorough


def test_two_ledgers_are_named_and_none_is_taken(tmp_path: Path):
    repo = ledger(tmp_path)
    repo.write(cask(RECEIVED))
    shutil.copy(repo.ledger / "house.yaml", repo.top / "house.yaml")
    for start in (repo.top, repo.ledger, repo.ledger / "casks"):
        with pytest.raises(CaskbookError, match=r"two ledgers, .*house.yaml and .*records.house.yaml.*--records"):
            find_ledger(start, None, None)
    assert find_ledger(repo.top, str(repo.ledger), None) == repo.ledger
    done = caskbook("due", cwd=repo.top)
    assert done.returncode == 2 and len(done.stderr.splitlines()) == 1 and "two ledgers" in done.stderr
    done = caskbook("check", "--records", "records", cwd=repo.top)
    assert done.returncode == 1 and "second-house" in done.stdout
    done = caskbook("check", "--records", ".", cwd=repo.top)
    assert "pathspec" not in done.stdout + done.stderr


COMMANDS = (
    ("due",),
    ("list",),
    ("show", "TH-004217"),
    ("query", "select cask from cask"),
    ("enter", "note", "TH-004217", "--note", "seen", "--by", "ab", "--dry-run"),
    ("review",),
)


@crossed("inside,index,start", ["casks", "casks/TH-004", "casks/TH-004/records"], ["", "off"], ["casks/TH-004", "casks", "inside", "", ".."])
def test_a_house_among_the_casks_is_no_ledger(tmp_path: Path, inside: str, index: str, start: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    repo = ledger(tmp_path)
    (repo.ledger / inside).mkdir(exist_ok=True)
    shutil.copy(repo.ledger / "house.yaml", repo.ledger / inside / "house.yaml")
    place = repo.ledger / inside.removesuffix("/records")  # from here down it would be found first
    here = repo.top if start == ".." else repo.ledger / (inside if start == "inside" else start)
    told = place == here or place in here.parents
    for words in COMMANDS:
        done = caskbook(*words, cwd=here)
        assert done.returncode == 0 and ("TH-004217" in done.stdout or words == ("review",)), (words, done.stdout, done.stderr)
        assert done.stderr.count("is not used") == told, (words, done.stderr)
    done = caskbook("check", "--format", "concise", cwd=here)
    wanted = "stray-file" if inside.endswith("/records") else "house-among-casks"
    assert [line.split()[2] for line in done.stdout.splitlines()] == [wanted], done.stdout
    assert done.returncode == (wanted != "stray-file")


@pytest.mark.parametrize("index", ["", "off"])
def test_which_of_two_ledgers_is_used_is_told(tmp_path: Path, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    repo = ledger(tmp_path, under="crew/records")
    (repo.top / "house.yaml").write_text("name: the site's\n", encoding="utf-8")
    for start, line in (
        (repo.top / "crew", "caskbook: the ledger here is records; ../house.yaml is not used: name the ledger that is meant with --records"),
        (
            repo.ledger / "casks" / "TH-004",
            "caskbook: the ledger here is ../..; ../../../../house.yaml is not used: name the ledger that is meant with --records",
        ),
    ):
        for words in COMMANDS:
            done = caskbook(*words, cwd=start)
            assert done.returncode == 0 and done.stderr.splitlines().count(line) == 1, (start, words, done.stderr)
    line = "no casks here; another ledger lies at crew/records: name it with --records"
    for words in (("due",), ("list",)):
        assert caskbook(*words, cwd=repo.top).stderr.splitlines() == [line]
    assert caskbook("due", "--fail-if-any", cwd=repo.top).returncode == 1
    assert "another ledger lies at crew/records" in caskbook("show", "TH-004217", cwd=repo.top).stderr
    assert "another ledger lies at crew/records" in caskbook("check", cwd=repo.top).stdout
    for words in COMMANDS:
        done = caskbook(*words, *(("--records", "crew/records") if words[0] != "enter" else ()), cwd=repo.top) if words[0] != "enter" else None
        assert done is None or "is not used" not in done.stderr and done.returncode == 0, (words, done.stderr)


def test_the_installed_command_tells_which_ledger_is_used(tmp_path: Path) -> None:
    repo = ledger(tmp_path, under="crew/records")
    (repo.top / "house.yaml").write_text("name: the site's\n", encoding="utf-8")
    done = subprocess.run(
        [PROGRAM, "due", "--as-of", "2026-01-01"],
        cwd=repo.ledger / "casks",
        env=os.environ | {"GIT_CONFIG_GLOBAL": os.devnull},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0 and "TH-004217" in done.stdout
    assert done.stderr == "caskbook: the ledger here is ..; ../../../house.yaml is not used: name the ledger that is meant with --records\n"


def test_a_sub_folder_of_the_casks_answers_like_the_top(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    for words in COMMANDS[:4]:
        seen = [caskbook(*words, cwd=start) for start in (repo.top, repo.ledger, repo.ledger / "casks", repo.path().parent)]
        assert {(done.returncode, done.stdout, done.stderr) for done in seen} == {(0, seen[0].stdout, "")}, words
