"""`--commit`: what the run wrote is committed and nothing else; where it may not be, one sentence says why, and it stays written."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import days_ago
from history.ledgers import EXAMINED, RECEIVED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

CASKS = ["TH-004217", "TH-004218", "TH-004219", "TH-004220"]
TEST = ("enter", "test", "TH-004217", "p", "--psi", "11", "--by", "ab", "--yes")
LEFT = "written, not committed: "


@pytest.fixture
def repo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Repo:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.delenv("CASKBOOK_BY", raising=False)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", "/dev/null")
    made = ledger(tmp_path, RECEIVED, EXAMINED)
    for one in CASKS[1:]:
        made.write(cask(RECEIVED.replace("dsy3jphz", f"dsy3j{one[-3:]}"), cask_id=one), one)
    (made.top / ".gitignore").write_text(".caskbook/\n.pending/\n", encoding="utf-8")
    made.commit("all")
    return made


def held(repo: Repo, rev: str = "HEAD") -> list[str]:
    """Files that a commit changed."""
    return repo.git("show", "--format=", "--name-only", rev).split()


def message(repo: Repo) -> str:
    return repo.git("log", "-1", "--format=%B").strip()


def status(repo: Repo) -> list[str]:
    return repo.git("status", "--short").splitlines()


def file_of(cask_id: str) -> str:
    return f"records/casks/TH-004/{cask_id}.yaml"


def at_bench(repo: Repo, *lines: str, options: tuple[str, ...] = ()):
    before = sys.stdin
    sys.stdin = io.StringIO("".join(f"{line}\n" for line in lines))
    try:
        return caskbook("bench", *options, cwd=repo.top)
    finally:
        sys.stdin = before


def test_a_job_is_committed_with_its_sentence_and_what_is_staged_besides_stays_staged(repo: Repo) -> None:
    (repo.top / "letter.txt").write_text("to the mill\n", encoding="utf-8")
    repo.path("TH-004218").write_text(repo.path("TH-004218").read_text() + "# a remark\n")
    repo.git("add", "letter.txt", file_of("TH-004218"))
    repo.path("TH-004219").write_text(repo.path("TH-004219").read_text() + "# another\n")
    ran = caskbook(*TEST, "--commit", cwd=repo.top)
    assert ran.returncode == 0, ran.stderr
    assert held(repo) == [file_of("TH-004217")]
    assert message(repo) == "TH-004217 passed at 11 psi; ab\n\nTH-004217 barrel: passed at 11 psi"
    assert repo.git("log", "-1", "--format=%an <%ae>").strip() == "Tester <t@example.org>"
    assert status(repo) == ["A  letter.txt", f"M  {file_of('TH-004218')}", f" M {file_of('TH-004219')}"]
    assert f"committed {repo.head()[:10]}: TH-004217 passed at 11 psi; ab" in ran.stderr


def test_a_new_cask_is_committed_and_a_refused_one_leaves_no_trace_in_the_index(repo: Repo) -> None:
    words = ("enter", "receive", "next", "accept", "--type", "barrel", "--capacity", "200", "--prior", "bourbon 1", "--charred", "2016", "--by", "ab", "--yes")
    assert caskbook(*words, "--commit", cwd=repo.top).returncode == 0
    assert held(repo) == [file_of("TH-004221")] and status(repo) == []
    hook(repo, "echo the mill is shut >&2; exit 1")
    ran = caskbook(*words, "--commit", cwd=repo.top)
    assert ran.returncode == 1 and "the mill is shut" in ran.stderr and LEFT in ran.stderr
    assert status(repo) == [f"?? {file_of('TH-004222')}"]


def hook(repo: Repo, text: str, name: str = "pre-commit") -> None:
    path = repo.top / ".git" / "hooks" / name
    path.parent.mkdir(exist_ok=True)
    path.write_text(f"#!/bin/sh\n{text}\n", encoding="utf-8")
    path.chmod(0o755)


def test_hooks_see_just_what_will_be_committed_and_their_words_are_told(repo: Repo) -> None:
    (repo.top / "letter.txt").write_text("to the mill\n", encoding="utf-8")
    repo.git("add", "letter.txt")
    hook(repo, "git diff --cached --name-only > seen; echo it rains")
    ran = caskbook(*TEST, "--commit", cwd=repo.top)
    assert ran.returncode == 0 and "  it rains" in ran.stderr
    assert (repo.top / "seen").read_text(encoding="utf-8").split() == [file_of("TH-004217")]


def test_a_hook_that_adds_something_is_told(repo: Repo) -> None:
    hook(repo, "echo x > extra.txt; git add extra.txt")
    ran = caskbook(*TEST, "--commit", cwd=repo.top)
    assert ran.returncode == 1 and "not just what was written here: extra.txt" in ran.stderr, ran.stderr


def test_a_file_that_held_something_uncommitted_before_is_not_committed_with_it(repo: Repo) -> None:
    assert caskbook(*TEST, cwd=repo.top).returncode == 0
    ran = caskbook("enter", "note", *CASKS[:2], "--note", "wet", "--by", "ab", "--yes", "--commit", cwd=repo.top)
    assert ran.returncode == 1 and f"{LEFT}{file_of('TH-004217')}: the last commit is not what stood there before this run" in ran.stderr, ran.stderr
    assert message(repo) == "all" and len(status(repo)) == 2


def test_a_file_staged_in_another_version_is_left_as_it_is_staged(repo: Repo) -> None:
    path, was = repo.path(), repo.path().read_text(encoding="utf-8")
    path.write_text(was + "# mine\n", encoding="utf-8")
    repo.git("add", "-A")
    path.write_text(was, encoding="utf-8")
    ran = caskbook(*TEST, "--commit", cwd=repo.top)
    assert ran.returncode == 1 and f"{LEFT}{file_of('TH-004217')}: git has another version staged" in ran.stderr
    assert "# mine" in repo.git("show", f":{file_of('TH-004217')}") and message(repo) == "all"


def test_an_editor_in_between_is_told_and_not_committed(repo: Repo, monkeypatch: pytest.MonkeyPatch) -> None:
    from caskbook.cli.entering import bench_lines

    take = bench_lines.BenchLines.take

    def slow(bench: bench_lines.BenchLines, line: str) -> bool:
        if line == "end":
            repo.path().write_text(repo.path().read_text(encoding="utf-8") + "# by hand\n", encoding="utf-8")
        return take(bench, line)

    monkeypatch.setattr(bench_lines.BenchLines, "take", slow)
    ran = at_bench(repo, "shift ab", "test 4217 p --psi 11", "end")
    assert ran.returncode == 1 and "somebody else changed it meanwhile" in ran.stderr and message(repo) == "all"


def test_an_editor_between_two_lines_of_the_bench_is_told_as_well(repo: Repo, monkeypatch: pytest.MonkeyPatch) -> None:
    from caskbook.cli.entering import bench_lines

    take = bench_lines.BenchLines.take

    def slow(bench: bench_lines.BenchLines, line: str) -> bool:
        if line.startswith("note"):
            repo.path().write_text(repo.path().read_text(encoding="utf-8") + "# by hand\n", encoding="utf-8")
        return take(bench, line)

    monkeypatch.setattr(bench_lines.BenchLines, "take", slow)
    ran = at_bench(repo, "shift ab", "test 4217 p --psi 11", "note 4217 wet head", "end")
    assert ran.returncode == 1 and "somebody else changed it meanwhile" in ran.stderr and message(repo) == "all"


def meanwhile(monkeypatch: pytest.MonkeyPatch, word: str, act: Callable[[], object]) -> None:
    """Something is done elsewhere before the bench takes a line that begins so."""
    from caskbook.cli.entering import bench_lines

    take = bench_lines.BenchLines.take

    def late(bench: bench_lines.BenchLines, line: str) -> bool:
        if line.startswith(word):
            act()
        return take(bench, line)

    monkeypatch.setattr(bench_lines.BenchLines, "take", late)


def test_what_was_committed_by_hand_meanwhile_is_not_told_to_be_uncommitted(repo: Repo, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another bench wrote to the cask behind this one's line, and somebody committed all of it."""

    def goes_on() -> None:
        repo.path().write_text(repo.path().read_text(encoding="utf-8") + event("zzzzzzz1", days_ago(0).isoformat(), "note", "note: wet"), encoding="utf-8")
        repo.commit("by hand")

    meanwhile(monkeypatch, "end", goes_on)
    ran = at_bench(repo, "shift ab", "test 4217 p --psi 11", "end")
    assert ran.returncode == 0 and LEFT not in ran.stderr and "changed it" not in ran.stderr and "the last commit has it so already" in ran.stderr, ran.stderr
    assert message(repo) == "by hand" and status(repo) == []


