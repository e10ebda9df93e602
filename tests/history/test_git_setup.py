"""Setting git up and undoing it: what is there already stays, twice is once, and undone is as it was."""

from __future__ import annotations

import stat
import subprocess
import sys
from pathlib import Path

import pytest

from caskbook.cli.commands.git import install, uninstall
from caskbook.core.finding import CaskbookError
from history.ledgers import EXAMINED, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

BASE = cask(RECEIVED, EXAMINED, TESTED)
NOTED = event("gqw00001", "2023-06-01", "note", "note: seen")


@pytest.fixture
def repo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Repo:
    made = ledger(tmp_path)
    monkeypatch.chdir(made.top)
    monkeypatch.delenv("CASKBOOK_RECORDS", raising=False)
    return made


def state(repo: Repo) -> dict[str, bytes]:
    """Everything that setting up may touch."""
    paths = [repo.ledger / ".gitattributes", repo.top / ".git" / "config", *(repo.top / ".git" / "hooks").glob("pre-commit*")]
    return {str(path): path.read_bytes() for path in paths if path.exists() and not path.name.endswith(".sample")}


def hook(repo: Repo, text: str) -> Path:
    path = repo.top / ".git" / "hooks" / "pre-commit"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text)
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return path


@pytest.mark.parametrize("attributes", [None, "*.yaml -text\n", "*.yaml -text", "# mine\r\n*.txt text\r\n"])
def test_twice_is_once_and_undone_is_as_it_was(repo: Repo, attributes: str | None):
    if attributes is not None:
        (repo.ledger / ".gitattributes").write_text(attributes, newline="")
    hook(repo, "#!/bin/sh\nexit 0\n")
    before = state(repo)
    install()
    once = state(repo)
    install()
    assert state(repo) == once != before
    assert (repo.ledger / ".gitattributes").read_bytes().startswith((attributes or "").encode())
    uninstall()
    after = state(repo)
    config = str(repo.top / ".git" / "config")
    assert b"caskbook" not in after[config]
    assert {key: value for key, value in after.items() if key != config} == {key: value for key, value in before.items() if key != config}
    uninstall()
    assert state(repo) == after


def test_the_hunk_heading_names_the_cask_and_only_lines_are_added(repo: Repo):
    install()
    repo.commit()
    repo.write(cask(RECEIVED, EXAMINED, TESTED, *(event(f"gqw0001{n}", "2023-06-01", "note", "note: seen") for n in range(9))))
    repo.commit()
    repo.write(repo.path().read_text() + NOTED.replace("gqw00001", "gqw00019"))
    shown = repo.git("diff")
    assert "@@ cask: TH-004217\n" in shown
    assert [line[0] for line in shown.splitlines()[5:] if line[0] in "+-"] == ["+"] * 5


def test_the_commit_check_runs_after_the_hook_that_was_there(repo: Repo):
    hook(repo, "#!/bin/sh\necho before >> hook.log\ntest ! -e stop\n")
    install()
    repo.write(BASE + NOTED)
    repo.git("add", "-A")
    repo.git("commit", "-q", "-m", "good")
    assert (repo.top / "hook.log").read_text() == "before\n"
    (repo.top / "stop").write_text("")
    repo.write(BASE + NOTED * 1 + event("gqw00002", "2023-06-02", "note", "note: seen"))
    repo.git("add", "records")
    repo.git("commit", "-q", "-m", "stopped", good=(1,))
    (repo.top / "stop").unlink()
    repo.write((BASE + NOTED).replace("psi: 11", "psi: 12"))
    repo.git("add", "records")
    repo.write(BASE + NOTED)
    out = repo.git("commit", "-m", "altered", good=(1,))
    assert "landed-event-altered" in out and "`psi` was 11 when it landed, is 12" in out
    repo.git("commit", "-q", "-n", "-m", "passed by")


def test_a_program_that_is_gone_lets_the_commit_pass_and_says_so(repo: Repo):
    install()
    path = repo.top / ".git" / "hooks" / "pre-commit"
    path.write_text("".join("python=/no/such\n" if line.startswith("python=") else line for line in path.read_text().splitlines(keepends=True)))
    repo.write(BASE.replace("psi: 11", "psi: 12"))
    repo.git("add", "-A")
    assert "are not checked" in repo.git("commit", "-m", "unchecked")


