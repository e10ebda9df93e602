"""A key that stands twice with two values: nobody knows which of them holds, so neither does, on any screen, in data or in a sum."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook

from caskbook.model.cask_file import read_record

HEAD = "cask: TH-004217\nformat: 1\ntype: barrel\ncapacity_l: 200\nprior: [{contents: bourbon, fills: 1}]\ncharred: 2010\n"
CAME = """events:
  - {id: e1000001, date: 2026-01-01, job: receive, by: ab, verdict: accept}
  - {id: e1000002, date: 2026-11-02, job: examine, by: ab, verdict: sound}
"""
LAST = "  - id: e1000003\n    date: 2026-11-03\n    job: {job}\n    by: ab\n"
DAY = ("--as-of", "2026-11-29")


def entry(job: str, *lines: str) -> str:
    return LAST.format(job=job) + "".join(f"    {line}\n" for line in lines)


NOSED = entry("nose", "verdict: clean", "verdict: fault", "faults: [musty]")
FILLED = entry("fill", "spirit: malt", "litres: 188", "litres: 177", "abv: 60", "at_20: true")


def read(text: str) -> Any:
    return read_record("TH-004217.yaml", text.encode())


@pytest.mark.parametrize(
    ("last", "lost"),
    [
        (NOSED, {"verdict"}),
        (FILLED, {"litres"}),
        (entry("move", "berth: W1/77", "berth: W1/78"), {"berth"}),
        (entry("move", "berth: W1/77", "date: 2026-11-04"), {"date"}),
        (entry("test", "psi: 10", "psi: 11", "water_l: 2", "result: pass"), {"psi"}),
        (entry("test", "psi: 10", "water_l: 2", "result: fail", "leaks: [{at: joint-2, at: joint-3}]"), {"leaks"}),
        ("  - {id: e1000003, date: 2026-11-03, job: move, by: ab, berth: W1/77, berth: W1/78}\n", {"berth"}),
        (entry("move", "berth: W1/77", "berth: W1/77"), set()),
        (entry("note", "note: x"), set()),
    ],
)
def test_of_two_values_none_is_taken(last: str, lost: set[str]) -> None:
    record = read(HEAD + CAME + last)
    event = record.cask.events[-1]
    assert event.lost == lost and ("duplicate-key" in event.codes) == bool(lost)
    codes = [one.code for one in record.findings]
    assert codes.count("duplicate-key") == (last.count("berth: W1/77\n    berth: W1/77") or bool(lost)) and "missing-field" not in codes


def test_two_jobs_are_none_and_two_values_of_the_head_are_none_either() -> None:
    cask = read(HEAD + CAME + entry("nose", "verdict: clean", "job: note")).cask
    assert [event.job for event in cask.events] == ["receive", "examine"] and [one.codes for one, _ in cask.unread] == [("duplicate-key",)]
    head = read(HEAD + "charred: 2001\ncapacity_l: 190\n" + CAME).cask.head
    assert (head.charred, head.capacity_l, head.lost) == (None, None, {"charred", "capacity_l"})
    assert read(HEAD + "charred: 2010\n" + CAME).cask.head.charred == 2010
    assert read("cask: TH-004218\n" + HEAD + CAME).cask is None


@pytest.mark.parametrize(
    ("text", "left_out"),
    [
        ("events: [{id: e1000009, date: 2026-11-04, job: nose, verdict: fault, faults: [musty]}]\n", "what a second `events` says"),
        ("events: []\n", "what a second `events` says"),
        ("", ""),
    ],
)
def test_a_second_list_of_entries_in_one_line_is_left_out_too(text: str, left_out: str) -> None:
    assert read(HEAD + CAME + text).cask.left_out == left_out


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
def test_no_screen_takes_the_first_of_two_values(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, index: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    (tmp_path / "house.yaml").write_text("timezone: UTC\ncrew: [{initials: ab}]\n")
    path = tmp_path / "casks" / "TH-004" / "TH-004217.yaml"
    path.parent.mkdir(parents=True)

    def told(*words: str) -> Any:
        return caskbook(*words, *DAY, "--records", str(tmp_path))

    path.write_text(HEAD + CAME + NOSED)
    card = json.loads(told("show", "TH-004217", "--format", "json").stdout)
    assert (card["state"], card["fitness"], card["taint"], card["marks"]) == ("unexamined", "unexamined", None, None)
    assert "TH-004217 is told in part" in told("ready").stderr
    assert [one["group"] for one in json.loads(told("ready", "--format", "json").stdout)["groups"] if one["of"]] != ["ready now"]
    assert json.loads(told("list", "--state", "ready", "--format", "json").stdout) == []
    assert "nose of 2026-11-03" in " ".join(told("due", "--all").stdout.split())
    path.write_text(HEAD + CAME + FILLED)
    asked = json.loads(
        told("query", "SELECT event.litres AS one, fill.litres AS two FROM event JOIN fill USING (cask) WHERE job = 'fill'", "--format", "json").stdout
    )
    assert asked == [{"one": None, "two": None}]
    assert "188" not in told("show", "TH-004217").stdout