def test_lines_behind_one_that_was_committed_by_hand_are_committed(repo: Repo, monkeypatch: pytest.MonkeyPatch) -> None:
    meanwhile(monkeypatch, "note", lambda: repo.commit("by hand"))
    ran = at_bench(repo, "shift ab", "test 4217 p --psi 11", "note 4217 wet", "end")
    assert ran.returncode == 0 and message(repo).startswith("TH-004217 note: wet; ab") and "test" not in message(repo), (ran.stderr, message(repo))
    assert status(repo) == [] and repo.git("show", "HEAD").count("+  - id: ") == 1


def test_what_is_no_more_there_is_told_as_that_and_the_rest_is_committed(repo: Repo, monkeypatch: pytest.MonkeyPatch) -> None:
    meanwhile(monkeypatch, "end", lambda: repo.git("checkout", "-q", "--", file_of("TH-004217")))
    ran = at_bench(repo, "shift ab", "test 4217 p --psi 11", "4218 p", "end")
    assert ran.returncode == 1 and LEFT not in ran.stderr and f"{file_of('TH-004217')}: what this run left there is no longer in it" in ran.stderr, ran.stderr
    assert held(repo) == [file_of("TH-004218")] and status(repo) == []


def test_the_end_of_the_bench_commits_the_day(repo: Repo) -> None:
    ran = at_bench(repo, "shift ab", "test 4217 p --psi 11", "4218 p", "4219 p", "4220 f j3", "note 4217 slip", "undo", "end")
    assert ran.returncode == 0, ran.stderr
    assert message(repo).startswith("3 casks tested tight, 1 failed; ab\n\n4 casks tested: 3 tight, 1 failed (TH-004220)"), message(repo)
    assert held(repo) == [file_of(one) for one in CASKS] and status(repo) == []


