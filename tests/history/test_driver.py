"""The merge driver in real repositories: every way git merges, every way the program can fail, three machines in six orders."""

from __future__ import annotations

import re
import shlex
import shutil
import stat
import sys
from itertools import permutations
from pathlib import Path

import pytest
import yaml

from caskbook.cli.commands.git import driver_line, install, uninstall
from caskbook.cli.commands.settle import run as settle
from caskbook.merge import merge
from history.histories import kept
from history.ledgers import EXAMINED, HOUSE, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

BASE = cask(RECEIVED, EXAMINED, TESTED)
OURS = event("gqw00001", "2023-06-01", "note", "note: ours")
THEIRS = event("gqw00002", "2023-06-01", "note", "note: theirs")
THIRD = event("gqw00003", "2023-06-01", "note", "note: third")
BOTH = BASE + OURS + THEIRS


@pytest.fixture
def repo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Repo:
    """A ledger with the driver installed; `side` has added THEIRS, main OURS."""
    made = ledger(tmp_path)
    monkeypatch.chdir(made.top)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("CASKBOOK_RECORDS", raising=False)
    install()
    made.git("config", "core.hooksPath", ".git/no-hooks")  # the driver alone: what the hooks say is told elsewhere
    made.commit("attributes")
    fork(made)
    return made


def fork(repo: Repo) -> None:
    repo.git("checkout", "-q", "-b", "side")
    repo.write(BASE + THEIRS)
    repo.commit("theirs")
    repo.git("checkout", "-q", "main")
    repo.write(BASE + OURS)
    repo.commit("ours")


def without_driver(repo: Repo) -> None:
    """A machine on which nobody ran the set-up: the attributes are there, the driver is not."""
    uninstall()
    repo.git("checkout", "-q", "--", "records/.gitattributes")


def text(repo: Repo) -> str:
    return repo.path().read_text(encoding="utf-8")


def test_merge_rebase_cherry_pick_and_stash_give_the_same_bytes(repo: Repo):
    start = repo.git("rev-parse", "HEAD").strip()
    for way in (["merge", "-q", "--no-edit", "side"], ["rebase", "-q", "side"], ["cherry-pick", "side"]):
        repo.git("reset", "-q", "--hard", start)
        repo.git(*way)
        assert text(repo) == BOTH, way
        assert repo.git("status", "--porcelain") == ""
    repo.git("reset", "-q", "--hard", start)
    repo.write(BASE + OURS + THIRD)
    repo.git("stash", "-q")
    repo.git("merge", "-q", "--no-edit", "side")
    repo.git("stash", "pop", "-q")
    assert text(repo) == BOTH + THIRD


def test_a_revert_of_an_entry_beside_a_later_one_is_a_conflict_that_shows_it(repo: Repo):
    entry = repo.git("rev-parse", "HEAD").strip()
    repo.write(BASE + OURS + THIRD)
    repo.commit("third")
    out = repo.git("revert", "--no-edit", entry, good=(1,))
    assert "is missing on their side" in out and "<<<<<<<" in text(repo) and "note: ours" in text(repo) and "note: third" in text(repo)


