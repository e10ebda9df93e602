"""Numbers that are said to be one cask: chains go on to the last, rings join nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook

from caskbook.joins import goes_on, lawful

A, B, C, D = (f"TH-00000{n}" for n in range(1, 5))


def test_a_chain_goes_on_to_the_last() -> None:
    assert goes_on([(B, [A]), (C, [B])]) == {A: C, B: C}


def test_rings_join_nothing_and_leave_others_alone() -> None:
    assert lawful({A: [A]}) == {}
    assert lawful({A: [B], B: [A]}) == {}
    assert lawful({A: [B, D], B: [C], C: [A]}) == {A: [D]}


def book(folder: Path, **claims: str) -> Path:
    assert caskbook("init", str(folder)).returncode == 0
    for cask in (A, B, C):
        path = folder / "casks" / cask[:-3] / f"{cask}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        joined = f"  - {{id: e1000001, date: 2020-01-02, job: same-as, of: {claims[cask[-1:]]}, why: x}}\n" if cask[-1:] in claims else ""
        path.write_text(f"cask: {cask}\nformat: 1\ntype: barrel\nevents:\n  - {{id: e1000000, date: 2020-01-01, job: receive, verdict: accept}}\n{joined}")
    return folder


def test_casks_in_a_ring_stay_listed_with_the_index_and_without(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = book(tmp_path / "book", **{"1": B, "2": C, "3": A})
    for mode in ("off", "on"):
        monkeypatch.setenv("CASKBOOK_INDEX", mode)
        listed = caskbook("list", "--records", str(root))
        due = caskbook("due", "--all", "--format", "csv", "--records", str(root))
        checked = caskbook("check", "--records", str(root))
        shown = caskbook("show", A, "--records", str(root))
        assert all(cask in listed.stdout and cask in due.stdout for cask in (A, B, C)), mode
        assert "joined-in-a-ring" in checked.stdout and checked.returncode == 1
        assert "joined:" not in shown.stdout