def test_a_bench_that_is_left_alone_or_took_all_back_commits_nothing(repo: Repo) -> None:
    assert "committed" not in at_bench(repo, "shift ab", "test 4217 p --psi 11", "undo", "end").stderr
    assert at_bench(repo, "shift ab", "test 4217 p --psi 11", "end", options=("--no-commit",)).returncode == 0
    assert message(repo) == "all" and len(status(repo)) == 1


def test_a_scan_a_sheet_a_void_a_move_and_a_correction_are_committed(repo: Repo, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("4217\n4218\n"))
    assert caskbook("enter", "scan", "test", "p", "--psi", "11", "--by", "ab", "--commit", cwd=repo.top).returncode == 0
    assert message(repo).startswith("2 casks tested tight; ab")
    sheet = repo.top.parent / "tuesday.csv"
    sheet.write_text("job,cask,psi,result,by\ntest,TH-004219,11,pass,kd\n", encoding="utf-8")
    assert caskbook("enter", "sheet", str(sheet), "--yes", "--commit", cwd=repo.top).returncode == 0
    assert message(repo).startswith("TH-004219 passed at 11 psi; kd")
    ids = [line.split()[-1] for line in repo.path("TH-004219").read_text(encoding="utf-8").splitlines() if "- id:" in line]
    moved = ("move-event", "TH-004219", ids[-1], "--to", "TH-004220", "--why", "misread", "--by", "ab", "--yes", "--commit")
    assert caskbook(*moved, cwd=repo.top).returncode == 0
    assert held(repo) == [file_of("TH-004219"), file_of("TH-004220")] and "moved" in message(repo) and message(repo).splitlines()[0].endswith("; ab")
    ids = [line.split()[-1] for line in repo.path("TH-004218").read_text(encoding="utf-8").splitlines() if "- id:" in line]
    assert caskbook("void", "TH-004218", ids[-1], "--why", "wrong cask", "--by", "ab", "--yes", "--commit", cwd=repo.top).returncode == 0
    assert message(repo).startswith("TH-004218 voided: test of ") and "wrong cask" in message(repo)
    correct = ("enter", "correct", "TH-004217", "--type", "hogshead", "--capacity", "250", "--why", "misread", "--by", "ab", "--yes", "--commit")
    assert caskbook(*correct, cwd=repo.top).returncode == 0
    assert "corrected" in message(repo) and status(repo) == []


