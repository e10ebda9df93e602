"""A review of what happened between two ends: alterations by commit, parted histories, and what is named beside them."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.cli.commands.check import run as check
from caskbook.cli.commands.review import run
from history.graphs import BESIDE, Graph, chain
from history.ledgers import EMPTIED, EXAMINED, FILLED, HOUSE, RECEIVED, TESTED, Repo, cask, event

pytestmark = pytest.mark.thorough

FAIL = event("dt3q62s1", "2015-03-20", "test", "psi: 11", "water_l: 2", "result: fail", "leaks: [{at: joint-1}]")
PATH = "records/casks/TH-004/TH-004217.yaml"
LONG = (RECEIVED, EXAMINED, TESTED, FILLED)


def opened(graph: Graph, monkeypatch: pytest.MonkeyPatch) -> Repo:
    repo = graph.write()
    for n, name in enumerate(graph.names):
        repo.git("tag", f"t{n}", name)
    repo.git("reset", "-q", "--hard", "main")
    monkeypatch.chdir(repo.top)
    monkeypatch.delenv("CASKBOOK_RECORDS", raising=False)
    monkeypatch.setenv("COLUMNS", "300")
    return repo


def said(capsys: pytest.CaptureFixture[str], span: str | None, form: str = "text", code: int = 1) -> str:
    assert run(span, None, "2023-06-01", form) == code
    return capsys.readouterr().out


def test_the_program_itself_names_the_commit_that_altered_and_the_one_that_put_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    graph = Graph(tmp_path)
    for n, (test, author) in enumerate([("", "Tester"), (FAIL, "Tester"), (TESTED, "Bench Two"), (FAIL, "Tester")]):
        graph.add({PATH: cask(RECEIVED, EXAMINED, *([test] if test else []))}, *([n - 1] if n else []), author=author)
    repo = opened(graph, monkeypatch)
    program = [str(Path(sys.executable).with_name("caskbook"))]
    done = subprocess.run([*program, "review", "t0..t3"], cwd=repo.top, capture_output=True, text=True, check=False)
    by = f"({graph.names[2][:10]}, Bench Two, 2023-11-16; put back by {graph.names[3][:10]})"
    assert done.returncode == 1 and "nothing landed" not in done.stdout and f'`result` was "fail" when it landed, is "pass" {by}' in done.stdout
    assert "\n    then    {id:" in done.stdout and "\n    now " not in done.stdout
    done = subprocess.run([*program, "check", "--since", "t0", "--format", "json"], cwd=repo.top, capture_output=True, text=True, check=False)
    found = [one for one in json.loads(done.stdout)["findings"] if one["code"] == "landed-event-altered"]
    assert done.returncode == 1 and found[0]["commit"] == graph.names[2] and found[0]["author"] == "Bench Two" and found[0]["put_back_by"] == graph.names[3]
    done = subprocess.run([*program, "check", "--since", "t0", "--ends-only"], cwd=repo.top, capture_output=True, text=True, check=False)
    assert "landed-event-altered" not in done.stdout


@pytest.mark.parametrize(
    "setting", ["logOutputEncoding=UTF-16", "logOutputEncoding=UTF-7", "logOutputEncoding=EBCDIC-US", "logOutputEncoding=latin1", "commitEncoding=UTF-16"]
)
def test_in_which_encoding_this_machine_shows_commits_has_no_say(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, setting: str):
    graph = Graph(tmp_path)
    graph.add({PATH: cask(RECEIVED, EXAMINED, TESTED)})
    graph.add({PATH: cask(RECEIVED, EXAMINED, FAIL)}, 0, author="Bënch Twö")
    repo = opened(graph, monkeypatch)
    repo.git("config", *f"i18n.{setting}".split("="))
    by = f"({graph.names[1][:10]}, Bënch Twö, 2023-11-15)"
    for words in (("review", "t0..t1"), ("check", "--since", "t0", "--format", "concise"), ("check", "--new-since", "t0", "--format", "concise")):
        done = caskbook(*words)
        assert done.returncode == 1 and f'`result` was "pass" when it landed, is "fail" {by}' in done.stdout, (words, done.stdout, done.stderr)


def test_a_commit_that_says_no_author_or_no_day_reads_unknown(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    graph = chain(tmp_path, cask(RECEIVED, EXAMINED, TESTED), cask(RECEIVED, EXAMINED, FAIL))
    repo = opened(graph, monkeypatch)
    written = repo.git("cat-file", "commit", graph.names[1]).replace("Tester <t@example.org> 17", "<> x17")
    (repo.top / "written").write_text(written)
    name = repo.git("hash-object", "-t", "commit", "-w", "--literally", "written").strip()
    repo.git("tag", "odd", name)
    assert f"({name[:10]}, ?, ?)" in caskbook("review", "t0..odd").stdout


def test_json_and_markdown_name_it_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    graph = chain(tmp_path, cask(RECEIVED), cask(RECEIVED, FAIL), cask(RECEIVED))
    opened(graph, monkeypatch)
    (one,) = json.loads(said(capsys, "t0..t2", "json"))["altered"]
    assert (one["code"], one["commit"], one["author"], one["committed_on"]) == ("landed-event-removed", graph.names[2], "Tester", "2023-11-16")
    assert f"({graph.names[2][:10]}, Tester, 2023-11-16)" in said(capsys, "t0..t2", "markdown")
    assert "is gone (" in said(capsys, "t2"), "one commit by itself"


def test_a_force_push_is_said_before_all_else(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    graph = Graph(tmp_path)
    base = graph.add({PATH: cask(RECEIVED)})
    first = graph.add({PATH: cask(RECEIVED, EXAMINED)}, base)
    graph.add({PATH: cask(RECEIVED, EXAMINED, FAIL)}, first)
    graph.add({PATH: cask(RECEIVED, TESTED)}, base)
    opened(graph, monkeypatch)
    out = said(capsys, "t2..t3")
    assert out.startswith("t2 is no ancestor of t3: history was rewritten, or the branches parted; 2 commits of t2 are not in t3\n")
    assert "not in t3: 1 entry of 1 cask (TH-004217)" in out and f"caskbook review {graph.names[0][:10]}..t3" in out
    assert "`result` was" in out and "nothing landed was altered" not in out
    data = json.loads(said(capsys, "t2..t3", "json"))
    assert data["apart"]["commits"] == 2 and not data["clean"] and data["apart"]["base"] == graph.names[0]
    assert said(capsys, "t2..t3", "markdown").startswith("**t2 is no ancestor of t3")
    assert "nothing landed was altered" in said(capsys, "t2...t3", code=0)
    assert check([], None, None, None, "t2", "concise", strict=False, notes=False) == 1
    assert capsys.readouterr().out.startswith("records:1:1: error landed-history-parted ")


def test_histories_without_a_common_commit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    graph = Graph(tmp_path)
    graph.add({PATH: cask(RECEIVED, FAIL)})
    graph.add({PATH: cask(RECEIVED, TESTED)})
    opened(graph, monkeypatch)
    out = said(capsys, "t0..t1")
    assert out.startswith("t0 is no ancestor of t1") and "`result` was" in out


def test_a_swallowed_day_and_who_merged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    graph = Graph(tmp_path)
    base = graph.add({PATH: cask(RECEIVED)})
    yard = graph.add({PATH: cask(RECEIVED, EXAMINED)}, base)
    bench = graph.add({PATH: cask(RECEIVED, TESTED)}, base)
    graph.add({PATH: cask(RECEIVED, EXAMINED)}, yard, bench, author="Merger")
    opened(graph, monkeypatch)
    for span in ("t0..t3", "t1..t3", "t3"):
        assert f"test of 2015-03-20 (dt3q62s1) is gone ({graph.names[3][:10]}, Merger, 2023-11-17)" in said(capsys, span)


def test_a_late_entry_is_told_with_what_it_says_and_who_did_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    late = event("gq6g0001", "2023-05-01", "test", "psi: 11", "result: fail", "leaks: [{at: joint-1}]")
    opened(chain(tmp_path, cask(RECEIVED, EXAMINED), cask(RECEIVED, EXAMINED, late)), monkeypatch)
    text = said(capsys, "t0..t1", code=0)
    assert "entered 1273 days after: FAILED at 11 psi, leaked at joint-1 (ab)" in text
    assert "FAILED at 11 psi" in said(capsys, "t0..t1", "markdown", code=0)
    (one,) = json.loads(said(capsys, "t0..t1", "json", code=0))["late"]
    assert one["said"] == "FAILED at 11 psi, leaked at joint-1" and one["by"] == "ab"


def test_what_was_done_against_the_house_s_rules_stands_under_that_heading(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    hard = event("dt3q62s2", "2015-03-20", "test", "psi: 14", "result: pass", "why: the foreman said so")
    opened(chain(tmp_path, cask(RECEIVED, EXAMINED), cask(RECEIVED, EXAMINED, hard)), monkeypatch)
    text = said(capsys, "t0..t1", code=0)
    assert "\nagainst the house's rules\n  TH-004217 test of 2015-03-20: " in text and '"the foreman said so" (ab)' in text
    assert "### Against the house's rules" in said(capsys, "t0..t1", "markdown", code=0)
    (one,) = json.loads(said(capsys, "t0..t1", "json", code=0))["against"]
    assert (one["code"], one["why"], one["event"]) == ("test-over-house-limit", "the foreman said so", "dt3q62s2")


@pytest.mark.parametrize("severity", ["error", "warning", "note"])
def test_whatever_severity_the_house_gives_its_rule_an_entry_against_it_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], severity: str
):
    hard = event("dt3q62s2", "2015-03-20", "test", "psi: 14", "result: pass", "why: the foreman said so")
    house = {"records/house.yaml": HOUSE + f"severities: {{test-over-house-limit: {severity}}}\n"}
    opened(chain(tmp_path, {**house, PATH: cask(RECEIVED, EXAMINED)}, {**house, PATH: cask(RECEIVED, EXAMINED, hard)}), monkeypatch)
    text = said(capsys, "t0..t1", code=0)
    assert "\nagainst the house's rules\n  TH-004217 test of 2015-03-20: " in text and '"the foreman said so" (ab)' in text
    data = json.loads(said(capsys, "t0..t1", "json", code=0))
    assert [one["code"] for one in data["against"]] == ["test-over-house-limit"]


def test_an_entry_that_the_check_calls_an_error_is_not_told_as_done_without_a_word(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    fire = event("dt9q62s2", "2015-04-20", "char", "level: 3")
    opened(chain(tmp_path, cask(RECEIVED, EXAMINED, TESTED, FILLED), cask(RECEIVED, EXAMINED, TESTED, FILLED, fire)), monkeypatch)
    text = said(capsys, "t0..t1", code=0)
    assert "\nerrors, which the check finds in what was entered\n  TH-004217 char of 2015-04-20: " in text
    assert "### Errors, which the check finds in what was entered" in said(capsys, "t0..t1", "markdown", code=0)
    (one,) = json.loads(said(capsys, "t0..t1", "json", code=0))["errors"]
    assert (one["cask"], one["event"], one["code"], one["by"]) == ("TH-004217", "dt9q62s2", "job-on-full-cask", "ab") and one["fault"] in text


def test_the_day_of_an_error_that_nobody_can_read_is_not_guessed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    noted = event("dt9q62s2", "20 March 2015", "note", "note: dry")
    opened(chain(tmp_path, cask(RECEIVED, EXAMINED), cask(RECEIVED, EXAMINED, noted)), monkeypatch)
    told = json.loads(said(capsys, "t0..t1", "json", code=0))["errors"]
    assert told and {one["text"] for one in told} == {"note of ?"} and "20 March 2015" in told[0]["fault"]


def test_the_same_of_many_is_one_line_and_json_keeps_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    names = [f"TH-0060{n:02d}" for n in range(30)]
    book = {f"records/casks/TH-006/{name}.yaml": cask(RECEIVED, TESTED.replace("psi: 11", f"psi: {5 + n % 7}"), cask_id=name) for n, name in enumerate(names)}
    heads = {path: text.replace("charred: 2011", "charred: 2012") for path, text in book.items()}
    pressed = {path: text.replace("psi: ", "psi: 1") for path, text in heads.items()}
    graph = chain(tmp_path, book, heads, pressed)
    opened(graph, monkeypatch)
    text = said(capsys, "t0..t2")
    assert f"30 casks: `charred` was 2011 when it landed, is 2012 ({graph.names[1][:10]}, Tester, 2023-11-15) (TH-006000..006029)" in text
    assert text.count("`psi`") <= 7 and len(text.splitlines()) < 20, text
    assert len(json.loads(said(capsys, "t0..t2", "json"))["altered"]) == 60
    many = Graph(tmp_path / "one")
    rows = [event(f"e00000{n:02d}", "2016-01-01", "note", f"note: n{n}") for n in range(30)]
    many.add({PATH: cask(RECEIVED, *rows)})
    many.add({PATH: cask(RECEIVED)}, 0)
    opened(many, monkeypatch)
    assert f"  30 entries of 1 cask: gone (TH-004217) ({many.names[1][:10]}, Tester, 2023-11-15)\n" in said(capsys, "t0..t1")


def test_a_dated_setting_tells_what_it_makes_due_and_what_at_emptying(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    """Two casks of two fills since char, one of them full; the limit falls from 3 to 2 by a new dated row."""
    books = {PATH: cask(*LONG), "records/casks/TH-004/TH-004218.yaml": cask(*LONG, EMPTIED, cask_id="TH-004218")}
    rows = HOUSE + "due:\n  rechar:\n    soon_at: 2\n    due_at:\n      - {since: 2010-01-01, value: 3}\n"
    graph = chain(tmp_path, {**books, "records/house.yaml": rows}, {**books, "records/house.yaml": rows + "      - {since: 2023-01-01, value: 2}\n"},
                  {**books, "records/house.yaml": rows + "      - {since: 2023-01-01, value: 2}\n      - {since: 2030-01-01, value: 3}\n"})  # fmt: skip
    opened(graph, monkeypatch)
    out = said(capsys, "t0..t1", code=0)
    assert "due.rechar.due_at 2 from 2023-01-01: 1 cask newly due, 1 newly at emptying" in out
    (one,) = json.loads(said(capsys, "t1..t2", "json", code=0))["settings"]
    assert (one["no_longer"], one["no_longer_at_emptying"]) == (1, 1), "counted on the day it starts"


def test_an_undated_setting_is_told_with_the_way_out_and_a_stray_file_and_a_mode_by_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    graph = Graph(tmp_path)
    graph.add({PATH: cask(RECEIVED), "records/house.yaml": HOUSE + "test_limit_psi: 11\n"})
    graph.add({PATH: cask(RECEIVED), "records/house.yaml": HOUSE + "test_limit_psi: 12\n", "records/casks/TH-004/notes.txt": "x"}, 0)
    graph.add({**graph.commits[1][1]}, 1, modes={PATH: "100755"})
    opened(graph, monkeypatch)
    out = said(capsys, "t0..t1", code=0)
    assert "setting  test_limit_psi 11 → 12; undated, so the past is judged anew: write a list of {since, value}" in out
    assert "stray    casks/TH-004/notes.txt lies among the casks and is none" in out
    assert "TH-004217 this was a plain file when it landed, is a program (" in said(capsys, "t0..t2")
    assert BESIDE


def test_a_book_that_was_moved_is_named_and_compared_where_it_lies_now(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    graph = chain(tmp_path, cask(RECEIVED, FAIL))
    files = graph.commits[0][1]
    graph.commits.append(((0,), {path.replace("records/", "book/"): text.replace("psi: 11", "psi: 9") for path, text in files.items()}, "Mover", {}))
    opened(graph, monkeypatch)
    monkeypatch.setenv("CASKBOOK_RECORDS", "book")
    out = said(capsys, "t0..t1")
    assert "the book lay in records/ when it landed, is in book/" in out and "`psi` was 11 when it landed, is 9" in out
    assert check([], None, None, None, "t0", "concise", strict=False, notes=False) == 1
    assert "landed-file-renamed" in capsys.readouterr().out


def test_what_was_altered_behind_an_unreadable_version_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    opened(chain(tmp_path, cask(RECEIVED, FAIL), cask(RECEIVED, FAIL) + '    x: "open\n', cask(RECEIVED, TESTED)), monkeypatch)
    assert '`result` was "fail" when it landed, is "pass"' in said(capsys, "t0..t2")
