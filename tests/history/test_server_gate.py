"""The server's gate with real pushes: a bare repository whose hook is what `caskbook git install --server` wrote."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.cli.hooks.gate import Protection, Update, outcome_of
from caskbook.git import open_git
from history.ledgers import EXAMINED, FILLED, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

ROOT = Path(__file__).parents[2]
PROGRAM = Path(sys.executable).with_name("caskbook")
BASE = cask(RECEIVED, EXAMINED, TESTED)
NOTED = event("gqw00001", "2023-06-01", "note", "note: seen")
TWICE = FILLED + event("gqx00001", "2023-07-01", "fill", "spirit: malt", "litres: 198.4", "abv: 63.5", "at_20: true")


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A server with the gate, and a bench that has pushed its first day's work there."""
    place = tmp_path_factory.mktemp("template")
    bench = ledger(place, name="bench")
    bench.write(cask(RECEIVED, EXAMINED, cask_id="TH-004218"), "TH-004218")
    bench.commit("second")
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(place / "house book.git")], check=True)
    assert caskbook("git", "install", "--server", str(place / "house book.git")).returncode == 0
    bench.git("remote", "add", "origin", "../house book.git")
    bench.git("push", "-q", "origin", "main")
    return place


@pytest.fixture
def bench(template: Path, tmp_path: Path) -> Iterator[Repo]:
    shutil.copytree(template, tmp_path / "both", symlinks=True)
    yield Repo(tmp_path / "both" / "bench")
    server = tmp_path / "both" / "house book.git"
    assert not [path for path in server.rglob("*") if path.name in ("index", ".caskbook", ".pending", "caskbook-merge")]


def server(bench: Repo) -> Repo:
    there = Repo.__new__(Repo)
    there.top = bench.top.parent / "house book.git"
    return there


def judged(bench: Repo, ref: str = "main", *, strict: bool = False, old: str | None = "origin/main") -> str:
    """What the gate would say to a push of HEAD, in this process; empty where it would be taken in silence, else with its verdict."""
    git = open_git(bench.top)
    landed = git.resolve("origin/main")
    update = Update(git.resolve(old) if old else None, git.resolve("HEAD"), f"refs/heads/{ref}")
    found = outcome_of(git, update, Protection(frozenset({"main"}), {"main": landed}), strict=strict)
    return "\n".join([*found.lines, *(["REFUSED"] if found.refused else [])])


def tip(bench: Repo, ref: str = "main") -> str:
    return server(bench).git("rev-parse", ref).strip()


def test_a_days_work_is_taken_and_an_altered_digit_is_not(bench: Repo):
    bench.write(BASE + NOTED)
    day = bench.commit("day")
    bench.git("push", "-q", "origin", "main")
    assert tip(bench) == day
    bench.write((BASE + NOTED).replace("psi: 11", "psi: 12"))
    bench.commit("digit")
    out = bench.git("push", "origin", "main", good=(1,))
    assert "remote: records/casks/TH-004/TH-004217.yaml" in out and "landed-event-altered" in out and "`psi` was 11 when it landed, is 12" in out
    assert "nothing of this push is taken" in out and tip(bench) == day


def test_a_cask_and_the_house_are_not_deleted(bench: Repo):
    bench.path("TH-004218").unlink()
    bench.commit("gone")
    assert "landed-file-removed" in bench.git("push", "origin", "main", good=(1,))
    assert "landed-file-removed" in judged(bench), "as the server says"
    bench.git("reset", "-q", "--hard", "origin/main")
    (bench.ledger / "house.yaml").unlink()
    bench.commit("no house")
    assert "the book with it" in judged(bench) and "REFUSED" in judged(bench)


