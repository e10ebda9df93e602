"""`undo` gives a file back byte for byte, however the file was written before the run."""

from __future__ import annotations

import io
import subprocess
from pathlib import Path

import pytest
from entry.conftest import shop as shop
from entry.shop import CASK, Shop, days_ago
from entry.states import STATES
from laws import crossed
from run_notes import noted, put_note

from caskbook.cli.commands import correct
from caskbook.entry import undo

READY = STATES["ready"] or []
EMPTY = ("events:", "events: []", "events: [ ]", "events: null", "events: ~", "events: [] # none yet", "events:   # none yet", "# no events at all")


def _written(shop: Shop, text: str) -> Path:
    subprocess.run(["git", "init", "-q", str(shop.root.parent)], check=True)
    path = shop.path()
    path.write_bytes(text.encode())
    return path


def _given_back(shop: Shop, path: Path, *runs: tuple[str, ...]) -> None:
    before = path.read_bytes()
    for words in runs:
        ran = shop.enter(*words)
        assert ran.code == 0, ran.err
    assert path.read_bytes() != before
    ran = shop.run(correct.undo, "--yes")
    assert ran.code == 0, ran.err
    assert path.read_bytes() == before


@pytest.mark.thorough
@crossed("end,newline,spaced,day", ["", "\n", "\n\n", "\n# the end", "\n# the end\n", "\n\n# the end"], ["\n", "\r\n"], [False, True, True], [0, 0, 25, 25])
def test_whatever_the_file_ends_in(shop: Shop, end: str, newline: str, spaced: bool, day: int) -> None:
    text = shop.put(*READY).read_text().removesuffix("\n")
    text = text.replace("\n  - id", "\n\n  - id") if spaced else text
    path = _written(shop, (text + end).replace("\n", newline))
    _given_back(shop, path, ("note", CASK, "--note", "x", "--date", days_ago(day).isoformat(), "--yes"))


@pytest.mark.thorough
@crossed("empty,newline,end", EMPTY, ["\n", "\r\n"], ["", "\n", "\n\n", "\n# the end", ""])
def test_whatever_stands_where_no_events_are(shop: Shop, empty: str, newline: str, end: str) -> None:
    text = shop.put().read_text().replace("events: []\n", empty)
    path = _written(shop, (text + end).replace("\n", newline))
    _given_back(shop, path, ("receive", CASK, "accept", "--yes"))


def test_a_line_below_that_somebody_added_since_keeps_the_newline_it_needs(shop: Shop) -> None:
    path = _written(shop, shop.put(*READY).read_text().removesuffix("\n"))
    before = path.read_bytes()
    assert shop.enter("note", CASK, "--note", "x").code == 0
    last = "  - {id: z0000000, date: 2026-01-01, job: note, by: ab, note: y}"
    path.write_bytes(path.read_bytes() + last.encode())
    assert shop.run(correct.undo, "--yes").code == 0
    assert path.read_bytes() == before + b"\n" + last.encode()


def test_a_list_that_somebody_commented_is_emptied_beside_another_change(shop: Shop) -> None:
    path = _written(shop, shop.put().read_text().replace("events: []", "events: [] # none yet"))
    assert shop.enter("receive", CASK, "accept", "--yes").code == 0
    path.write_text("# a barrel\n" + path.read_text())
    ran = shop.run(correct.undo, "--yes")
    assert ran.code == 0 and path.read_text().startswith("# a barrel\n") and path.read_text().endswith("\nevents: [] # none yet\n"), ran.err


def test_a_scan_of_one_cask_twice_is_taken_back_to_what_was_before(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    path = _written(shop, shop.put(*READY).read_text().removesuffix("\n"))
    before = path.read_bytes()
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{CASK}\n{CASK}\nundo\n{CASK}\n"))
    assert shop.enter("scan", "note", "--note", "x", "--by", "ab", "--anyway", "--why", "twice").code == 0
    assert path.read_text().count("note: x") == 2
    assert shop.run(correct.undo, "--yes").code == 0 and path.read_bytes() == before


def test_what_is_noted_of_a_run_writes_nothing_else_into_a_file(shop: Shop) -> None:
    path = _written(shop, shop.put(*READY).read_text())
    before = path.read_bytes()
    assert shop.enter("note", CASK, "--note", "x").code == 0
    run = noted(shop.root)
    other = before.replace(b"staves: 31", b"staves: 30")
    run["files"][0]["steps"] = [undo._step(other, path.read_bytes())]
    put_note(shop.root, run)
    assert shop.run(correct.undo, "--yes").code == 0 and path.read_bytes() == before
