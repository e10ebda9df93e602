"""The hooks of a bench through real commits, merges and pushes: only what is brought may stop it, and nobody is locked out."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pexpect
import pytest
from commands import caskbook

from caskbook.cli.hooks.install import GONE
from history.ledgers import EXAMINED, FILLED, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")
BASE = cask(RECEIVED, EXAMINED, TESTED)
NOTED = event("gqw00001", "2023-06-01", "note", "note: seen")
AGAIN = event("gqx00001", "2023-07-01", "fill", "spirit: malt", "litres: 198.4", "abv: 63.5", "at_20: true")
TWICE = FILLED + AGAIN


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A bench with the hooks and a server without any, both at the same day; TH-004218 was wrong before there were hooks."""
    place = tmp_path_factory.mktemp("template")
    bench = ledger(place, name="bench")
    bench.write(cask(RECEIVED.replace("dsy3jphz", "dsy3jphy"), EXAMINED, TESTED, TWICE, cask_id="TH-004218"), "TH-004218")
    bench.commit("an old error")
    assert caskbook("git", "install", cwd=bench.top).returncode == 0
    bench.commit("attributes")
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(place / "server.git")], check=True)
    bench.git("remote", "add", "origin", "../server.git")
    bench.git("push", "-q", "--no-verify", "origin", "main")
    bench.git("remote", "set-head", "origin", "main")
    return place


@pytest.fixture
def bench(template: Path, tmp_path: Path) -> Repo:
    shutil.copytree(template, tmp_path / "both", symlinks=True)
    return Repo(tmp_path / "both" / "bench")


def committed(bench: Repo, good: bool = True) -> str:
    bench.git("add", "-A")
    return bench.git("commit", "-m", "work", good=(0,) if good else (1,))


@pytest.mark.parametrize("what", ["program", "link", "house"])
def test_a_file_that_would_be_no_plain_one_any_more_is_not_committed(bench: Repo, what: str):
    """As the push would be refused for it: then it stands in a commit that another one does not mend."""
    path = bench.ledger / "house.yaml" if what == "house" else bench.path("TH-004218")
    if what == "link":
        text = path.read_text()
        path.unlink()
        (bench.top / "elsewhere.yaml").write_text(text)
        path.symlink_to(bench.top / "elsewhere.yaml")
    else:
        path.chmod(0o755)
    said = committed(bench, good=False)
    assert "landed-mode-changed" in said and "restore it as a plain file, of mode 100644" in said, said
    if what != "link":
        path.chmod(0o644)
        bench.git("add", "-A")
        assert bench.git("status", "--porcelain") == ""


def test_an_old_error_stops_nothing_and_a_new_one_does(bench: Repo):
    bench.write(bench.path("TH-004218").read_text() + NOTED.replace("2023-06", "2023-08"), "TH-004218")
    assert "filled again" not in committed(bench)
    bench.write(BASE + TWICE)
    assert "filled again" in committed(bench, good=False)
    bench.write(BASE + 'events: "\n')
    committed(bench, good=False)


def test_the_house_is_not_taken_away(bench: Repo):
    (bench.ledger / "house.yaml").unlink()
    assert "the book with it" in committed(bench, good=False)


def apart(bench: Repo, ours: str, theirs: str) -> None:
    """Two lines of work, each committed past the hooks; ours is checked out."""
    bench.git("checkout", "-q", "-b", "side")
    bench.write(theirs)
    bench.commit("theirs")
    bench.git("checkout", "-q", "main")
    bench.write(ours)
    bench.commit("ours")


@pytest.mark.parametrize("by_hand", [False, True])
def test_two_lawful_sides_that_clash_go_through_with_the_line_that_puts_it_right(bench: Repo, by_hand: bool):
    apart(bench, BASE + FILLED, BASE + AGAIN)
    out = bench.git("merge", "--no-edit", *(["--no-commit"] if by_hand else []), "side")
    assert out.count("filled again") == 1, "the driver tells it; the hook of the same run tells only what puts it right"
    if by_hand:
        out = bench.git("commit", "--no-edit")
        assert out.count("filled again") == 1
    assert bench.git("status", "--porcelain") == "" and len(bench.git("rev-parse", "HEAD^2").split()) == 1
    line = next(line for line in out.splitlines() if "caskbook void" in line)
    assert by_hand or line.startswith("records/casks/TH-004/TH-004217.yaml:"), "it says of which file it is"
    words = line.split(": caskbook ")[1].replace('"…"', "twice").split()
    assert words[:3] == ["void", "TH-004217", "gqx00001"]
    assert caskbook(*words, "--by", "ab", "--yes", cwd=bench.top).returncode == 0
    committed(bench)
    assert "filled again" not in caskbook("check", "TH-004217", cwd=bench.top).stdout


