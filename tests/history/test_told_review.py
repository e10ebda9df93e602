"""What a review tells of corrections, of settings that begin later, of commits that hold no entry, and of what came in beside the casks."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from caskbook.cli.check import run as check
from caskbook.cli.review import run
from history.graphs import ATTRIBUTES, Graph, chain
from history.ledgers import EMPTIED, EXAMINED, FILLED, HOUSE, RECEIVED, TESTED, Repo, cask, event

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
    assert "due.rechar.due_at 2 from 2030-01-01: from that day 1 cask newly due, 1 more at emptying" in said(capsys, "t0..t1")
    assert "due_at 3 → [{since: 2010-01-01, value: 3}, {since: 2030-01-01, value: 2}]: from 2030-01-01 1 cask newly due" in said(capsys, "t2..t3").replace("from that day", "from 2030-01-01")
    (one,) = json.loads(said(capsys, "t0..t1", "json"))["settings"]
    assert one["counted_on"] == "2030-01-01" and one["newly_due"] == 1
    now = rows + "      - {since: 2023-01-01, value: 2}\n"
    opened(chain(tmp_path / "now", *({**books, "records/house.yaml": house} for house in (rows, now))), monkeypatch)
    assert "due_at 2 from 2023-01-01: 1 cask newly due" in said(capsys, "t0..t1"), "a day past needs no such word"
    assert ATTRIBUTES and os