def test_a_landed_head_is_not_changed_but_what_was_unknown_may_be_said(bench: Repo):
    bench.write(BASE.replace("charred: 2011", "charred: 2011\nwood: sessile-oak"))
    day = bench.commit("learnt")
    bench.git("push", "-q", "origin", "main")
    assert tip(bench) == day
    bench.write(BASE.replace("charred: 2011", "charred: 2012\nwood: sessile-oak"))
    bench.commit("head")
    out = bench.git("push", "origin", "main", good=(1,))
    assert "error landed-head-changed" in out and "`charred` was 2011 when it landed, is 2012" in out and tip(bench) == day


@pytest.mark.parametrize(
    ("add", "told"),
    [
        ("cp records/house.yaml house.yaml", "house.yaml:1:1: error second-house"),
        ("mkdir records/.pending && echo x > records/.pending/journal.json", "error pending-in-git"),
        ("mkdir records/.CaskBook && echo x > records/.CaskBook/index.sqlite", "error index-in-git"),
        ("ln -s /tmp records/.caskbook", "error index-in-git"),
        ("mkdir -p records/objects records/refs && echo x | tee records/HEAD records/objects/x records/refs/x", "records/HEAD:1:1: error bare-repository"),
        ("mkdir -p objects refs && echo x | tee HEAD objects/x refs/x", "HEAD:1:1: error bare-repository"),
        ("ln -s TH-004217.yaml records/casks/TH-004/TH-004219.yaml", "error symbolic-link"),
        ("git update-index --add --cacheinfo 160000,$(git rev-parse HEAD),records/casks/TH-011", "error submodule-in-casks"),
    ],
)
def test_what_is_carried_in_beside_the_casks_is_refused(bench: Repo, add: str, told: str):
    subprocess.run(["sh", "-c", add], cwd=bench.top, check=True, stdout=subprocess.DEVNULL)
    subprocess.run(
        ["sh", "-c", "git add -f . ':!records/casks/TH-011'; tree=$(git write-tree); git update-ref HEAD $(git commit-tree -p HEAD -m carried $tree)"],
        cwd=bench.top,
        check=True,
    )
    out = judged(bench)
    assert told in out and out.endswith("REFUSED")
    assert out.count(" error ") == 1, "told once"
    out = bench.git("push", "origin", "main", good=(1,)) if "second-house" in told else told
    assert told in out


def test_the_protected_branch_is_neither_forced_nor_deleted(bench: Repo):
    bench.write(BASE + NOTED)
    before = bench.commit("day")
    bench.git("push", "-q", "origin", "main")
    bench.git("reset", "-q", "--hard", "HEAD~1")
    bench.write(BASE + NOTED.replace("seen", "not seen"))
    bench.commit("another day")
    assert "take back what landed" in bench.git("push", "--force", "origin", "main", good=(1,))
    server(bench).git("config", "receive.denyDeleteCurrent", "ignore")
    assert "it is not deleted" in bench.git("push", "origin", ":main", good=(1,))
    assert tip(bench) == before


def test_other_branches_and_tags_go_freely_and_carry_no_altered_history(bench: Repo):
    bench.git("checkout", "-q", "-b", "side")
    bench.write(BASE + TWICE)
    bench.commit("not well, but altering nothing")
    bench.git("tag", "-a", "-m", "a day", "day")
    out = bench.git("push", "origin", "side", "day")
    assert "filled again" in out and tip(bench, "side") == bench.git("rev-parse", "HEAD").strip()
    old = bench.git("rev-parse", "HEAD").strip()
    bench.git("commit", "-q", "--amend", "-m", "again", "--no-verify")
    assert "REFUSED" not in judged(bench, "side", old=old), "forced, for it is nobody else's"
    bench.write(BASE.replace("psi: 11", "psi: 12"))
    bench.commit("digit")
    assert "landed-event-altered" in judged(bench, "other", old=None)
    bench.git("push", "-q", "origin", ":side", ":day")