def test_settings_of_two_sides_that_clash_go_through(bench: Repo):
    house = (bench.ledger / "house.yaml").read_text()
    apart(bench, BASE + NOTED, BASE)
    bench.git("checkout", "-q", "side")
    bench.house(house + "max_test_psi: 5\n")
    bench.commit("a limit")
    bench.git("checkout", "-q", "main")
    assert bench.git("merge", "--no-edit", "side") and bench.git("status", "--porcelain") == ""


def test_a_picked_entry_that_clashes_goes_through(bench: Repo):
    apart(bench, BASE + FILLED + NOTED, BASE + AGAIN)
    bench.git("config", "merge.caskbook.driver", "false")
    bench.git("cherry-pick", "side", good=(1,))
    bench.write(BASE + FILLED + NOTED.replace("2023-06-01", "2023-06-01") + AGAIN)
    bench.git("add", "-A")
    assert "caskbook void TH-004217 gqx00001" in bench.git("commit", "--no-edit")


def test_a_void_that_leaves_a_later_entry_without_its_ground_is_stopped_with_the_line_that_lets_it_through(bench: Repo):
    bench.write(BASE + FILLED + event("gqw00009", "2023-02-01", "draw", "litres: 2.0", "abv: 60.1"))
    bench.commit("filled, and drawn from")
    assert caskbook("void", "TH-004217", "dtcw0000", "--why", "another cask", "--by", "ab", "--yes", cwd=bench.top).returncode == 0
    bench.git("add", "-A")
    out = committed(bench, good=False)
    line = next(line for line in out.splitlines() if "caskbook void" in line)
    words = line.split(": caskbook ")[1].replace('"…"', "as well").split()
    assert words[:3] == ["void", "TH-004217", "gqw00009"]
    assert caskbook(*words[:3], "--why", "as well", "--by", "ab", "--yes", cwd=bench.top).returncode == 0
    bench.git("add", "-A")
    committed(bench)


@pytest.mark.parametrize("change", ["altered", "dropped", "put in"])
def test_a_merge_that_alters_either_side_is_stopped(bench: Repo, change: str):
    apart(bench, BASE + NOTED, BASE + FILLED)
    bench.git("merge", "--no-commit", "side")
    text = bench.path().read_text()
    bench.write({"altered": text.replace("198.4", "189.4"), "dropped": BASE + FILLED, "put in": text + AGAIN}[change])
    out = committed(bench, good=False)
    assert "nothing is committed" in out and ("landed-event-" in out or "filled again" in out)
    bench.git("merge", "--abort")


def test_a_merge_with_an_unlawful_side_is_stopped_before_it_is_made(bench: Repo):
    apart(bench, BASE, BASE.replace("psi: 11", "psi: 12"))
    bench.write(cask(RECEIVED, cask_id="TH-004219"), "TH-004219")
    bench.commit("ours")
    head = bench.git("rev-parse", "HEAD")
    assert "landed-event-altered" in bench.git("merge", "--no-edit", "side", good=(1,))
    assert bench.git("rev-parse", "HEAD") == head


def test_a_push_is_checked_against_what_the_other_side_has(bench: Repo):
    bench.write(BASE + NOTED)
    bench.commit("day")
    bench.git("push", "-q", "origin", "main")
    bench.write((BASE + NOTED).replace("psi: 11", "psi: 12"))
    bench.commit("digit")
    out = bench.git("push", "origin", "main", good=(1,))
    assert "landed-event-altered" in out and "nothing is pushed" in out and "remote:" not in out
    assert "landed-event-altered" in bench.git("push", "origin", "main:elsewhere", good=(1,))
    bench.git("push", "-q", "--no-verify", "origin", "main:elsewhere")
    bench.git("push", "-q", "origin", ":elsewhere")


def test_a_fault_of_the_program_lets_a_push_pass_and_says_so(bench: Repo):
    bench.write(BASE.replace("psi: 11", "psi: 12"))
    bench.commit("digit")
    hook = bench.top / ".git" / "hooks" / "pre-push"
    hook.write_text(
        hook.read_text().replace(
            "caskbook.cli.hooks.start import main", "caskbook.cli.hooks.start import main; import caskbook.cli.hooks.pre_push as p; p.open_git = 3"
        )
    )
    assert "a fault of the program itself" in bench.git("push", "origin", "main")


