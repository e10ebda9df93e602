"""Numbers that are said to be one cask: chains go on to the last, rings join nothing."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook

from caskbook.model.joins import goes_on, lawful

pytestmark = pytest.mark.thorough

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


def test_what_two_files_claim_goes_on_in_neither() -> None:
    assert lawful({A: [C], B: [C]}) == {} and lawful({A: [C, D], B: [C]}) == {A: [D]}
    assert lawful({A: [C]}, {C: [B]}) == {} and lawful({A: [C]}, {C: [A]}) == {A: [C]}
    assert lawful({A: [C], C: [C]}) == {A: [C]}  # what a file says of itself is no claim
    assert goes_on([(A, [C]), (B, [C])]) == {}


def figures(root: Path) -> tuple[dict[str, Any], ...]:
    """What every command says of the three casks: their fills, who is joined to whom, and which stand in the lists."""

    def rows(*words: str) -> list[dict[str, Any]]:
        told = caskbook(*words, "--format", "json", "--records", str(root))
        assert "Traceback" not in told.stderr, told.stderr
        found = json.loads(told.stdout)
        return found if isinstance(found, list) else found.get("casks", found.get("verdicts", []))

    cards = [json.loads(caskbook("show", cask, "--format", "json", "--records", str(root)).stdout) for cask in (A, B, C)]
    shown = {card["cask"]: (card.get("fills"), card.get("joined")) for card in cards}
    queried = {row["cask"]: row["fills"] for row in rows("query", "SELECT cask, fills FROM cask")}
    listed = sorted(row["cask"] for row in rows("list"))
    due = sorted({row["cask"] for row in rows("due", "--all")})
    return shown, queried, listed, due  # type: ignore[return-value]


FILL = "  - {id: e1000000, date: 2019-01-02, job: fill, by: ab, spirit: malt, litres: 190, abv: 60, at_20: true}\n"


@pytest.mark.parametrize("mode", ["off", "on"])
def test_of_a_number_claimed_twice_nobody_can_tell_whose_fills_are_whose_and_it_stays_a_cask(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mode: str
) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    root = book(tmp_path / "book", **{"1": C})
    path = root / "casks" / A[:-3]
    third = path / f"{C}.yaml"
    third.write_text(third.read_text() + FILL.replace("2019", "2020").replace("e1000000", "e1000009"))
    alone, second = (path / f"{B}.yaml").read_text(), f"  - {{id: e1000001, date: 2020-01-02, job: same-as, of: {C}, why: x}}\n"
    once = ({A: (1, [C]), B: (0, []), C: (None, A)}, {A: 1, B: 0}, [A, B], [A, B])
    twice = ({A: (None, []), B: (None, []), C: (None, [])}, {A: None, B: None, C: None}, [A, B, C], [A, B, C])
    for text, told in ((alone, once), (alone + second, twice), (alone, once), (alone + second, twice)):  # the index has to follow
        (tmp_path / "new").write_text(text)
        (tmp_path / "new").replace(path / f"{B}.yaml")  # as caskbook and most editors write
        assert figures(root) == told
    checked = caskbook("check", "--format", "json", "--records", str(root))
    assert [found["cask"] for found in json.loads(checked.stdout)["findings"] if found["code"] == "joined-twice"] == [A, B]
    for cask in (A, B):
        one = caskbook("check", cask, "--records", str(root))
        card = caskbook("show", cask, "--records", str(root))
        assert one.returncode == card.returncode == 1 and "joined-twice" in one.stdout
        assert "[joined-twice]" in card.stdout and "1 error in the file" in card.stdout
        events = json.loads(caskbook("show", cask, "--format", "json", "--records", str(root)).stdout)["events"]
        assert events[-1]["findings"] == ["joined-twice"]