def test_one_bad_name_of_many_keeps_the_whole_push_out(bench: Repo):
    before = tip(bench)
    bench.git("branch", "fine")
    bench.write(BASE.replace("psi: 11", "psi: 12"))
    bench.commit("digit")
    out = bench.git("push", "origin", "main", "fine", "HEAD~1:refs/tags/t", good=(1,))
    assert "landed-event-altered" in out and tip(bench) == before
    assert "fine" not in server(bench).git("for-each-ref")


def test_new_errors_are_refused_and_old_ones_are_not(bench: Repo):
    bench.write(BASE + TWICE)
    bench.commit("twice")
    assert "filled again" in judged(bench) and "REFUSED" in judged(bench)
    bench.git("update-ref", "refs/remotes/origin/main", "HEAD")
    bench.write(BASE.replace("charred: 2011", "charred: 2011\nowner: house") + NOTED.replace("2023-06-01", "2015-03-25").replace("gqw", "dt9") + TWICE)
    bench.commit("above it")
    assert judged(bench) == ""
    bench.write(bench.path().read_text() + TWICE[len(FILLED) :].replace("gqx00001", "gqy00001").replace("2023-07", "2023-08"))
    bench.commit("and once more")
    assert "filled again" in judged(bench) and "REFUSED" in judged(bench)


def test_a_first_push_brings_the_book_as_it_is(bench: Repo, tmp_path: Path):
    empty = tmp_path / "both" / "empty.git"
    subprocess.run(["git", "init", "-q", "--bare", "-b", "trunk", str(empty)], check=True)
    assert caskbook("git", "install", "--server", cwd=empty).returncode == 0
    bench.write(BASE + TWICE)
    bench.commit("twice")
    out = bench.git("push", str(empty), "main")
    assert "the book comes with 1 error" in out
    bench.write((BASE + TWICE).replace("psi: 11", "psi: 12"))
    bench.commit("digit")
    assert "landed-event-altered" in bench.git("push", str(empty), "main", good=(1,)), "its HEAD names a branch that is not there: all are protected"


def test_a_line_of_its_own_is_no_way_to_bring_new_errors(bench: Repo):
    """A protected branch that is not there yet begins with an error as little as one that is: else a merge would take it to main as landed."""
    bench.git("checkout", "-q", "--orphan", "apart")
    bench.write(BASE + TWICE)
    bench.commit("twice")
    out = bench.git("push", "origin", "apart:master", good=(1,))
    assert "filled again" in out and "master shares no history with what landed here, so all of it is new: 1 finding in the way" in out
    bench.write(BASE + FILLED)
    bench.git("commit", "-qa", "--no-verify", "--amend", "-m", "once")
    bench.git("push", "origin", "apart:master")


def test_a_line_of_its_own_brings_no_altered_history_either(bench: Repo):
    bench.git("checkout", "-q", "--orphan", "apart")
    bench.commit("anew")
    bench.write(BASE.replace("psi: 11", "psi: 12"))
    bench.commit("digit")
    assert "landed-event-altered" in bench.git("push", "origin", "apart:master", good=(1,))


@pytest.mark.parametrize("head", ["main", "master"])
def test_a_line_of_its_own_leaves_the_book_as_it_landed_elsewhere(bench: Repo, head: str):
    """HEAD of a bare repository may name another branch than the one the book is on; what is pushed there is what the next clone shows."""
    server(bench).git("symbolic-ref", "HEAD", f"refs/heads/{head}")
    bench.git("checkout", "-q", "--orphan", "apart")
    bench.write(BASE.replace("psi: 11", "psi: 12"))
    bench.git("rm", "-q", "-f", "--cached", "records/casks/TH-004/TH-004218.yaml")
    bench.path("TH-004218").unlink()
    bench.git("commit", "-qa", "--no-verify", "-m", "of its own")
    out = bench.git("push", "origin", "apart:master", good=(1,))
    assert "landed-event-altered" in out and "landed-file-removed" in out and "TH-004218" in out and "nothing of this push is taken" in out