def test_without_the_program_each_hook_and_the_driver_say_one_sentence(bench: Repo):
    for name in ("pre-commit", "pre-merge-commit", "pre-push"):
        hook = bench.top / ".git" / "hooks" / name
        hook.write_text("".join("python=/no/such/python\n" if line.startswith("python=") else line for line in hook.read_text().splitlines(keepends=True)))
    driver = bench.git("config", "merge.caskbook.driver").rstrip("\n")
    bench.git("config", "merge.caskbook.driver", driver.replace(sys.executable, "/no/such/python"))
    apart(bench, BASE + NOTED, BASE + FILLED)
    lines = [line for line in bench.git("merge", "--no-edit", "side", good=(1,)).splitlines() if not line.startswith(("Auto-merging", "CONFLICT", "Automatic"))]
    assert lines == [f"{GONE}; merged as plain text, run `caskbook settle`: records/casks/TH-004/TH-004217.yaml"]
    assert caskbook("settle", cwd=bench.top).returncode == 0
    assert bench.git("commit", "-q", "--no-edit") == f"{GONE}; the casks of this commit are not checked\n"
    assert bench.path().read_text() == BASE + FILLED + NOTED
    assert f"{GONE}; the casks of this push are not checked\n" in bench.git("push", "-q", "origin", "main")


def test_hooks_of_others_run_first_and_read_the_same_lines(bench: Repo):
    hook = bench.top / ".git" / "hooks" / "pre-push"
    hook.write_text('#!/bin/sh\necho "$1" > seen\ncat >> seen\ntest ! -e stop\n')
    assert caskbook("git", "install", cwd=bench.top).returncode == 0
    bench.write(BASE.replace("psi: 11", "psi: 12"))
    bench.commit("digit")
    assert "landed-event-altered" in bench.git("push", "origin", "main", good=(1,))
    seen = (bench.top / "seen").read_text().splitlines()
    assert seen[0] == "origin" and len(seen) == 2 and seen[1].startswith("refs/heads/main ")
    (bench.top / "stop").write_text("")
    assert "landed" not in bench.git("push", "origin", "main", good=(1,))


def tracked(bench: Repo) -> Path:
    folder = bench.top / "tools" / "hooks"
    folder.mkdir(parents=True)
    (folder / "commit-msg").write_text("#!/bin/sh\n")
    bench.git("config", "core.hooksPath", "tools/hooks")
    bench.commit("hooks of the house")
    return folder


def test_a_tracked_hooks_folder_is_not_written_in_silence(bench: Repo):
    folder = tracked(bench)
    bench.git("config", "--unset", "merge.caskbook.driver")
    done = caskbook("git", "install", cwd=bench.top)
    assert done.returncode == 2 and "--tracked-hooks" in done.stderr and len(done.stderr.splitlines()) == 1
    assert bench.git("status", "--porcelain") == "" and bench.git("config", "merge.caskbook.driver", good=(1,)) == "", "nothing was done"
    assert caskbook("git", "install", "--no-tracked-hooks", cwd=bench.top).returncode == 0 and bench.git("status", "--porcelain") == ""
    assert caskbook("git", "install", "--tracked-hooks", cwd=bench.top).returncode == 0
    assert {path.name for path in folder.iterdir()} == {"commit-msg", "pre-commit", "pre-merge-commit", "pre-push"}


@pytest.mark.parametrize("answer", ["y", ""])
def test_on_a_terminal_it_is_asked(bench: Repo, answer: str):
    folder = tracked(bench)
    env = {key: value for key, value in os.environ.items() if not key.startswith("GIT_")}
    child = pexpect.spawn(str(PROGRAM), ["git", "install"], cwd=str(bench.top), env=env, timeout=20, encoding="utf-8")  # type: ignore[arg-type]
    child.expect(r"\[y/N\] ")
    child.sendline(answer)
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0
    assert (folder / "pre-commit").exists() == (answer == "y")


@pytest.mark.parametrize("hook", ["pre-commit", "pre-merge-commit", "pre-push"])
def test_a_planted_repository_stops_every_hook_of_a_bench(bench: Repo, hook: str):
    """Run as git runs it where GIT_DIR is not told: nothing can be checked, and somebody carried it in."""
    (bench.ledger / "objects").mkdir()
    (bench.ledger / "refs").mkdir()
    (bench.ledger / "HEAD").write_text("ref: refs/heads/main\n")
    env = {key: value for key, value in os.environ.items() if not key.startswith("GIT_")}
    script = bench.top / ".git" / "hooks" / hook
    done = subprocess.run([script, "origin"], cwd=bench.ledger, env=env, capture_output=True, text=True, check=False, input="")
    assert done.returncode == 1 and "bare repository" in done.stderr and "what cannot be judged is not taken" in done.stderr
    assert done.stderr.count("\n") == 1


def test_a_planted_repository_is_not_committed(bench: Repo):
    for name in ("objects", "refs"):
        (bench.ledger / name).mkdir()
        (bench.ledger / name / "keep").write_text("")
    (bench.ledger / "HEAD").write_text("ref: refs/heads/main\n")
    assert "bare-repository" in committed(bench, good=False)