def test_a_register_is_committed(repo: Repo) -> None:
    (repo.top.parent / "old.csv").write_text("Cask,Type,Litres,Make\nTH-009001,barrel,200,\nTH-009002,barrel,200,\n", encoding="utf-8")
    (repo.top.parent / "map.yaml").write_text(
        "opening: 2020-06-30\ncolumns:\n  Cask: cask\n  Type: type\n  Litres: {is: capacity, unit: L}\n  Make: {is: spirit, blank: empty}\nevery_row: {verdict: accept}\n",
        encoding="utf-8",
    )
    ran = caskbook("import", "register", str(repo.top.parent / "old.csv"), "--map", str(repo.top.parent / "map.yaml"), "--yes", "--commit", cwd=repo.top)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert message(repo) == "2 casks of the register old.csv" and len(held(repo)) == 2 and status(repo) == []


STATES = {
    "detached": (lambda repo: repo.git("checkout", "-q", "--detach"), "no branch is checked out"),
    "merge": (lambda repo: (repo.top / ".git" / "MERGE_HEAD").write_text(repo.head() + "\n", encoding="ascii"), "a merge is under way"),
    "rebase": (lambda repo: (repo.top / ".git" / "rebase-merge").mkdir(), "a rebase is under way"),
    "cherry-pick": (lambda repo: (repo.top / ".git" / "CHERRY_PICK_HEAD").write_text(repo.head() + "\n", encoding="ascii"), "a cherry-pick is under way"),
    "nameless": (lambda repo: repo.git("config", "--unset", "user.name"), "git does not know who commits"),
    "no git": (lambda repo: (repo.top / ".git").rename(repo.top / "git"), "in no git repository"),
    "ignored": (lambda repo: (repo.top / ".git" / "info" / "exclude").write_text("TH-0042*\n", encoding="ascii"), "committed"),
    "locked": (lambda repo: (repo.top / ".git" / "index.lock").touch(), "git refused the commit"),
}  # fmt: skip


@pytest.mark.parametrize("state", STATES)
def test_where_no_commit_may_be_one_sentence_says_so_and_the_job_is_written(repo: Repo, state: str) -> None:
    put, said = STATES[state]
    put(repo)
    ran = caskbook(*TEST, "--commit", cwd=repo.top)
    assert "result: pass" in repo.path().read_text(encoding="utf-8")
    if state == "ignored":  # Git knows the file: that it would ignore a new one of the name is no matter.
        assert ran.returncode == 0
        return
    assert ran.returncode == 1 and said in ran.stderr and sum(LEFT in line for line in ran.stderr.splitlines()) == 1, ran.stderr


def test_the_bench_of_a_house_without_git_says_so_and_ends_well(repo: Repo) -> None:
    (repo.top / ".git").rename(repo.top.parent / "git")
    ran = at_bench(repo, "shift ab", "test 4217 p --psi 11", "end")
    assert ran.returncode == 0 and "not committed: no git keeps this book" in ran.stderr


def test_a_trial_and_a_commit_are_not_taken_together(repo: Repo) -> None:
    ran = caskbook(*TEST, "--dry-run", "--commit", cwd=repo.top)
    assert ran.returncode == 2 and "--dry-run writes nothing" in ran.stderr
    assert "--commit is for the whole run" in at_bench(repo, "shift ab", "test 4217 p --psi 11 --commit").stderr