def test_where_every_branch_is_protected_a_new_one_is(bench: Repo):
    """HEAD names a branch that is not there: an error on a branch beside what landed would land with it, and no merge would tell it again."""
    server(bench).git("symbolic-ref", "HEAD", "refs/heads/trunk")
    bench.write(BASE + TWICE)
    bench.commit("twice")
    assert "filled again" in bench.git("push", "origin", "HEAD:side", good=(1,))
    bench.git("checkout", "-q", "--orphan", "apart")
    bench.commit("the same, of its own")
    assert "filled again" in bench.git("push", "origin", "HEAD:apart", good=(1,))


def test_two_benches_that_date_a_setting_are_told_the_way_out(bench: Repo, tmp_path: Path):
    """The one whose row lies before the row that landed first cannot push; what it is told to do lets it through."""
    before = (bench.ledger / "house.yaml").read_text()
    rows = [f"  - {{since: {day}, value: {value}}}\n" for day, value in (("2000-01-01", 11), ("2026-11-15", 9), ("2026-12-01", 10))]
    bench.house(before + "test_limit_psi:\n" + rows[0])
    bench.commit("dated")
    bench.git("push", "-q", "origin", "main")
    other = Repo(tmp_path / "other")
    shutil.rmtree(other.top)
    bench.git("clone", "-q", str(bench.top.parent / "house book.git"), str(other.top))
    other.identify()
    other.house(before + "test_limit_psi:\n" + rows[0] + rows[2])
    other.commit("later")
    other.git("push", "-q", "origin", "main")
    bench.house(before + "test_limit_psi:\n" + rows[0] + rows[1])
    bench.commit("earlier")
    bench.git("fetch", "-q")
    bench.git("merge", "-q", "-m", "both", "origin/main", good=(0, 1))
    bench.house(before + "test_limit_psi:\n" + "".join(rows))
    bench.commit("both")
    out = bench.git("push", "origin", "main", good=(1,))
    assert "a row for 2026-12-01 landed: give yours a later day" in out.replace("\nremote: ", "") and "git reset --soft" in out, out
    bench.git("reset", "-q", "--soft", "origin/main")
    bench.house(before + "test_limit_psi:\n" + rows[0] + rows[2] + rows[1].replace("2026-11-15", "2026-12-02"))
    bench.commit("behind it")
    bench.git("push", "-q", "origin", "main")


def test_a_push_without_a_book_is_none_of_its_business(bench: Repo):
    (bench.top / "other.txt").write_text("x")
    bench.commit("other")
    assert "caskbook" not in bench.git("push", "origin", "main")


def test_a_second_ledger_beside_the_first(bench: Repo):
    second = Repo(bench.top, "other")
    second.house()
    second.write(cask(RECEIVED, cask_id="TX-000001"), "TX-000001")
    bench.commit("a second book")
    assert judged(bench) == ""
    bench.git("update-ref", "refs/remotes/origin/main", "HEAD")
    second.write(cask(RECEIVED, cask_id="TX-000001").replace("verdict: accept", "verdict: hold"), "TX-000001")
    bench.commit("altered")
    out = judged(bench)
    assert out.startswith("other/casks/TX-000/TX-000001.yaml") and "landed-event-altered" in out and "REFUSED" in out


def test_without_its_program_the_gate_is_shut(bench: Repo):
    hook = bench.top.parent / "house book.git" / "hooks" / "pre-receive"
    good = hook.read_text()
    for python in ("/no/such/python", sys.executable):
        text = "".join(f"python={python}\n" if line.startswith("python=") else line for line in good.splitlines(keepends=True))
        hook.write_text(text.replace('find_spec("caskbook")', 'find_spec("no_caskbook")'))
        bench.write(BASE + NOTED)
        bench.commit("day")
        out = bench.git("push", "origin", "main", good=(1,))
        said = [line for line in out.splitlines() if line.startswith("remote: ") and line.strip() != "remote:"]
        assert len(said) == 1 and "not where git expects it" in said[0] and "nothing of this push is taken" in said[0]