@pytest.mark.parametrize(("text", "told"), [(BASE + TWICE, "filled again"), (BASE + 'events: "\n', "error")])
def test_the_first_commit_of_a_repository_is_checked(tmp_path: Path, text: str, told: str):
    fresh = Repo(tmp_path / "fresh")
    fresh.house()
    fresh.write(text)
    assert caskbook("git", "install", cwd=fresh.top).returncode == 0
    fresh.git("add", "-A")
    out = fresh.git("commit", "-m", "first", good=(1,))
    assert told in out and "nothing is committed" in out
    fresh.write(BASE)
    fresh.git("add", "-A")
    fresh.git("commit", "-q", "-m", "first")


def test_a_commit_that_changes_the_house_is_checked_by_all_casks(bench: Repo):
    house = bench.ledger / "house.yaml"
    house.write_text(house.read_text() + "test_limit_psi: eleven\n")
    out = committed(bench, good=False)
    assert "nothing is committed" in out and "no such revision" not in out


def test_a_dated_setting_that_landed_is_not_written_over(bench: Repo):
    house = bench.ledger / "house.yaml"
    house.write_text(house.read_text() + "test_limit_psi: [{since: 2020-01-01, value: 11}]\n")
    committed(bench)
    house.write_text(house.read_text().replace("value: 11", "value: 12"))
    assert "`test_limit_psi.2020-01-01` was 11 when it landed, is 12" in committed(bench, good=False)
    house.write_text(house.read_text().replace("value: 12}", "value: 11}, {since: 2024-01-01, value: 12}"))
    committed(bench)


def test_what_is_carried_in_by_the_first_commit_is_told(tmp_path: Path):
    fresh = Repo(tmp_path / "fresh")
    fresh.house()
    fresh.write(BASE)
    assert caskbook("git", "install", cwd=fresh.top).returncode == 0
    (fresh.ledger / ".pending").mkdir()
    (fresh.ledger / ".pending" / "journal.json").write_text("{}")
    fresh.git("add", "-Af")
    assert "pending-in-git" in fresh.git("commit", "-m", "first", good=(1,))


def test_a_revert_is_told_the_way_out_at_the_push_and_that_way_leads_out(bench: Repo):
    bench.write(BASE + NOTED)
    bench.commit("day")
    bench.git("push", "-q", "-u", "origin", "main")
    for _ in range(2):
        bench.git("revert", "--no-edit", "HEAD")
        out = bench.git("push", "origin", "main", good=(1,))
        assert "landed-event-removed" in out and "take it out (`git rebase -i @{upstream}`, and drop it)" in out
    bench.git("-c", "sequence.editor=sed -i s/^pick/drop/", "rebase", "-i", "@{upstream}")
    bench.write((BASE + NOTED).replace("events:", "# seen\nevents:", 1))
    bench.commit("seen")
    bench.git("push", "-q", "origin", "main")


@pytest.mark.parametrize("to", ["../server.git", "fresh"])
def test_a_push_to_a_path_or_to_a_remote_not_fetched_yet_is_checked(bench: Repo, to: str):
    bench.git("remote", "add", "fresh", "../server.git")
    bench.write(BASE.replace("psi: 11", "psi: 12"))
    bench.commit("digit")
    for name in ("main", "main:elsewhere"):
        out = bench.git("push", to, name, good=(1,))
        assert "landed-event-altered" in out and "nothing is pushed" in out and "symbolic" not in out, out
    bench.git("reset", "-q", "--hard", "HEAD~1")
    bench.write(BASE + TWICE)
    bench.commit("twice")
    out = bench.git("push", to, "main", good=(1,))
    assert "filled again" in out and "nothing is pushed" in out


def test_a_push_of_a_history_that_nobody_has_yet_is_checked(bench: Repo, tmp_path: Path):
    bench.git("remote", "remove", "origin")
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(tmp_path / "empty.git")], check=True)
    out = bench.git("push", str(tmp_path / "empty.git"), "main")
    assert "the book comes with 1 error" in out and "symbolic" not in out


def test_a_line_of_its_own_is_judged_as_the_server_does_it(bench: Repo, tmp_path: Path):
    """To a branch that is mostly the main one it is all new where others landed; to an empty repository it goes as it is."""
    bench.git("checkout", "-q", "--orphan", "apart")
    bench.commit("apart")
    out = bench.git("push", "origin", "apart:master", good=(1,))
    assert "filled again" in out and "nothing is pushed" in out
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(tmp_path / "empty.git")], check=True)
    assert "the book comes with 1 error" in bench.git("push", str(tmp_path / "empty.git"), "apart:main")
