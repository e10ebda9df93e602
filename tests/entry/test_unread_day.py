"""An entry whose day cannot be read: no road of putting right falls over it, and `redate` gives it its day."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook

pytestmark = pytest.mark.thorough

HEAD = "cask: {cask}\nformat: 1\ntype: barrel\ncapacity_l: 200\nstaves: 31\nheads: [5, 5]\nhoops: 6\nprior: []\ncharred: 2011\nevents:\n"
EVENTS = (
    "{id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}",
    "{id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}",
    "{id: e1000003, DAYjob: nose, by: ab, verdict: clean}",
    "{id: e1000004, date: 2020-03-01, job: note, by: ab, note: seen}",
)
DAYS = {"word": "date: soon, ", "impossible": "date: '2020-02-31', ", "none": ""}


@pytest.fixture(params=DAYS)
def book(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    (tmp_path / "house.yaml").write_text("timezone: UTC\ncrew: [{initials: ab}]\n")
    (tmp_path / "casks" / "TH-004").mkdir(parents=True)
    for number, events in (("TH-004217", EVENTS), ("TH-004218", EVENTS[:1])):
        text = HEAD.format(cask=number) + "".join(f"  - {event}\n" for event in events).replace("DAY", DAYS[request.param])
        (tmp_path / "casks" / "TH-004" / f"{number}.yaml").write_text(text)
    return tmp_path


ROADS = {
    "move": ("move-event", "TH-004217", "e1000003", "--to", "TH-004218", "--why", "wrong cask", "--by", "ab", "--yes"),
    "replace": ("enter", "nose", "TH-004217", "--verdict", "clean", "--replaces", "e1000003", "--why", "misread", "--by", "ab", "--yes"),
    "before": ("enter", "note", "TH-004217", "--note", "x", "--before", "e1000003", "--by", "ab", "--yes"),
    "before a day": ("enter", "note", "TH-004217", "--note", "x", "--before", "e1000003", "--date", "2020-02-02", "--by", "ab", "--yes"),
}


@pytest.mark.parametrize("road", ROADS)
def test_what_takes_over_its_day_says_what_to_do_and_writes_nothing(book: Path, road: str) -> None:
    before = (book / "casks" / "TH-004" / "TH-004217.yaml").read_bytes()
    done = caskbook(*ROADS[road], cwd=book)
    assert done.returncode in (1, 2) and (book / "casks" / "TH-004" / "TH-004217.yaml").read_bytes() == before
    said = "the day of e1000003 of TH-004217 cannot be read: give it the right one first (caskbook redate TH-004217 e1000003 --date DAY)"
    assert said in done.stderr and "fault of the program" not in done.stderr, done.stderr


def test_it_gets_its_day_and_can_be_moved_then(book: Path) -> None:
    done = caskbook("redate", "TH-004217", "e1000003", "--date", "2020-02-01", "--yes", cwd=book)
    assert done.returncode == 0, done.stdout + done.stderr
    new = done.stdout.split()[1]
    assert "why: its day cannot be read" in (book / "casks" / "TH-004" / "TH-004217.yaml").read_text()
    done = caskbook("move-event", "TH-004217", new, "--to", "TH-004218", "--why", "wrong cask", "--by", "ab", "--yes", cwd=book)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("words", [("void", "TH-004217", "e1000003"), ("void", "TH-004217", "e1000002")])
def test_it_can_be_put_out_of_force_and_so_can_what_stands_beside_it(book: Path, words: tuple[str, ...]) -> None:
    assert caskbook(*words, "--why", "wrong", "--by", "ab", "--yes", cwd=book).returncode == 0
