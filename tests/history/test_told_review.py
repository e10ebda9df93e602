"""What a review tells of corrections, of settings that begin later, of commits that hold no entry, and of what came in beside the casks."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import unicodedata
from itertools import product
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.cli.commands.check import run as check
from caskbook.cli.commands.review import run
from history.graphs import ATTRIBUTES, Graph, chain
from history.ledgers import EMPTIED, EXAMINED, FILLED, HOUSE, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

PATH = "records/casks/TH-004/TH-004217.yaml"
LONG = (RECEIVED, EXAMINED, TESTED, FILLED)
PROGRAM = str(Path(sys.executable).with_name("caskbook"))


def opened(graph: Graph, monkeypatch: pytest.MonkeyPatch) -> Repo:
    repo = graph.write()
    for n, name in enumerate(graph.names):
        repo.git("tag", f"t{n}", name)
    repo.git("reset", "-q", "--hard", "main")
    monkeypatch.chdir(repo.top)
    monkeypatch.delenv("CASKBOOK_RECORDS", raising=False)
    monkeypatch.setenv("COLUMNS", "300")
    return repo


def said(capsys: pytest.CaptureFixture[str], span: str | None, form: str = "text", code: int = 0) -> str:
    assert run(span, None, "2023-06-01", form) == code
    return capsys.readouterr().out


# A void before its target


EARLY = event("dt800001", "2015-03-15", "void", "of: dt3q62s1", "why: wrong cask")


def test_a_void_before_its_target_is_found_and_told_with_day_and_who(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    repo = opened(chain(tmp_path, cask(RECEIVED, EXAMINED, TESTED), cask(RECEIVED, EXAMINED, EARLY, TESTED)), monkeypatch)
    done = subprocess.run([PROGRAM, "check", "--format", "concise"], cwd=repo.top, capture_output=True, text=True, check=False)
    assert "warning void-before-its-target `date` is 2015-03-15: the test it takes out is of 2015-03-20" in done.stdout
    done = subprocess.run([PROGRAM, "review", "t0..t1"], cwd=repo.top, capture_output=True, text=True, check=False)
    assert 'voided   TH-004217 test of 2015-03-20: "wrong cask" (2015-03-15, ab)' in done.stdout
    assert "against the house's rules\n  TH-004217 void of 2015-03-15: `date` is 2015-03-15: the test it takes out is of 2015-03-20" in done.stdout


def test_the_day_and_who_of_each_correction_is_data_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    again = event("gq6g0002", "2015-03-21", "test", "psi: 10", "result: pass", "replaces: dt3q62s1", "why: misread")
    opened(chain(tmp_path, cask(*LONG), cask(*LONG[:3], again, FILLED)), monkeypatch)
    (one,) = json.loads(said(capsys, "t0..t1", "json"))["put_right"]
    assert (one["day"], one["by"], one["how"]) == ("2015-03-21", "ab", "replaced")
    assert '"misread" (2015-03-21, ab)' in said(capsys, "t0..t1", "markdown").replace("\\", "")


def voids(capsys: pytest.CaptureFixture[str], graph: Graph, monkeypatch: pytest.MonkeyPatch) -> int:
    opened(graph, monkeypatch)
    check([], None, "2023-06-01", None, None, "concise", strict=False, notes=False)
    return capsys.readouterr().out.count("void-before-its-target")


def test_what_was_dated_ahead_may_be_voided_on_the_day_it_was_entered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    ahead = TESTED.replace("date: 2015-03-20", "date: 2016-03-20")
    lawful = event("dt3r0000", "2015-03-20", "void", "of: dt3q62s1", "why: a slip of the year")
    assert voids(capsys, chain(tmp_path / "a", cask(RECEIVED, EXAMINED, lawful, ahead)), monkeypatch) == 0
    struck = event("dt900000", "2015-03-21", "void", "of: dt800001", "why: another day")
    assert voids(capsys, chain(tmp_path / "b", cask(RECEIVED, EXAMINED, EARLY, TESTED, struck)), monkeypatch) == 0
    replaced = event("dt700001", "2015-03-14", "test", "psi: 11", "result: pass", "replaces: dt3q62s1", "why: day misread")
    assert voids(capsys, chain(tmp_path / "c", cask(RECEIVED, EXAMINED, replaced, TESTED)), monkeypatch) == 0


# Settings that begin later


def test_a_setting_that_begins_later_says_from_that_day(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    books = {PATH: cask(*LONG), "records/casks/TH-004/TH-004218.yaml": cask(*LONG, EMPTIED, cask_id="TH-004218")}
    plain = HOUSE + "due:\n  rechar:\n    soon_at: 2\n    due_at: 3\n"
    rows = HOUSE + "due:\n  rechar:\n    soon_at: 2\n    due_at:\n      - {since: 2010-01-01, value: 3}\n"
    later = rows + "      - {since: 2030-01-01, value: 2}\n"
    opened(chain(tmp_path, *({**books, "records/house.yaml": house} for house in (rows, later, plain, later))), monkeypatch)
    assert "due.rechar.due_at 2 from 2030-01-01: from that day 1 cask newly due, 1 newly at emptying" in said(capsys, "t0..t1")
    assert "due_at 3 → [{since: 2010-01-01, value: 3}, {since: 2030-01-01, value: 2}]: from 2030-01-01 1 cask newly due" in said(capsys, "t2..t3").replace(
        "from that day", "from 2030-01-01"
    )
    (one,) = json.loads(said(capsys, "t0..t1", "json"))["settings"]
    assert one["counted_on"] == "2030-01-01" and one["newly_due"] == 1
    now = rows + "      - {since: 2023-01-01, value: 2}\n"
    opened(chain(tmp_path / "now", *({**books, "records/house.yaml": house} for house in (rows, now))), monkeypatch)
    assert "due_at 2 from 2023-01-01: 1 cask newly due" in said(capsys, "t0..t1"), "a day past needs no such word"
    assert ATTRIBUTES and os


# What came in beside the casks


LINKED = "records/casks/TH-005/TH-005001.yaml"


def with_odd(top: Path, *, gone: bool = False) -> Graph:
    """A commit that brings a linked cask, another repository, a journal and an index; with `gone`, one more that takes them away."""
    graph = Graph(top)
    graph.add({PATH: cask(*LONG)})
    odd = {LINKED: "../../../outside.yaml", "records/casks/TH-006": "", "records/.pending/journal.json": "{}", "records/.caskbook/index.sqlite": "x"}
    graph.add({PATH: cask(*LONG), **odd}, 0, author="Stranger", modes={LINKED: "120000"})
    if gone:
        graph.add({PATH: cask(*LONG)}, 1)
    return graph


def gitlink(repo: Repo) -> str:
    """A commit on top that has another repository among the casks."""
    tree = repo.git("rev-parse", "HEAD").strip()
    repo.git("update-index", "--add", "--cacheinfo", f"160000,{tree},records/casks/TH-006")
    repo.git("commit", "-q", "--no-verify", "-m", "linked")
    return repo.head()


def test_a_review_names_links_other_repositories_and_our_own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    graph = with_odd(tmp_path)
    del graph.commits[1][1]["records/casks/TH-006"]
    repo = opened(graph, monkeypatch)
    repo.identify()
    gitlink(repo)
    done = subprocess.run([PROGRAM, "review", "t0..HEAD"], cwd=repo.top, capture_output=True, text=True, check=False)
    by = f"({graph.names[1][:10]}, Stranger, 2023-11-15)"
    for text in (
        f"{LINKED} error symbolic-link: a symbolic link: expected ID.yaml in a folder of its own {by}",
        "records/casks/TH-006 error submodule-in-casks: another git repository",
        f"records/.pending/journal.json error pending-in-git: git tracks 1 file here: expected none; nothing in it is believed {by}",
        f"records/.caskbook/index.sqlite error index-in-git: git tracks 1 file here: expected none; nothing in it is believed {by}",
    ):
        assert text in done.stdout, done.stdout + done.stderr
    data = {one["code"]: one for one in json.loads(said(capsys, "t0..HEAD", "json"))["beside"]}
    assert set(data) == {"symbolic-link", "submodule-in-casks", "pending-in-git", "index-in-git"} and data["symbolic-link"]["author"] == "Stranger"
    assert "symbolic-link" in said(capsys, "t0..HEAD", "markdown") and "beside" not in said(capsys, "HEAD..HEAD")
    assert "symbolic-link" in said(capsys, "t1") and "submodule-in-casks" not in said(capsys, "t1")


def test_what_came_and_is_gone_again_is_told_all_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    graph = with_odd(tmp_path, gone=True)
    del graph.commits[1][1]["records/casks/TH-006"]
    opened(graph, monkeypatch)
    out = said(capsys, "t0..t2")
    by = f"({graph.names[1][:10]}, Stranger, 2023-11-15)"
    assert f"pending-in-git: git tracked this file; gone again by now {by}" in out and f"expected ID.yaml in a folder of its own; gone again by now {by}" in out


def test_a_repository_that_gitmodules_hide_is_told_when_it_came_and_when_it_is_gone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    hiding = {PATH: cask(*LONG), ".gitmodules": '[submodule "x"]\n\tpath = records/casks/TH-006\n\turl = ./x\n\tignore = all\n'}
    repo = opened(chain(tmp_path, hiding), monkeypatch)
    made = gitlink(repo)[:10]
    told = "records/casks/TH-006 error submodule-in-casks"
    assert told in caskbook("review", "t0..HEAD").stdout and f"({made}, " in caskbook("review", "t0..HEAD").stdout
    repo.git("rm", "-q", "--cached", "records/casks/TH-006")
    repo.git("commit", "-q", "--no-verify", "-m", "gone")
    out = caskbook("review", "t0..HEAD").stdout
    assert told in out and f"gone again by now ({made}, " in out, out


def test_a_merge_that_carries_something_in_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    graph = Graph(tmp_path)
    graph.add({PATH: cask(*LONG)})
    one = graph.add({PATH: cask(*LONG), "notes.txt": "a"}, 0)
    two = graph.add({PATH: cask(*LONG), "notes.txt": "b"}, 0)
    graph.add({PATH: cask(*LONG), LINKED: "x", "records/casks/TH-004/odd.txt": "x"}, one, two, author="Merger", modes={LINKED: "120000"})
    opened(graph, monkeypatch)
    for span in ("t0..t3", "t1..t3", "t3"):
        out = said(capsys, span)
        assert f"{LINKED} error symbolic-link: a symbolic link: expected ID.yaml in a folder of its own ({graph.names[3][:10]}, Merger, " in out
        assert "casks/TH-004/odd.txt lies among the casks and is none" in out


def test_the_work_tree_is_looked_at_for_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    repo = opened(chain(tmp_path, cask(*LONG)), monkeypatch)
    repo.identify()
    assert "beside" not in said(capsys, None)
    (repo.ledger / "casks" / "TH-005").mkdir()
    (repo.top / LINKED).symlink_to("../../../outside.yaml")
    (repo.ledger / ".pending").mkdir()
    (repo.ledger / ".pending" / "journal.json").write_text("{}")
    repo.git("add", "-A")
    out = said(capsys, None)
    assert f"{LINKED} error symbolic-link" in out and "records/.pending/journal.json error pending-in-git" in out
    repo.commit()
    assert "beside" not in said(capsys, None), "it was there before"


# Commits that hold no entry


def test_commits_of_attributes_and_elsewhere_are_counted_and_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    files = {PATH: cask(*LONG)}
    graph = chain(tmp_path, files, {**files, ".gitattributes": ATTRIBUTES + "*.png binary\n"}, {**files, ".gitattributes": ATTRIBUTES + "*.png binary\n", "README": "x"},
                  {**files, "README": "x", "records/.gitattributes": "*.txt text\n"})  # fmt: skip
    repo = opened(graph, monkeypatch)
    done = subprocess.run([PROGRAM, "review", "t0..t3"], cwd=repo.top, capture_output=True, text=True, check=False)
    assert done.returncode == 0 and done.stdout.startswith("t0..t3 · 3 commits · 0 casks · nothing landed was altered\n"), done
    assert f"commit   .gitattributes: + `*.png binary` ({graph.names[1][:10]}, Tester, 2023-11-15)" in done.stdout
    assert f"         .gitattributes: - `*.png binary` ({graph.names[3][:10]}, Tester, 2023-11-17)" in done.stdout
    assert f"         records/.gitattributes: + `*.txt text` ({graph.names[3][:10]}, Tester, 2023-11-17)" in done.stdout
    assert "         1 commit touches nothing of the book" in done.stdout
    done = subprocess.run([PROGRAM, "review", "t0..t3", "--format", "json"], cwd=repo.top, capture_output=True, text=True, check=False)
    assert [one["kind"] for one in json.loads(done.stdout)["told"]] == ["attributes", "attributes", "attributes", "elsewhere"]


def test_a_merge_that_keeps_one_side_whole_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    graph = Graph(tmp_path)
    graph.add({PATH: cask(*LONG[:2])})
    yard = graph.add({PATH: cask(*LONG[:2]), "README": "x"}, 0)
    bench = graph.add({PATH: cask(*LONG[:3])}, 0)
    graph.add({PATH: cask(*LONG[:2]), "README": "x"}, yard, bench, author="Merger")
    forward = graph.add({PATH: cask(*LONG[:3])}, 0, bench)
    opened(graph, monkeypatch)
    assert forward == 4
    whole = f"a merge that keeps one side whole and nothing of the other in 1 file: TH-004217.yaml ({graph.names[3][:10]}, Merger, 2023-11-17)"
    out = said(capsys, "t0..t3", code=1)
    assert out.startswith("t0..t3 · 3 commits · 0 casks · 1 ALTERATION") and whole in out and "test of 2015-03-20 (dt3q62s1) is gone" in out
    assert whole in said(capsys, "t3", code=1) and whole in said(capsys, "t1..t3", code=1)
    assert "one side whole" not in said(capsys, "t0..t4"), "a merge of a branch that was only ahead loses nothing"


def test_an_empty_range_has_no_commits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    opened(chain(tmp_path, cask(*LONG)), monkeypatch)
    for span in ("t0..t0", "t0...t0", "t0..", "..t0"):
        assert f"{span} · 0 commits · 0 casks · nothing landed was altered\n" == said(capsys, span)


# Nothing that steers a terminal


HOSTILE = "Ev\x1b[2Jil\x9b31m\u202e\u2028One"


def harmless(text: str) -> bool:
    """Whether nothing in a text could steer a terminal, turn a line, or break one that is not ours to break."""
    return all(unicodedata.category(sign) not in ("Cc", "Cf", "Cs", "Co", "Zl", "Zp") for sign in text.replace("\n", ""))


FORMS, SPANS = ("text", "markdown", "json"), ("t0..HEAD", "t0..ta\u202eg", "HEAD")


@pytest.mark.parametrize("pairs", [
    pytest.param(tuple(zip(FORMS, SPANS, strict=True)), id="each"), pytest.param(tuple(product(FORMS, SPANS)), id="crossed", marks=pytest.mark.slow),
])  # fmt: skip
def test_names_paths_and_rules_reach_no_screen_raw(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], pairs: tuple[tuple[str, str], ...]
):
    """The author, a path with a newline, a rule, a tag, a note and a supplier, each with signs that steer a terminal."""
    noted = event("dt3q62s2", "2015-03-20", "note", f"note: 'x{HOSTILE[11:]}'")
    graph = Graph(tmp_path)
    graph.add({PATH: cask(*LONG)})
    bad = cask(*LONG[:2], TESTED.replace("psi: 11", "psi: 9"), noted).replace("hoops: 6", f"hoops: 6\nsupplier: 'x{HOSTILE[11:]}'")
    graph.add({PATH: bad, ".gitattributes": f"{ATTRIBUTES}*.yaml -diff diff=x\u202ex\x1b[1m\n"}, 0, author=HOSTILE)
    repo = opened(graph, monkeypatch)
    repo.identify()
    for name in ("od\x1b[1m\nd.txt", "\u202etxt.x", "e\x9b1m.txt"):
        (repo.path().parent / name).write_text("x")
    (repo.path().parent / "lin\x1b[1mk.yaml").symlink_to("x")
    repo.git("add", "-A")
    repo.git("commit", "-q", "--no-verify", "-m", "sub\x1b[31mject\n\nbody\x9b", f"--author={HOSTILE.replace(chr(0x2028), '')} <x@example.org>")
    repo.git("tag", "ta\u202eg")
    assert "Evil" not in HOSTILE
    for form, span in pairs:
        out = said(capsys, span, form, code=int(span != "HEAD"))
        assert harmless(out), (form, span, [sign for sign in out if not harmless(sign)])
    for form in ("text", "concise", "json", "github", "sarif"):
        check([], None, None, None, "t0", form, strict=False, notes=True)
        out = capsys.readouterr().out
        assert harmless(out) and "landed-file-unreadable" in out, (form, [sign for sign in out if not harmless(sign)])
    for words in (["show", "TH-004217"], ["show", "TH-004217", "--format", "json"], ["show", "TH-004217", "--all"], ["review", "t1", "--format", "json"]):
        done = subprocess.run([PROGRAM, *words], cwd=repo.top, capture_output=True, text=True, check=False)
        assert harmless(done.stdout + done.stderr), words


# Ranges of every form, and histories that hide something


def entry(event_id: str, note: str) -> str:
    return event(event_id, "2015-04-03", "note", f"note: {note}")


def test_a_merge_that_holds_what_no_side_had_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    for arms in (2, 3):
        graph = Graph(tmp_path / str(arms))
        base = graph.add({PATH: cask(*LONG)})
        notes = [entry(f"dtd0000{n}", f"n{n}") for n in range(arms)]
        sides = [graph.add({PATH: cask(*LONG, note)}, base) for note in notes]
        graph.add({PATH: cask(*LONG, *notes)}, *sides)
        evil = graph.add({PATH: cask(*LONG, *notes, entry("dtd0000z", "none")), "records/house.yaml": HOUSE + "shops: [weir]\n"}, *sides, author="Merger")
        opened(graph, monkeypatch)
        out = said(capsys, f"t0..t{evil}")
        assert (
            f"a merge that holds what none of its sides had: TH-004217 note of 2015-04-03 (dtd0000z); house.yaml `shops: [weir]` ({graph.names[evil][:10]}, Merger, "
            in out
        )
        assert "what none of its sides had" not in said(capsys, f"t0..t{evil - 1}") and "joined   TH-004217" in said(capsys, f"t0..t{evil - 1}")
    alone = Graph(tmp_path / "alone")
    base = alone.add({PATH: cask(*LONG)})
    sides = [alone.add({PATH: cask(*LONG), name: "x"}, base) for name in ("a.txt", "b.txt")]
    alone.add({PATH: cask(*LONG, entry("dtd0000z", "none"))}, *sides)
    opened(alone, monkeypatch)
    out = said(capsys, "t0..t3")
    assert "what none of its sides had: TH-004217 note" in out and "joined" not in out, "no side had entered on it"


def test_ends_may_be_named_in_any_way_git_knows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    repo = opened(chain(tmp_path, cask(*LONG[:2]), cask(*LONG[:3]), cask(*LONG)), monkeypatch)
    repo.identify()
    repo.git("tag", "-a", "whole", "-m", "annotated", "t0")
    repo.git("tag", "-a", "twice", "-m", "annotated", "whole")
    repo.git("commit", "-q", "--allow-empty", "--no-verify", "-m", "spring count")
    for first in ("whole", "twice", "HEAD~3", "HEAD^^^", "main~3", "whole^{}", "@~3"):
        assert said(capsys, f"{first}..HEAD").startswith(f"{first}..HEAD · 3 commits · 1 cask · nothing landed was altered\n")
    assert said(capsys, "whole..:/spring").startswith("whole..:/spring · 3 commits")
    assert said(capsys, ":/spring").startswith(":/spring (") and "HEAD@{0}" in said(capsys, "t1..HEAD@{0}")
    assert "received: accept" in said(capsys, "t0"), "a first commit by itself"
    for wrong in ("^HEAD", "-x", "HEAD:records", "HEAD^@", "whole..nowhere", "a....b", ":/no such text", "HEAD^{tree}"):
        done = caskbook("review", "--", wrong)
        assert done.returncode == 2 and len(done.stderr.splitlines()) == 1 and "Traceback" not in done.stderr, (wrong, done)


@pytest.mark.parametrize("how", ["replace", "graft", "graft of the range"])
def test_nothing_that_stands_in_for_a_commit_is_believed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], how: str):
    graph = chain(tmp_path, cask(*LONG), cask(*LONG[:2]), cask(*LONG[:2]) + event("dtd00001", "2015-04-03", "note", "note: x"))
    repo = opened(graph, monkeypatch)
    if how == "replace":
        repo.git("replace", graph.names[1], graph.names[0])
    else:
        rows = f"{graph.names[1]}\n" if how == "graft" else f"{graph.names[2]} {graph.names[0]}\n"
        (repo.top / ".git" / "info").mkdir(exist_ok=True)
        (repo.top / ".git" / "info" / "grafts").write_text(rows)
    assert "test of 2015-03-20 (dt3q62s1) is gone" in said(capsys, "t0..t2", code=1)
    assert "2 commits" in said(capsys, "t0..t2", code=1)
    assert check([], None, None, "t2", "t0", "concise", strict=False, notes=False) == 1
    assert "landed-event-removed" in capsys.readouterr().out


def test_files_renamed_by_case_or_moved_with_a_change_are_told_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    small, other = (PATH.replace(*words) for words in (("TH-004217.yaml", "th-004217.yaml"), ("TH-004/", "TH-009/")))
    graph = chain(tmp_path, cask(*LONG), {small: cask(*LONG)}, cask(*LONG), {other: cask(*LONG[:2], TESTED.replace("psi: 11", "psi: 9"), FILLED)})
    opened(graph, monkeypatch)
    assert "th-004217 this was TH-004217 when it landed" in said(capsys, "t0..t1", code=1)
    out = said(capsys, "t2..t3", code=1)
    assert "this was casks/TH-004/TH-004217.yaml when it landed" in out and "`psi` was 11 when it landed, is 9" in out
    out = said(capsys, "t0..t2", code=1)
    assert out.count("this was") == 2 and "2 commits" in out


def test_a_clone_that_was_cut_off_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    repo = opened(chain(tmp_path / "whole", cask(*LONG[:2]), cask(*LONG)), monkeypatch)
    repo.git("clone", "-q", "--depth", "1", f"file://{repo.top}", str(tmp_path / "cut"))
    for span in ("HEAD", "HEAD~1..HEAD"):
        done = caskbook("review", span, cwd=tmp_path / "cut")
        assert done.returncode == 2 and "git fetch --unshallow" in done.stderr, done
    assert caskbook("review", "HEAD..HEAD", cwd=tmp_path / "cut").returncode == 0


def test_what_was_unknown_and_is_added_to_a_landed_head_is_told_as_added_and_alters_nothing(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    unknown = cask(RECEIVED, EXAMINED).replace("charred: 2011\n", "")
    repo.write(unknown)
    repo.commit("book")
    repo.write(unknown.replace("events:", "charred: 2014\nevents:"))
    assert caskbook("check", "--since", "HEAD", cwd=repo.ledger).returncode == 0
    done = caskbook("review", cwd=repo.ledger)
    assert "nothing landed was altered" in done.stdout.splitlines()[0] and done.returncode == 0
    assert "head     TH-004217 added to the head: `charred` 2014, unknown before" in done.stdout, done.stdout