def test_a_hook_of_others_runs_first_and_reads_the_same_lines(bench: Repo):
    bare = bench.top.parent / "house book.git"
    hook = bare / "hooks" / "pre-receive"
    ours = hook.read_text()
    assert caskbook("git", "uninstall", "--server", str(bare)).returncode == 0 and not hook.exists()
    hook.write_text('#!/bin/sh\nwhile read old new ref; do echo "$ref" >> seen; done\n')
    hook.chmod(0o755)
    for _ in range(2):
        assert caskbook("git", "install", "--server", str(bare)).returncode == 0
        assert hook.read_text() == ours
    bench.write(BASE.replace("psi: 11", "psi: 12"))
    bench.commit("digit")
    assert "landed-event-altered" in bench.git("push", "origin", "main", good=(1,))
    assert (bare / "seen").read_text() == "refs/heads/main\n"
    assert caskbook("git", "uninstall", "--server", str(bare)).returncode == 0 and "while read" in hook.read_text()


def test_a_folder_of_hooks_set_for_everybody_later_does_not_switch_the_gate_off(bench: Repo, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    bare, other = bench.top.parent / "house book.git", tmp_path / "elsewhere"
    assert server(bench).git("config", "--local", "core.hooksPath").strip() == "hooks"
    settings = tmp_path / "settings"
    settings.write_text(f"[core]\n\thooksPath = {other}\n")
    bench.write(BASE.replace("psi: 11", "psi: 12"))
    bench.commit("digit")
    assert "landed-event-altered" in bench.git("push", "origin", "main", good=(1,), GIT_CONFIG_GLOBAL=str(settings))
    assert caskbook("git", "uninstall", "--server", str(bare)).returncode == 0
    server(bench).git("config", "--local", "core.hooksPath", good=(1,))
    monkeypatch.setenv("HOME", str(tmp_path))
    settings.rename(tmp_path / ".gitconfig")
    for scope in ("global", "local"):
        done = caskbook("git", "install", "--server", str(bare))
        assert done.returncode == 2 and f"core.hooksPath is {other}, set in" in done.stderr and "no gate stands" in done.stderr, done.stderr
        assert not (bare / "hooks" / "pre-receive").exists() and not other.exists()
        if scope == "global":
            (tmp_path / ".gitconfig").unlink()
            server(bench).git("config", "--local", "core.hooksPath", str(other))
    assert caskbook("git", "uninstall", "--server", str(bare)).returncode == 0
    server(bench).git("config", "--local", "core.hooksPath", "own")
    assert caskbook("git", "install", "--server", str(bare)).returncode == 0 and (bare / "own" / "pre-receive").exists()
    assert "landed-event-altered" in bench.git("push", "origin", "main", good=(1,))
    assert caskbook("git", "uninstall", "--server", str(bare)).returncode == 0
    assert server(bench).git("config", "--local", "core.hooksPath").strip() == "own" and not (bare / "own" / "pre-receive").exists()


def test_a_gate_that_hooks_of_others_switched_off_can_be_taken_away(bench: Repo, tmp_path: Path):
    bare = bench.top.parent / "house book.git"
    server(bench).git("config", "--local", "core.hooksPath", str(tmp_path / "elsewhere"))
    assert caskbook("git", "uninstall", "--server", str(bare)).returncode == 0 and not (bare / "hooks" / "pre-receive").exists()
    assert server(bench).git("config", "--local", "core.hooksPath").strip() == str(tmp_path / "elsewhere")


def test_what_the_gate_is_not_put_into(bench: Repo, tmp_path: Path):
    for place, why in ((bench.top, "it has a work tree"), (tmp_path, "no bare repository"), (bench.top / ".git", "it has a work tree")):
        done = caskbook("git", "install", "--server", str(place))
        assert done.returncode == 2 and why in done.stderr and len(done.stderr.splitlines()) == 1
    assert caskbook("git", "install", "--strict", cwd=bench.top).returncode == 2


def test_strict_refuses_a_new_warning(bench: Repo):
    bare = bench.top.parent / "house book.git"
    bench.write(BASE + NOTED.replace("by: ab", "by: zz"))
    bench.commit("stranger")
    assert caskbook("git", "install", "--server", "--strict", str(bare)).returncode == 0
    assert "unknown-crew" in bench.git("push", "origin", "main", good=(1,))
    out = judged(bench)
    assert "unknown-crew" in out and "REFUSED" not in out
    assert caskbook("git", "uninstall", "--server", str(bare)).returncode == 0
    assert "caskbook" not in (bare / "config").read_text()


def test_check_in_a_hook_of_ones_own(bench: Repo):
    """`check --since OLD --at NEW` judges only what the push brings, its objects still apart from the repository's."""
    hook = bench.top.parent / "house book.git" / "hooks" / "pre-receive"
    hook.write_text(f'#!/bin/sh\nread old new ref\nexec "{PROGRAM}" check --format concise --since $old --at $new --records records 2>&1\n')
    bench.write(BASE + NOTED)
    bench.commit("day")
    bench.git("push", "-q", "origin", "main")
    bench.write((BASE + NOTED).replace("psi: 11", "psi: 12"))
    bench.commit("digit")
    out = bench.git("push", "origin", "main", good=(1,))
    assert "remote: " in out and "landed-event-altered" in out


def test_check_by_hand_in_a_bare_repository(bench: Repo):
    bare = bench.top.parent / "house book.git"
    assert caskbook("check", "--at", "main", cwd=bare).stdout == "2 casks: nothing wrong\n"
    for words, said in (
        ((), "--at"),
        (("--at", "main", "--records", "/records"), "names a folder of the revision"),
        (("--at", "main", "--records", "nowhere"), "nowhere/house.yaml"),
    ):
        done = caskbook("check", *words, cwd=bare)
        assert done.returncode == 2 and said in done.stderr and len(done.stderr.splitlines()) == 1


def test_two_books_of_a_revision_in_a_bare_repository_are_told_apart(bench: Repo):
    shutil.copy(bench.ledger / "house.yaml", bench.top / "house.yaml")
    bench.commit("two")
    bare = bench.top.parent / "two.git"
    bench.git("clone", "-q", "--bare", ".", str(bare))
    done = caskbook("check", "--at", "main", cwd=bare)
    assert done.returncode == 2 and "two ledgers, house.yaml and records/house.yaml" in done.stderr and len(done.stderr.splitlines()) == 1
    assert "second-house" in caskbook("check", "--at", "main", "--records", "records", cwd=bare).stdout


def test_a_repository_put_beside_the_books_files_is_not_believed(bench: Repo):
    subprocess.run(["git", "clone", "-q", "--bare", str(bench.top), str(bench.top / "records" / "planted")], check=True, capture_output=True)
    done = caskbook("check", "--at", "HEAD", cwd=bench.top / "records" / "planted")
    assert not done.stdout.startswith("2 casks") or "planted" not in done.stdout


def test_the_line_of_the_readme_is_green_on_the_shipped_ledger(tmp_path: Path):
    line = next(line for line in (ROOT / "README.md").read_text().splitlines() if line.startswith("caskbook check --strict --new-since"))
    book = Repo(tmp_path / "book")
    shutil.copytree(ROOT / "records", book.ledger, ignore=shutil.ignore_patterns(".caskbook"))
    book.commit("as shipped")
    book.git("branch", "origin/main")
    more = event("gqw00009", "2026-11-24", "note", "note: seen")
    path = book.path("TH-003380")
    path.write_text(path.read_text() + more)
    book.commit("day")
    env = {key: value for key, value in os.environ.items() if not key.startswith("GIT_")} | {"PATH": f"{PROGRAM.parent}:{os.environ['PATH']}"}
    done = subprocess.run(line, shell=True, cwd=book.top, env=env, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, ""), done.stdout
    path.write_text(path.read_text().replace("psi: 12", "psi: 13"))
    book.commit("digit")
    assert subprocess.run(line, shell=True, cwd=book.top, env=env, capture_output=True, text=True, check=False).returncode == 1


def test_a_landed_line_that_cannot_be_read_may_be_mended(bench: Repo):
    """A book that came with a torn line, from before the gate: it is written well and pushed, and nothing else is altered beside it."""
    bench.write((BASE + NOTED).replace("    note: seen", '   note: "seen'))
    torn = bench.commit("torn")
    server(bench).git("fetch", "-q", str(bench.top), "+main:main")
    bench.git("fetch", "-q", "origin")
    bench.write((BASE + NOTED).replace("psi: 11", "psi: 12"))
    bench.commit("mended, and a digit")
    assert "landed-event-altered" in bench.git("push", "origin", "main", good=(1,)) and tip(bench) == torn
    bench.git("reset", "-q", "--hard", torn)
    bench.write(BASE + NOTED + event("gqy00001", "2023-07-01", "note", "note: later"))
    day = bench.commit("mended, and a day's work")
    bench.git("push", "-q", "origin", "main")
    assert tip(bench) == day
    said = caskbook("review", "HEAD~1..", cwd=bench.top)
    assert 'could not be read when it landed: "   note: "seen" reads "    note: seen" now' in said.stdout, said.stdout


@pytest.mark.parametrize("ref", ["refs/heads/trunk", "refs/old/main", "refs/heads/older"])
def test_another_name_of_the_main_branch_is_the_main_branch(bench: Repo, ref: str):
    for alias, to in (("refs/heads/trunk", "main"), ("refs/old/main", "main"), ("refs/heads/older", "trunk")):
        server(bench).git("symbolic-ref", alias, f"refs/heads/{to}")
    bench.write(BASE + NOTED)
    day = bench.commit("day")
    bench.git("push", "-q", "origin", f"HEAD:{ref}")
    assert tip(bench) == day
    assert "main is protected: this push would take back what landed" in bench.git("push", "-f", "origin", f"HEAD~1:{ref}", good=(1,))
    assert "main is protected: it is not deleted" in bench.git("push", "origin", f":{ref}", good=(1,))
    bench.write(BASE + NOTED + TWICE)
    bench.commit("filled twice")
    out = bench.git("push", "--no-verify", "origin", f"HEAD:{ref}", good=(1,))
    assert "nothing of this push is taken" in out and tip(bench) == day


def test_what_the_main_branch_is_another_name_of_is_protected(bench: Repo):
    server(bench).git("branch", "-m", "main", "trunk")
    server(bench).git("symbolic-ref", "refs/heads/main", "refs/heads/trunk")
    server(bench).git("symbolic-ref", "HEAD", "refs/heads/main")
    bench.write(BASE + NOTED)
    day = bench.commit("day")
    bench.git("push", "-q", "origin", "main")
    assert "trunk is protected" in bench.git("push", "-f", "origin", "HEAD~1:trunk", good=(1,)) and tip(bench, "trunk") == day


def test_a_tag_of_the_main_branchs_name_protects_no_other_branch(bench: Repo):
    server(bench).git("branch", "-m", "main", "trunk")
    server(bench).git("symbolic-ref", "HEAD", "refs/heads/trunk")
    bench.git("tag", "trunk")
    bench.git("push", "-q", "origin", "refs/tags/trunk")
    bench.write(BASE + NOTED)
    bench.commit("day")
    bench.git("push", "-q", "--no-verify", "origin", "HEAD:refs/heads/side")
    bench.git("push", "-q", "-f", "--no-verify", "origin", "HEAD~1:refs/heads/side")
    assert "trunk is protected" in bench.git("push", "-f", "origin", "HEAD:refs/heads/main", "HEAD~1:refs/heads/side", ":refs/heads/trunk", good=(1,))
