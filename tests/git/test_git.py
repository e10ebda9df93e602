"""Git called from one room: what it answers, in odd folders and odd repositories, and that nothing of the caller's leaks in."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest
from commands import caskbook
from history.ledgers import EXAMINED, RECEIVED, TESTED, Repo, cask, event, ledger

from caskbook.core.finding import CaskbookError
from caskbook.git import Git, clean_environment, names_in_index, open_git, plain_index, without_git
from caskbook.ledger.files import Ledger
from caskbook.ledger.revisions import between, file_store_at
from caskbook.ledger.tracked import casks_listed, tracked_here, tracked_in

BASE = cask(RECEIVED, EXAMINED, TESTED)
NOTED = event("gqw00001", "2023-06-01", "note", "note: seen")


def one_line(call: object) -> str:
    with pytest.raises(CaskbookError) as caught:
        call()  # type: ignore[operator]
    text = str(caught.value)
    assert "\n" not in text
    return text


def test_nothing_of_git_leaks_in_and_nobody_is_asked(monkeypatch: pytest.MonkeyPatch):
    for key in ("GIT_DIR", "GIT_WORK_TREE", "GIT_CONFIG_PARAMETERS", "GIT_EXTERNAL_DIFF", "GIT_PAGER"):
        monkeypatch.setenv(key, "/nowhere")
    monkeypatch.setenv("GIT_INDEX_FILE", "other-index")
    env = clean_environment()
    assert not {"GIT_DIR", "GIT_WORK_TREE", "GIT_CONFIG_PARAMETERS", "GIT_EXTERNAL_DIFF"} & env.keys()
    assert env["GIT_PAGER"] == "cat" and env["GIT_TERMINAL_PROMPT"] == "0" and env["LC_ALL"] == "C"
    assert Path(env["GIT_INDEX_FILE"]).is_absolute()


def test_no_git_no_repository_no_revision_each_in_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    assert "in no git repository" in one_line(lambda: open_git(tmp_path))
    repo = Repo(tmp_path / "r")
    git = open_git(repo.top)
    assert "nothing has been committed" in one_line(lambda: git.resolve("HEAD"))
    repo.house()
    repo.commit()
    assert "no such revision" in one_line(lambda: git.resolve("no-such-tag"))
    assert "is no revision" in one_line(lambda: git.resolve("--output=x"))
    monkeypatch.setenv("PATH", str(tmp_path))
    assert "git is not installed" in one_line(lambda: open_git(repo.top))


def test_a_shallow_clone_says_what_it_lacks(tmp_path: Path):
    repo = ledger(tmp_path)
    first = repo.git("rev-parse", "HEAD").strip()
    repo.write(BASE + NOTED)
    repo.commit()
    subprocess.run(["git", "clone", "-q", "--depth", "1", f"file://{repo.top}", str(tmp_path / "shallow")], check=True, capture_output=True)
    git = open_git(tmp_path / "shallow")
    assert git.shallow and "not in this shallow clone" in one_line(lambda: git.resolve(first))
    assert "its parent is not in this shallow clone" in one_line(lambda: git.parents(git.resolve("HEAD")))


def test_a_bare_repository_and_a_detached_head(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    repo = ledger(tmp_path)
    subprocess.run(["git", "clone", "-q", "--bare", str(repo.top), str(tmp_path / "bare.git")], check=True, capture_output=True)
    for named in (False, True):
        if named:
            monkeypatch.setenv("GIT_DIR", str(tmp_path / "bare.git"))  # as git itself does in a hook
        bare = open_git(tmp_path / "bare.git")
        assert bare.bare and bare.prefix == "" and len(bare.tree("HEAD", "records/casks")) == 1
    monkeypatch.delenv("GIT_DIR")
    for under in ("", "records"):  # files of a book lie in it: somebody put it there, and it is not their history
        house = tmp_path / "bare.git" / under / "house.yaml"
        house.parent.mkdir(exist_ok=True)
        house.write_text("timezone: Europe/London\n", encoding="utf-8")
        assert "bare" in one_line(lambda folder=house.parent: open_git(folder))
    repo.git("checkout", "-q", "--detach")
    git = open_git(repo.ledger)
    assert git.branch() is None and not git.bare and git.prefix == "records/" and git.top == repo.top


@pytest.mark.thorough
def test_a_name_that_means_two_commits_is_refused_whoever_brought_it(tmp_path: Path) -> None:
    """A tag of the name of a branch, of a remote's branch, or of a commit's beginning comes along with any clone, and git takes it first."""
    repo = ledger(tmp_path)
    first = repo.git("rev-parse", "HEAD").strip()
    second = _second(repo)
    branch = repo.git("symbolic-ref", "--short", "HEAD").strip()
    repo.git("update-ref", "refs/remotes/origin/main", second)
    for name in (branch, "origin/main", second[:9]):
        assert caskbook("review", f"{name}~0..HEAD", cwd=repo.top).returncode == 0
        repo.git("tag", name, first)
        for words in (
            ("check", "--since", name),
            ("check", "--new-since", name),
            ("review", f"{name}..HEAD"),
            ("list", "--at", name),
            ("review", f"{name}^0..HEAD"),
        ):
            done = caskbook(*words, cwd=repo.top)
            assert done.returncode == 2 and f"refs/tags/{name}" in done.stderr and "which differ: write the one that is meant in full" in done.stderr, (
                words,
                done,
            )
        assert caskbook("review", f"refs/tags/{name}..HEAD", cwd=repo.top).returncode == 0
        repo.git("tag", "-f", name, second)
        assert caskbook("check", "--since", name, cwd=repo.top).returncode == 0, "both mean the same"
        repo.git("tag", "-d", name)


def _second(repo: Repo) -> str:
    repo.write(cask(RECEIVED, EXAMINED, TESTED, event("dt3q62s2", "2015-03-21", "note", "note: seen")))
    return repo.commit("second")


def test_trees_blobs_index_and_work_tree(tmp_path: Path):
    repo = ledger(tmp_path)
    repo.git("tag", "v1")
    odd = repo.top / "odd näme\twith\nall.txt"
    odd.write_text("x", encoding="utf-8")
    repo.write(BASE + NOTED)
    repo.commit("more\n\nbody")
    git = open_git(repo.ledger)
    assert {entry.path for entry in git.tree("HEAD")} == {"odd näme\twith\nall.txt", "records/house.yaml", "records/casks/TH-004/TH-004217.yaml"}
    (entry,) = git.tree("v1", "records/casks/")
    assert git.blobs([entry.oid, entry.oid]) == {entry.oid: BASE.encode()}
    assert git.entry("v1", "records/none.yaml") is None
    assert "is not here" in one_line(lambda: git.blobs(["1" * 40]))
    repo.write(BASE)
    assert git.touched("records/") == ["records/casks/TH-004/TH-004217.yaml"]
    repo.write(BASE, "TH-004218")
    assert git.untracked("records/") == ["records/casks/TH-004/TH-004218.yaml"]
    assert [entry.stage for entry in git.index("records/casks/")] == [0]
    assert [commit.subject for commit in git.log(git.resolve("v1"), "HEAD", "records/")] == ["more"]
    assert git.merge_base("HEAD", "v1") == git.resolve("v1")


def test_renames_by_git_and_their_old_names(tmp_path: Path):
    repo = ledger(tmp_path)
    repo.git("mv", "records/house.yaml", "records/house2.yaml")
    repo.commit()
    (change,) = open_git(repo.top).changes("HEAD^", "HEAD")
    assert (change.status, change.old, change.path) == ("R", "records/house.yaml", "records/house2.yaml")


ODD = (":x", ":(top)x", ":!x", ":", "a:b", "*x", "x[1]", "-x", "!x", "^x", "@{1}", " x ", 'q"x', "x\\y", "é", "x\ny", "x\n", "a\tb/%s")


@pytest.mark.thorough
@pytest.mark.parametrize("under", ["", "records", "a/b c/records", *ODD])
def test_the_book_as_it_stood_in_a_revision(tmp_path: Path, under: str):
    repo = ledger(tmp_path, under=under)
    repo.write(BASE + NOTED)
    repo.write(cask(RECEIVED, cask_id="TH-004218"), "TH-004218")
    repo.house("timezone: UTC\n")
    repo.commit()
    then = Ledger(file_store_at(repo.ledger, "HEAD^"))
    assert then.ids() == ["TH-004217"] and then.house.timezone == "Europe/London"
    assert then.get("TH-004217").data == BASE.encode() and then.find("TH-004218") is None
    assert then.get("TH-004217").path == f"HEAD^:{under + '/' if under else ''}casks/TH-004/TH-004217.yaml"
    now = Ledger(file_store_at(repo.ledger, "HEAD"))
    assert [record.name for record in now.records()] == ["TH-004217", "TH-004218"]
    assert now.find("TH-004218") is not None and now.file_store.read("casks/../house.yaml") is None
    repo.path().unlink()
    assert Ledger(file_store_at(repo.ledger, "HEAD")).get("TH-004217").data == (BASE + NOTED).encode()


@pytest.mark.thorough
@pytest.mark.parametrize("under", [":x", *(pytest.param(name, marks=pytest.mark.thorough) for name in (":(top)x", "x[1]", "-x", "x\ny", "x\n"))])
def test_what_landed_is_guarded_in_a_folder_of_any_name(tmp_path: Path, under: str, monkeypatch: pytest.MonkeyPatch) -> None:
    from caskbook.cli.commands.git import ledgers
    from caskbook.cli.hooks import pre_commit
    from caskbook.cli.hooks.gate import Protection, Update, outcome_of

    repo = ledger(tmp_path, RECEIVED, EXAMINED, TESTED, under=under)
    assert caskbook("git", "install", cwd=repo.ledger).returncode == 0 and ledgers(open_git(repo.ledger)) == [f"{under}/"]
    assert caskbook("git", "install", cwd=repo.ledger).returncode == 0 and ledgers(open_git(repo.ledger)) == [f"{under}/"]
    landed = repo.commit("set up")
    repo.write(BASE + NOTED)
    day = repo.commit("a day's work")
    git = open_git(repo.top)
    protected = Protection(frozenset({"main"}), {"main": landed})
    found = outcome_of(git, Update(landed, day, "refs/heads/main"), protected)
    assert not found.refused and not found.lines, found
    repo.write((BASE + NOTED).replace("psi: 11", "psi: 12"))
    altered = repo.commit("altered")
    found = outcome_of(git, Update(landed, altered, "refs/heads/main"), protected)
    assert found.refused and "landed-event-altered" in str(found.lines), found
    seen = caskbook("review", f"{landed}..{altered}", cwd=repo.ledger)
    assert seen.returncode == 1 and "ALTERATION OF WHAT HAD LANDED" in seen.stdout, seen
    shown = caskbook("list", "--at", day, "--columns", "cask", "--format", "csv", cwd=repo.ledger)
    assert shown.stdout.split() == ["cask", "TH-004217"], shown
    repo.git("reset", "-q", "--hard", day)
    repo.write(BASE + NOTED + event("gqw00002", "2023-06-02", "note", "note: seen"))
    repo.git("add", "-A")
    ran = caskbook("check", "--since", day, cwd=repo.ledger)
    assert ran.returncode == 0, ran
    monkeypatch.chdir(repo.top)
    assert pre_commit.main() == 0


def test_a_revision_without_the_ledger_says_so(tmp_path: Path):
    repo = Repo(tmp_path / "r")
    (repo.top / "readme").write_text("x")
    repo.commit()
    repo.house()
    repo.commit()
    assert "no house.yaml in HEAD^:records/" in one_line(lambda: Ledger(file_store_at(repo.ledger, "HEAD^")))


def test_links_and_strays_in_a_revision_are_left_out(tmp_path: Path):
    repo = ledger(tmp_path)
    (repo.path().parent / "TH-004999.yaml").symlink_to("/etc/passwd")
    (repo.ledger / "casks" / "readme.txt").write_text("x")
    repo.commit()
    assert Ledger(file_store_at(repo.ledger, "HEAD")).ids() == ["TH-004217"]


def test_between_work_tree_index_and_revision(tmp_path: Path):
    repo = ledger(tmp_path)
    git = open_git(repo.ledger)
    head = git.resolve("HEAD")
    assert between(git, repo.ledger, head, "work tree").casks == ()
    repo.write(BASE + NOTED)
    repo.git("add", "-A")
    repo.write(BASE.replace("psi: 11", "psi: 12"))
    repo.write(cask(RECEIVED, cask_id="TH-004218"), "TH-004218")
    work = between(git, repo.ledger, head, "work tree", "records/")
    assert [(c.name, c.kind, bool(c.altered)) for c in work.casks] == [("TH-004217", "changed", True), ("TH-004218", "added", False)]
    (staged,) = between(git, repo.ledger, head, "index").casks
    assert [e.id for e in staged.added] == ["gqw00001"]
    repo.git("mv", "-f", "records/casks/TH-004/TH-004217.yaml", "records/casks/TH-004/TH-004219.yaml")
    names = {(c.name, c.kind) for c in between(git, repo.ledger, head, "index").casks}
    assert names == {("TH-004219", "renamed")}


@pytest.mark.slow
def test_a_hundred_thousand_files_beside_the_ledger_are_not_looked_at(tmp_path: Path):
    repo = ledger(tmp_path)
    oid = repo.git("hash-object", "-w", str(repo.ledger / "house.yaml")).strip()
    rows = "".join(f"100644 {oid}\tother/{n % 300}/{n}.txt\n" for n in range(100_000))
    subprocess.run(["git", "update-index", "--index-info"], input=rows, text=True, cwd=repo.top, check=True)
    repo.git("commit", "-q", "-m", "many")
    before = os.times()
    inside = open_git(repo.ledger)
    assert len(inside.tree("HEAD", "records/casks/")) == 1
    assert [change.path for change in inside.changes(inside.empty_tree, "HEAD", "records/")] == ["records/casks/TH-004/TH-004217.yaml", "records/house.yaml"]
    assert between(inside, repo.ledger, inside.resolve("HEAD"), "work tree").casks == ()
    after = os.times()
    assert after.children_user + after.children_system - before.children_user - before.children_system < 2.0


def test_an_object_is_asked_about_once_by_its_full_name_and_a_branch_each_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    repo = ledger(tmp_path, RECEIVED)
    git = open_git(repo.ledger)
    started: list[tuple[str, ...]] = []
    process = type(git)._process
    monkeypatch.setattr(type(git), "_process", lambda self, args, data: started.append(tuple(args)) or process(self, args, data))
    commit = git.resolve("main")
    assert git.resolve(commit) == git.resolve(commit) == commit
    assert [git.tree(commit), git.folder_of(commit, "records/")] == [git.tree(commit), git.folder_of(commit, "records/")]
    assert len(started) == 5
    assert git.resolve("main") == commit and len(started) == 7
    with pytest.raises(CaskbookError):
        git.tree("0" * 40)
    with pytest.raises(CaskbookError):
        git.tree("0" * 40)
    assert len(started) == 9


def test_a_look_at_the_index_says_which_names_are_not_in_it_or_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    repo = ledger(tmp_path)
    assert names_in_index(repo.ledger, [".caskbook"]) is False and names_in_index(tmp_path, [".caskbook"]) is None
    (repo.ledger / ".caskbook").mkdir()
    (repo.ledger / ".caskbook" / "x").touch()
    repo.git("add", "-f", "records/.caskbook")
    assert names_in_index(repo.ledger, [".pending"]) is False and names_in_index(repo.ledger, [".pending", ".caskbook"]) is True
    with monkeypatch.context() as context:
        context.setenv("GIT_INDEX_FILE", str(tmp_path / "other"))
        assert names_in_index(repo.ledger, [".pending"]) is None
    for words in (("--split-index",), ("--no-split-index", "--index-version", "4")):
        repo.git("update-index", *words)
        assert names_in_index(repo.ledger, [".pending"]) is None, words
    (repo.top / ".git").rename(repo.top / "git")
    (repo.top / ".git").write_text("gitdir: git\n")
    assert names_in_index(repo.ledger, [".pending"]) is None


def test_git_is_asked_for_ignored_casks_where_one_may_be(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    assert casks_listed(repo.ledger)[1] is False
    repo.path("TH-004218").write_text("x")
    assert casks_listed(repo.ledger)[1] is True
    repo.path("TH-004218").unlink()
    repo.git("rm", "-q", "--cached", "records/house.yaml")
    listed, unknown = casks_listed(repo.ledger)
    assert unknown and listed.count(b"\tcasks/") == listed.count(b"\t") == 1


def test_the_index_that_a_look_finds_is_the_one_that_git_names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    repo, other = ledger(tmp_path), ledger(tmp_path, name="other")
    (repo.top / "led").symlink_to(other.ledger)
    for folder in (repo.ledger, repo.top, repo.path().parent, repo.top / "led"):
        named = folder / Git(folder).text("rev-parse", "--git-path", "index")
        found = plain_index(folder)
        assert found is not None and found.samefile(named)
    assert plain_index(tmp_path) is None and plain_index(repo.top / ".git" / "objects") is None
    config = repo.top / ".git" / "config"
    usual = config.read_text()
    for line in ("bare = true", "bare", "worktree = ../other", "Worktree=../other"):
        config.write_text(f"{usual}[core]\n\t{line}\n")
        assert plain_index(repo.ledger) is None, line
    config.write_text(f"{usual}[core]\n\tbare = false\n")
    assert plain_index(repo.ledger) == repo.top.resolve() / ".git" / "index"
    repo.git("worktree", "add", "-q", str(tmp_path / "more"), "-b", "more")
    assert plain_index(tmp_path / "more") is None


def test_outside_of_every_repository_no_git_is_started(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    repo = ledger(tmp_path)
    (tmp_path / "led").symlink_to(repo.ledger)
    assert without_git(tmp_path) and not without_git(repo.ledger) and not without_git(tmp_path / "led")
    (tmp_path / "plain" / ".caskbook").mkdir(parents=True)
    monkeypatch.setattr(Git, "_process", lambda *_: pytest.fail("git was started"))
    assert tracked_in(tmp_path / "plain", ".caskbook") == tracked_here(tmp_path / "plain") == []
    with pytest.raises(CaskbookError, match="not a git repository"):
        casks_listed(tmp_path / "plain")
    monkeypatch.setenv("GIT_DIR", str(repo.top / ".git"))
    assert not without_git(tmp_path)