def test_in_a_worktree_and_in_a_ledger_at_the_top(repo: Repo, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    repo.git("worktree", "add", "-q", str(tmp_path / "tree"), "-b", "bench", "main")
    tree = Repo(tmp_path / "tree")
    tree.git("merge", "-q", "--no-edit", "side")
    assert text(tree) == BOTH
    top = ledger(tmp_path, under="", name="top")
    monkeypatch.chdir(top.top)
    install()
    top.commit()
    fork(top)
    top.git("merge", "-q", "--no-edit", "side")
    assert text(top) == BOTH


def test_a_renamed_file_is_merged_with_the_changes_of_the_other_side(repo: Repo):
    repo.git("checkout", "-q", "side")
    repo.git("mv", "records/casks/TH-004/TH-004217.yaml", "records/casks/TH-004/TH-004218.yaml")
    repo.commit("renamed")
    repo.git("checkout", "-q", "main")
    repo.git("merge", "-q", "--no-edit", "side")
    assert repo.path("TH-004218").read_text() == BOTH


def test_both_sides_add_the_same_new_cask(repo: Repo):
    for branch, more in (("side", THEIRS), ("main", OURS)):
        repo.git("checkout", "-q", branch)
        repo.write(cask(RECEIVED, more, cask_id="TH-004300"), "TH-004300")
        repo.commit()
    repo.git("merge", "-q", "--no-edit", "side")
    assert repo.path("TH-004300").read_text() == cask(RECEIVED, OURS, THEIRS, cask_id="TH-004300")


def test_house_settings_of_both_sides(repo: Repo):
    repo.house(HOUSE + "  - {initials: mm, name: M M, from: 2020-01-01}\n")
    repo.commit()
    repo.git("checkout", "-q", "side")
    repo.house(HOUSE + "  - {initials: cc, name: C C, from: 2021-01-01}\n")
    repo.commit()
    repo.git("checkout", "-q", "main")
    repo.git("merge", "-q", "--no-edit", "side")
    merged = (repo.ledger / "house.yaml").read_text()
    assert "cc" in merged and "mm" in merged


def test_a_clash_of_meaning_is_named_on_stderr_and_merged(repo: Repo):
    fill = event("gqx00001", "2023-07-01", "fill", "spirit: malt", "litres: 198.4", "abv: 63.5", "at_20: true")
    for branch, more in (("side", fill.replace("gqx00001", "gqx00002")), ("main", fill)):
        repo.git("checkout", "-q", branch)
        repo.write(text(repo) + more)
        repo.commit()
    out = repo.git("merge", "--no-edit", "side")
    assert "united, but it does not go together" in out and "filled again" in out and "<<<" not in text(repo)


def failing(repo: Repo, script: str) -> Path:
    """A program in place of Python that does what the script says."""
    program = repo.top.parent / "it's 100% a program"
    program.write_text("#!/bin/sh\n" + script)
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    return program


REAL = shlex.quote(sys.executable)


@pytest.mark.parametrize(
    "script",
    [
        None,  # no such program
        "exit 1",
        "exit 0",
        "exit 3",
        "kill -9 $$",
        f'{REAL} "$@"; kill -9 $$',
        f'{REAL} "$@"; exit 2',
        f'{REAL} -c "raise SystemExit(1)"',
        f'{REAL} -P -c "import no_such_thing"',
        'head -c 20 "$5" > "$5.merged.tmp"; kill -9 $$',
        "exit 255",
    ],
)
def test_when_the_program_fails_git_merges_as_text_and_no_line_is_lost(repo: Repo, script: str | None):
    program = failing(repo, script) if script is not None else repo.top / "gone" / "python"
    repo.git("config", "merge.caskbook.driver", driver_line(str(program), repo.top / ".git" / "ahead"))
    out = repo.git("merge", "--no-edit", "side", good=(0, 1))
    assert "merged as plain text" in out
    assert set(BOTH.splitlines()) <= set(text(repo).splitlines())
    assert "<<<<<<< ours" in text(repo) and "UU" in repo.git("status", "--porcelain")
    assert not [path for path in repo.top.iterdir() if path.name.startswith(".merge_file")]


def test_a_moved_program_leaves_a_clean_text_merge_clean(repo: Repo):
    repo.git("config", "merge.caskbook.driver", driver_line("/no/such/python", repo.top / ".git" / "ahead"))
    repo.git("checkout", "-q", "side")
    repo.write(BASE.replace("charred: 2011", "charred: 2011\nwood: mizunara"))
    repo.git("commit", "-q", "-a", "--amend", "--no-verify", "-m", "wood")
    repo.git("checkout", "-q", "main")
    repo.git("merge", "--no-edit", "side")
    assert "mizunara" in text(repo) and "note: ours" in text(repo)


def test_settle_does_the_same_without_the_driver(repo: Repo, capsys: pytest.CaptureFixture[str]):
    without_driver(repo)
    repo.git("merge", "--no-edit", "side", good=(1,))
    assert "<<<<<<<" in text(repo)
    assert settle() == 0
    assert text(repo) == BOTH and "UU" not in repo.git("status", "--porcelain")
    assert "settled  records/casks/TH-004/TH-004217.yaml" in capsys.readouterr().out
    assert settle() == 0 and "nothing to settle" in capsys.readouterr().out


def test_settle_in_a_rebase_and_after_a_stash(repo: Repo):
    without_driver(repo)
    repo.git("rebase", "-q", "side", good=(1,))
    assert settle() == 0
    repo.git("rebase", "--continue")
    assert text(repo) == BOTH
    repo.write(BOTH + THIRD)
    repo.git("stash", "-q")
    more = event("gqw00004", "2023-06-01", "note", "note: more")
    repo.write(BOTH + more)
    repo.commit()
    repo.git("stash", "pop", "-q", good=(1,))
    assert settle() == 0 and text(repo) == BOTH + THIRD + more


def test_settle_leaves_to_a_person_what_is_a_persons(repo: Repo, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    without_driver(repo)
    repo.write(BASE.replace("psi: 11", "psi: 12") + OURS)
    repo.commit()
    repo.git("checkout", "-q", "side")
    repo.write(cask(RECEIVED, cask_id="TH-004300"), "TH-004300")
    repo.commit()
    repo.git("branch", "-f", "third", "side")
    repo.git("merge", "--no-edit", "main", good=(1,))
    assert settle() == 1
    out, err = capsys.readouterr()
    assert out.count("\ndecide   records/casks/TH-004/TH-004217.yaml: event dt3q62s1") == 1 and "decide" not in err, "each once"
    assert "different data" in out and "<<<<<<< ours\n    psi: 11\n=======\n    psi: 12\n>>>>>>> theirs\n" in text(repo)
    assert "UU" in repo.git("status", "--porcelain")
    with monkeypatch.context() as inside:
        inside.chdir(repo.ledger / "casks")
        assert settle(again=True) == 1 and capsys.readouterr().out.startswith("decide   ../casks/TH-004/TH-004217.yaml: ")
    repo.write(text(repo).replace("    psi: 11\n=======\n", "=======\n").replace("<<<<<<< ours\n", "").replace("=======\n", "").replace(">>>>>>> theirs\n", ""))
    assert settle() == 1 and "edited by hand" in capsys.readouterr().out
    assert settle(again=True) == 1 and "<<<<<<<" in text(repo)


def test_settle_names_a_deletion_and_a_rename_on_one_side(repo: Repo, capsys: pytest.CaptureFixture[str]):
    without_driver(repo)
    repo.git("checkout", "-q", "side")
    repo.git("rm", "-q", "records/casks/TH-004/TH-004217.yaml")
    repo.commit("gone")
    repo.git("checkout", "-q", "main")
    repo.git("merge", "--no-edit", "side", good=(1,))
    assert settle() == 1
    assert "deleted or renamed on their side and changed on the other" in capsys.readouterr().out


def test_git_keeps_what_only_one_side_touched_without_asking_the_driver(repo: Repo):
    """A deletion against an untouched side never reaches a driver: the comparison with what landed finds it."""
    from caskbook.checks.history import append_only_since

    base = repo.git("merge-base", "main", "side").strip()
    repo.git("checkout", "-q", "-b", "quiet", base)
    repo.git("checkout", "-q", "-b", "cutting", base)
    repo.write(cask(RECEIVED, TESTED))
    repo.commit("cut")
    repo.git("checkout", "-q", "quiet")
    (repo.top / "readme").write_text("x")
    repo.commit("else")
    repo.git("merge", "-q", "--no-edit", "cutting")
    assert [f.code for f in append_only_since(repo.ledger, base)] == ["landed-event-removed"]


@pytest.mark.parametrize("with_driver", [True, False])
def test_three_machines_meet_in_six_orders(repo: Repo, with_driver: bool):
    start = repo.git("merge-base", "main", "side").strip()
    late = event("dsyzzzz1", "2015-03-15", "note", "note: late")
    for name, content in (("a", BASE + OURS), ("b", BASE + THEIRS), ("c", cask(RECEIVED, EXAMINED, late, TESTED, THIRD))):
        repo.git("checkout", "-q", "-B", name, start)
        repo.write(content)
        repo.commit(name)
    if not with_driver:
        without_driver(repo)
    results = set()
    for one, two, three in permutations("abc"):
        for first, second in ((one, two), (two, three)):
            repo.git("checkout", "-q", "-B", f"m{first}{second}", first)
            join(repo, second)
        repo.git("checkout", "-q", f"m{one}{two}")
        join(repo, f"m{two}{three}")
        results.add(text(repo))
    assert results == {cask(RECEIVED, EXAMINED, late, TESTED, OURS, THEIRS, THIRD)}
    assert len(kept(results.pop())) == 7


def test_many_files_of_one_merge_are_merged_ahead_with_the_same_bytes(repo: Repo):
    names = [f"TH-0070{n:02d}" for n in range(12)]
    for name in names:
        repo.write(cask(RECEIVED, EXAMINED, cask_id=name), name)
    start = repo.commit("casks")
    fill = event("gqx00001", "2023-07-01", "fill", "spirit: malt", "litres: 198.4", "abv: 63.5", "at_20: true")
    for branch, end in (("one", "1"), ("two", "2")):
        repo.git("checkout", "-q", "-B", branch, start)
        for n, name in enumerate(names):
            more = fill if n == 3 else event("gqw00001", "2023-06-01", "note", "note: seen")
            text_now = cask(RECEIVED, EXAMINED, more.replace("0001", f"000{end}"), cask_id=name)
            repo.write(text_now.replace("charred: 2011", f"charred: 200{end}") if n == 5 else text_now, name)
        repo.commit(branch)
    out = repo.git("merge", "--no-edit", "one", good=(1,))
    assert "TH-007003.yaml: united, but it does not go together" in out and "TH-007005.yaml: to decide" in out
    assert list((repo.top / ".git" / "caskbook-merge").glob("*/records/casks/TH-007/*.sh")), "made ahead"
    taken = {name: repo.path(name).read_bytes() for name in names}
    repo.git("merge", "--abort")
    without_driver(repo)
    repo.git("merge", "--no-edit", "one", good=(1,))
    assert settle() == 1
    assert taken == {name: repo.path(name).read_bytes() for name in names}
    assert b"<<<<<<< ours\ncharred: 2002\n=======\ncharred: 2001\n>>>>>>> theirs" in taken["TH-007005"]


ODD = ["it's $(all) \\ `text` %s \n !", "ÁÈß日本 \u0e01\U0001f943", "-n", "''", '"two" words', "%%P", "'", "a\\", "$k", "* ?"]


@pytest.mark.parametrize("shell", ["sh", "bash"])
@pytest.mark.parametrize("end", ["", "\n"])
def test_what_was_merged_ahead_is_put_down_by_the_shell_byte_for_byte(repo: Repo, tmp_path: Path, shell: str, end: str):
    """Whatever signs a file holds, and without a start of the program; one that no shell can hold is merged by a start of it as ever."""
    if (program := shutil.which(shell)) is None:
        pytest.skip(f"no {shell}")
    counting = failing(repo, f'echo >>{shlex.quote(str(tmp_path / "starts"))}; exec {REAL} "$@"')
    line = driver_line(str(counting), repo.top / ".git" / "caskbook-merge")
    given = {"%O": '"$1"', "%A": '"$2"', "%B": '"$3"', "%L": "7", "%P": '"$4"', "%%": "%"}
    (tmp_path / "line.sh").write_text(re.sub("%.", lambda found: given[found[0]], line))
    repo.git("config", "merge.caskbook.driver", f"exec {program} {tmp_path}/line.sh %O %A %B %P")
    texts = {f"TH-0070{n:02d}": f"note: {yaml.safe_dump(more, allow_unicode=True, width=999).splitlines()[0]}" for n, more in enumerate(ODD)}
    texts |= {"TH-007020": "note: a\0b", "TH-007021": "# it's a remark", "TH-007022": "note: |\n      it's a text"}
    start = repo.commit("before")
    for branch, ident in (("start", ""), ("two", "gqw00002"), ("one", "gqw00001")):
        repo.git("checkout", "-q", "-B", branch, start)
        for name, more in texts.items():
            added = [event(ident, "2023-06-01", "note", f"note: {ident}")] if ident else []
            whole = cask(RECEIVED, event("dsyzzzz1", "2015-03-15", "note", more), *added, cask_id=name)
            repo.write((whole[: -1 if end else None] + end).encode(), name)
        start = repo.commit(branch) if branch == "start" else start
        repo.commit(branch)
    repo.git("merge", "--no-edit", "two", good=(0, 1))
    for name in texts:
        sides = [repo.git("show", f"{rev}:records/casks/TH-007/{name}.yaml").encode() for rev in ("start", "one", "two")]
        assert repo.path(name).read_bytes() == merge(*sides, path=name).data, name
    assert (tmp_path / "starts").read_text() == "\n\n", "one start for the first file, and for the one that no shell can hold"


def test_two_lines_that_crossed_twice_have_the_same_bytes_again(repo: Repo):
    repo.git("branch", "left", "main")
    repo.git("branch", "right", "side")
    for mine, other in (("left", "side"), ("right", "main")):
        repo.git("checkout", "-q", mine)
        repo.git("merge", "-q", "--no-edit", other)
        assert text(repo) == BOTH
        more = event("gqy0000" + ("1" if mine == "left" else "2"), "2023-08-01", "note", f"note: {mine}")
        repo.write(BOTH + more)
        repo.commit(mine)
    repo.git("merge", "-q", "--no-edit", "left")
    assert text(repo) == BOTH + event("gqy00001", "2023-08-01", "note", "note: left") + event("gqy00002", "2023-08-01", "note", "note: right")


def join(repo: Repo, other: str) -> None:
    repo.git("merge", "-q", "--no-edit", other, good=(0, 1))
    if (repo.top / ".git" / "MERGE_HEAD").exists():
        assert settle() == 0
        repo.git("commit", "-q", "--no-edit", "--no-verify")
