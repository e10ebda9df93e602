"""Thousands of corrections in a row are read in a time that grows with their number, and not with its square."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from casks import cask_data, ev

from caskbook.model.cask import Cask, read_cask
from caskbook.model.standing import _Resolver, corrections
from caskbook.yaml.write import flow_text


def _chain(kind: str, count: int) -> Cask:
    """Each entry corrects the one before; or all of them the first."""
    rows: list[dict[str, Any]] = [ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "note", note="seen")]
    for n in range(3, count + 1):
        before = f"e{2 if kind == 'rivals' else n - 1:07d}"
        rows.append(
            ev("2020-01-02", "void", of=before, why="wrong") if kind == "voids" else ev("2020-01-02", "note", note="seen", replaces=before, why="wrong")
        )
    cask, faults = read_cask(cask_data(*rows))
    assert cask is not None and not faults
    return cask


@pytest.mark.thorough
@pytest.mark.parametrize("kind", ["replaces", "voids", "rivals"])
def test_the_questions_asked_grow_with_the_number_of_corrections(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = [0]
    usual = _Resolver._needs

    def counted(self: _Resolver, question: tuple[str, str]) -> list[tuple[str, str]]:
        found = usual(self, question)
        asked[0] += 1 + len(found)
        return found

    monkeypatch.setattr(_Resolver, "_needs", counted)
    work = {}
    for count in (100, 400):
        asked[0] = 0
        corrections(_chain(kind, count).events)
        work[count] = asked[0]
    assert work[400] < 4.5 * work[100], work


def test_of_a_long_chain_only_the_last_stands() -> None:
    cask = _chain("replaces", 2000)
    fallen = corrections(cask.events).fallen
    assert [event.id for event in cask.events if event.id not in fallen] == ["e0000001", "e0002000"] and set(fallen.values()) == {"e0002000"}


@pytest.mark.thorough
@pytest.mark.parametrize("kind", ["replaces", "voids"])
def test_check_and_show_answer_soon(kind: str, tmp_path: Path) -> None:
    root = tmp_path / "book"
    (root / "casks" / "TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew:\n  - {initials: ab}\n")
    data = {**cask_data(), "events": []}
    lines = [f"{key}: {flow_text(value)}" for key, value in data.items() if key != "events"] + ["events:"]
    for event in _chain(kind, 2000).events:
        fields = event.model_dump(mode="json", exclude_none=True, exclude_defaults=True)
        lines += [f"  {'- ' if key == 'id' else '  '}{key}: {value}" for key, value in fields.items()]
    (root / "casks" / "TH-004" / "TH-004217.yaml").write_text("\n".join(lines) + "\n")
    begun = time.process_time()
    for words in (["check", "TH-004217"], ["show", "TH-004217"]):
        start = time.monotonic()
        done = subprocess.run([sys.executable, "-m", "caskbook", *words], cwd=root, capture_output=True, text=True, timeout=60)
        assert done.returncode == 0, done.stdout[:500] + done.stderr[:500]
        assert time.monotonic() - start < 20  # it takes half a second; the square would take longer than this on a busy machine
    assert time.process_time() - begun < 5