def test_hooks_path_is_honoured_inside_and_left_alone_outside(repo: Repo, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    repo.git("config", "core.hooksPath", "tools/hooks")
    install()
    assert (repo.top / "tools" / "hooks" / "pre-commit").exists()
    uninstall()
    assert not (repo.top / "tools" / "hooks" / "pre-commit").exists()
    shared = tmp_path / "shared-hooks"
    repo.git("config", "core.hooksPath", str(shared))
    install()
    assert not shared.exists() and "left alone" in capsys.readouterr().err


@pytest.mark.parametrize("before", [None, ("fetch.fsckObjects", "false"), ("transfer.fsckObjects", "true")])
def test_what_is_fetched_is_looked_at_by_git_unless_somebody_said_otherwise(repo: Repo, capsys: pytest.CaptureFixture[str], before: tuple[str, str] | None):
    if before is not None:
        repo.git("config", *before)
    for _ in range(2):
        install()
    told = capsys.readouterr().err.count("fetch.fsckObjects is true now")
    assert told == (before is None) and ("fetch.fsckobjects=true" in repo.git("config", "--local", "--list")) == (before is None)
    uninstall()
    kept = repo.git("config", "--local", "--list")
    assert "caskbook" not in kept and ("fsckobjects" in kept) == (before is not None)


def test_two_ledgers_of_one_repository_and_worktrees(repo: Repo, monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    second = Repo(repo.top, "site two/book")
    second.house()
    second.write(cask(RECEIVED, cask_id="TX-000001"), "TX-000001")
    second.commit()
    install()
    install("site two/book")
    uninstall("site two/book")
    assert "ledger = records/" in (repo.top / ".git" / "config").read_text()
    assert (repo.top / ".git" / "hooks" / "pre-commit").exists() and not (second.ledger / ".gitattributes").exists()
    install("site two/book")
    repo.commit()
    repo.git("worktree", "add", "-q", str(tmp_path / "tree"), "-b", "bench")
    tree = Repo(tmp_path / "tree", "site two/book")
    tree.write(cask(RECEIVED, cask_id="TX-000001").replace("verdict: accept", "verdict: hold"), "TX-000001")
    tree.git("add", "-A")
    assert "landed-event-altered" in tree.git("commit", "-m", "altered", good=(1,))
    monkeypatch.chdir(tree.top)
    install("site two/book")


def test_where_there_is_nothing_to_set_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    made = ledger(tmp_path)
    (tmp_path / "alone").mkdir()
    (tmp_path / "alone" / "house.yaml").write_text("timezone: UTC\n")
    monkeypatch.chdir(tmp_path / "alone")
    with pytest.raises(CaskbookError, match="no git repository"):
        install()
    subprocess.run(["git", "clone", "-q", "--bare", str(made.top), str(tmp_path / "bare.git")], check=True, capture_output=True)
    monkeypatch.chdir(tmp_path / "bare.git")
    with pytest.raises(CaskbookError, match="no ledger here"):
        install()
    (tmp_path / "bare.git" / "house.yaml").write_text("timezone: UTC\n")
    with pytest.raises(CaskbookError, match="bare repository"):
        install()


ABOVE = "*.yaml -text\nrecords/casks/**/*.yaml diff=caskbook merge=caskbook\nrecords/house.yaml merge=caskbook\n"
PROGRAM = str(Path(sys.executable).with_name("caskbook"))


def test_rules_of_the_top_folder_are_enough_and_nothing_is_left_beside_them(repo: Repo):
    (repo.top / ".gitattributes").write_text(ABOVE)
    done = subprocess.run([PROGRAM, "git", "install"], cwd=repo.top, capture_output=True, text=True, check=False)
    assert done.returncode == 0 and not (repo.ledger / ".gitattributes").exists()
    assert "commit .gitattributes, and run `caskbook git install` once on each machine\n" in done.stderr
    repo.commit("rules")
    done = subprocess.run([PROGRAM, "git", "install"], cwd=repo.top, capture_output=True, text=True, check=False)
    assert done.stderr == "run `caskbook git install` once on each machine\n"
    assert repo.git("status", "--porcelain") == ""


def test_commit_is_asked_for_until_it_is_done(repo: Repo, capsys: pytest.CaptureFixture[str]):
    install()
    assert "commit records/.gitattributes, and run" in capsys.readouterr().err
    install()
    assert "commit records/.gitattributes, and run" in capsys.readouterr().err, "not committed yet"
    repo.git("add", "-A")
    install()
    assert "commit records/.gitattributes, and run" in capsys.readouterr().err, "staged alone"
    repo.commit("rules")
    install()
    assert "commit" not in capsys.readouterr().err


def test_a_block_left_by_an_earlier_set_up_is_taken_away_while_git_has_it_not(repo: Repo):
    install()
    (repo.top / ".gitattributes").write_text(ABOVE)
    install()
    assert not (repo.ledger / ".gitattributes").exists()
    (repo.top / ".gitattributes").unlink()
    install()
    repo.commit("rules")
    (repo.top / ".gitattributes").write_text(ABOVE)
    install()
    assert (repo.ledger / ".gitattributes").exists(), "what git has stays"


@pytest.mark.parametrize(
    "above",
    [ABOVE.replace("*.yaml -text\n", ""), ABOVE.replace("records/house.yaml", "/house.yaml"), ABOVE.replace("diff=caskbook ", ""), ABOVE + "*.yaml -merge\n"],
)
def test_rules_that_say_less_are_filled_up(repo: Repo, above: str):
    (repo.top / ".gitattributes").write_text(above)
    install()
    assert (repo.ledger / ".gitattributes").exists()
    told = repo.git("check-attr", "merge", "eol", "--", "records/house.yaml", "records/casks/TH-004/TH-004217.yaml")
    assert told.count("merge: caskbook") == 2, told


def test_a_folder_s_own_rule_against_ours_is_overruled(repo: Repo):
    (repo.top / ".gitattributes").write_text(ABOVE)
    (repo.ledger / ".gitattributes").write_text("*.yaml -merge\n")
    repo.commit("both")
    install()
    assert repo.git("check-attr", "merge", "--", "records/house.yaml").strip().endswith("merge: caskbook")