def test_the_first_commit_of_all_may_be_such(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", "/dev/null")
    repo = Repo(tmp_path / "new")
    repo.house()
    repo.write(cask(RECEIVED))
    ran = caskbook(*TEST, "--commit", cwd=repo.top)
    assert ran.returncode == 1 and "the last commit is not what stood there before this run" in ran.stderr  # The file was there, and in no commit.
    words = ("enter", "receive", "TH-009001", "accept", "--type", "barrel", "--capacity", "200", "--prior", "bourbon 1", "--charred", "2016", "--by", "ab")
    assert caskbook(*words, "--yes", "--commit", cwd=repo.top).returncode == 0
    assert held(repo) == ["records/casks/TH-009/TH-009001.yaml"]


def test_many_files_are_named_by_their_folders_where_nothing_else_differs_there(repo: Repo) -> None:
    from caskbook.git import commit_files

    text = commit_files._named(["a/1", "a/2", "b/1"], {"a/1", "a/2", "b/1", "b/2"}).decode()
    assert text.split("\0") == [":(top,literal)a/", ":(top,literal)b/1"]


def jobs_of(repo: Repo, cask_id: str) -> list[tuple[str, str]]:
    import yaml

    events = yaml.safe_load(repo.path(cask_id).read_text(encoding="utf-8"))["events"]
    return [(one["job"], one["by"]) for one in events if one["job"] in ("test", "void")]


def test_undo_of_a_line_that_was_committed_meanwhile_writes_a_void_and_goes_on_to_the_lines_before(repo: Repo, monkeypatch: pytest.MonkeyPatch) -> None:
    before = repo.path().read_bytes()
    meanwhile(monkeypatch, "note 4219", lambda: repo.git("commit", "-q", "-m", "by hand", "--", file_of("TH-004218")))
    ran = at_bench(repo, "shift ab", "test 4217 p --psi 11", "4218 p", "note 4219 wet", "undo", "undo", "undo", "undo", "end", options=("--no-commit",))
    assert ran.stderr.count("TAKEN BACK  ") == 2 and ran.stderr.count("VOIDED  TH-004218  test: pass, 11 psi") == 1, ran.stderr
    assert ran.returncode == 1 and ran.stderr.count("NOT WRITTEN") == 1 and "nothing to take back in this shift" in ran.stderr, (
        "the void is no line to take back"
    )
    assert repo.path().read_bytes() == before and [job for job, _ in jobs_of(repo, "TH-004218")] == ["test", "void"]
    assert "0 entries on 0 casks" in ran.stderr
    assert "nothing to take back" in at_bench(repo, "undo", options=("--no-commit",)).stderr, "nor for a bench that comes later"
    assert [job for job, _ in jobs_of(repo, "TH-004218")] == ["test", "void"]


def test_a_void_for_a_committed_line_is_committed_at_the_end_and_needs_no_shift(repo: Repo, monkeypatch: pytest.MonkeyPatch) -> None:
    meanwhile(monkeypatch, "undo", lambda: repo.commit("by hand"))
    ran = at_bench(repo, "test 4217 p --psi 11 --by ab", "undo", "end")
    assert ran.returncode == 0 and "VOIDED  TH-004217" in ran.stderr, ran.stderr
    assert jobs_of(repo, "TH-004217") == [("test", "ab"), ("void", "ab")] and status(repo) == []


@pytest.mark.parametrize("how", ["voided", "gone"])
def test_undo_of_a_line_that_is_no_more_in_force_says_so_once_and_goes_on(repo: Repo, monkeypatch: pytest.MonkeyPatch, how: str) -> None:
    def out() -> None:
        if how == "gone":
            repo.git("checkout", "-q", "--", file_of("TH-004218"))
        else:
            ident = repo.path("TH-004218").read_text(encoding="utf-8").rsplit("- id: ", 1)[1].split()[0]
            text = event("zzzzzzz1", days_ago(0).isoformat(), "void", f"of: {ident}", "why: misread")
            repo.path("TH-004218").write_text(repo.path("TH-004218").read_text(encoding="utf-8") + text, encoding="utf-8")

    before = repo.path().read_bytes()
    meanwhile(monkeypatch, "help", out)
    ran = at_bench(repo, "shift ab", "test 4217 p --psi 11", "4218 p", "help", "undo", "undo", "undo", "end", options=("--no-commit",))
    assert "undo again for the line before" in ran.stderr and ran.stderr.count("TAKEN BACK  TH-004217") == 1, ran.stderr
    assert repo.path().read_bytes() == before
