"""What two files do not tell alike: a number that both claim, numbers that claim each other, an entry moved in one of them alone. Of such casks nobody
can tell whether they are fit, be there an index or not, and each is told again as soon as the files agree."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from casks import cask_data, ev
from commands import caskbook

from caskbook.model.untold import untold

pytestmark = pytest.mark.thorough

DAY = ("--as-of", "2026-11-29")
OLD, ONE, TWO = "TH-000001", "TH-000002", "TH-000003"
CAME = ev("2026-11-01", "receive", verdict="accept")
FAULT = {**ev("2026-11-02", "nose", verdict="fault", faults=["musty"]), "id": "e0000050"}
SOUND = {**ev("2026-11-20", "examine", verdict="sound"), "id": "e0000060"}
JOIN = {**ev("2026-11-21", "same-as", of=OLD, why="two stencils"), "id": "e0000070"}
MOVED = {**ev("2026-11-21", "moved", of=FAULT["id"], to=TWO, why="misread"), "id": "e0000080"}
COPY = {**FAULT, "id": "e0000055", "moved_from": f"{ONE}/{FAULT['id']}"}
HELD = {**ev("2026-11-22", "void", of=COPY["id"], why="of neither"), "id": "e0000090"}


def put(root: Path, cask: str, *events: dict[str, Any]) -> None:
    path = root / "casks" / cask[:-3] / f"{cask}.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    new = path.with_suffix(".new")
    new.write_text(json.dumps(cask_data(*events, cask=cask)), encoding="utf-8")
    new.replace(path)


@pytest.fixture(params=["on", "off"])
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> Path:
    monkeypatch.setenv("CASKBOOK_INDEX", request.param)
    book = tmp_path / "book"
    book.mkdir()
    (book / "house.yaml").write_text("timezone: UTC\ncrew: [{initials: ab}]\ndue: {claim: {off: true}}\n", encoding="utf-8")
    return book


def rows(root: Path, *words: str) -> Any:
    ran = caskbook(*words, *DAY, "--format", "json", "--records", str(root))
    assert "Traceback" not in ran.stderr, ran.stderr
    return json.loads(ran.stdout)


def fit(root: Path) -> dict[str, tuple[str | None, ...]]:
    """Cask → its fitness by list, show and query, and its group by ready."""
    listed = {row["cask"]: row["fitness"] for row in rows(root, "list", "--columns", "cask,fitness")}
    asked = {row["cask"]: row["fitness"] for row in rows(root, "query", "SELECT cask, fitness FROM cask")}
    groups = {one["cask"]: row["group"] for row in rows(root, "ready")["groups"] for one in row["of"]}
    return {cask: (word, rows(root, "show", cask)["fitness"], asked[cask], groups.get(cask)) for cask, word in listed.items()}


READY = ("ready", "ready", "ready", "ready now")
HOLD = ("held", "held", "held", "three or more")
NOBODY = (None, None, None, None)


def found(root: Path) -> set[tuple[str, str]]:
    ran = caskbook("check", "--format", "json", "--records", str(root))
    return {(one["cask"], one["code"]) for one in json.loads(ran.stdout)["findings"] if one["severity"] == "error"}


def test_a_number_that_two_files_claim_leaves_all_three_untold(root: Path) -> None:
    other = {**CAME, "id": "e0000009"}
    put(root, OLD, CAME, FAULT)
    put(root, ONE, CAME, SOUND)
    put(root, TWO, other, SOUND)
    assert fit(root) == {OLD: HOLD, ONE: READY, TWO: READY}
    put(root, ONE, CAME, SOUND, JOIN)
    assert fit(root) == {ONE: HOLD, TWO: READY}
    put(root, TWO, other, SOUND, JOIN)
    assert fit(root) == {OLD: NOBODY, ONE: NOBODY, TWO: NOBODY}
    assert found(root) == {(ONE, "joined-twice"), (TWO, "joined-twice")}
    for cask in (OLD, ONE, TWO):
        card = caskbook("show", cask, *DAY, "--records", str(root)).stdout
        assert "STATE NOT KNOWN" in card and f"history of {OLD}, which {ONE} and {TWO} claim" in " ".join(card.split())
    assert rows(root, "show", OLD)["marks"] == ["tainted", "held"]
    put(root, TWO, other, SOUND, JOIN, {**ev("2026-11-22", "void", of=JOIN["id"], why="misread"), "id": "e0000090"})
    assert fit(root) == {ONE: HOLD, TWO: READY} and found(root) == set()


def test_a_number_taken_over_that_the_book_does_not_have_leaves_the_one_that_goes_on_untold(root: Path) -> None:
    """Its history was said to be this cask's: deleted, put into a wrong folder or named otherwise it is not read, and may have told of a fault."""
    path = root / "casks" / OLD[:-3] / f"{OLD}.yaml"
    put(root, OLD, CAME, FAULT)
    put(root, ONE, CAME, SOUND, JOIN)
    put(root, TWO, CAME, SOUND, {**JOIN, "of": ONE})
    assert fit(root) == {TWO: HOLD}
    for elsewhere in (path.with_suffix(".yml"), root / "casks" / "TH-009" / path.name, root / "gone.yaml"):
        elsewhere.parent.mkdir(exist_ok=True)
        path.rename(elsewhere)
        assert fit(root)[TWO] == NOBODY and found(root) in ({(ONE, "same-as-unknown")}, {(OLD, "cask-in-wrong-folder")})
        assert rows(root, "show", TWO)["marks"] is None
        card = " ".join(caskbook("show", TWO, *DAY, "--records", str(root)).stdout.split())
        assert "STATE NOT KNOWN" in card and f"file of {OLD}, which the book does not have" in card
        assert f"{TWO} is told in part" in caskbook("ready", *DAY, "--records", str(root)).stderr
        elsewhere.rename(path)
        assert fit(root) == {TWO: HOLD}
    path.unlink()
    put(root, ONE, CAME, SOUND, JOIN, {**ev("2026-11-22", "void", of=JOIN["id"], why="misread"), "id": "e0000090"})
    assert fit(root) == {TWO: READY}


def test_a_clean_number_that_two_files_claim_is_not_fit_by_its_own_file_either(root: Path) -> None:
    put(root, OLD, CAME, SOUND)
    put(root, ONE, CAME, FAULT, JOIN)
    put(root, TWO, CAME, JOIN)
    assert fit(root) == {OLD: NOBODY, ONE: NOBODY, TWO: NOBODY}


def test_numbers_that_claim_each_other_are_untold(root: Path) -> None:
    put(root, OLD, CAME, FAULT, {**JOIN, "of": ONE})
    put(root, ONE, CAME, SOUND, JOIN)
    put(root, TWO, CAME, SOUND, {**JOIN, "of": TWO})
    assert fit(root) == {OLD: NOBODY, ONE: NOBODY, TWO: READY}  # Of what a number says of itself nothing is lacking.


def test_an_entry_that_was_moved_and_arrived_nowhere_leaves_both_untold(root: Path) -> None:
    put(root, ONE, CAME, FAULT, SOUND)
    put(root, TWO, CAME, SOUND)
    assert fit(root) == {ONE: HOLD, TWO: READY}
    put(root, ONE, CAME, FAULT, SOUND, MOVED)
    assert fit(root) == {ONE: NOBODY, TWO: NOBODY} and found(root) == {(ONE, "moved-without-its-copy")}
    put(root, TWO, CAME, COPY, SOUND)
    assert fit(root) == {ONE: READY, TWO: HOLD} and found(root) == set()
    put(root, TWO, CAME, COPY, SOUND, HELD)
    assert fit(root) == {ONE: READY, TWO: READY} and found(root) == set()
    put(root, TWO, CAME, SOUND)
    assert fit(root) == {ONE: NOBODY, TWO: NOBODY}


def test_an_entry_that_was_taken_and_still_counts_where_it_was_leaves_both_untold(root: Path) -> None:
    moved = {**MOVED, "of": SOUND["id"]}
    copy = {**SOUND, "id": "e0000065", "moved_from": f"{ONE}/{SOUND['id']}"}
    put(root, ONE, CAME, SOUND)
    put(root, TWO, CAME, copy)
    assert fit(root) == {ONE: NOBODY, TWO: NOBODY} and found(root) == {(TWO, "copy-without-its-original")}
    put(root, ONE, CAME, SOUND, moved)
    assert fit(root)[TWO] == READY and fit(root)[ONE][0] == "unexamined" and found(root) == set()


@pytest.mark.parametrize(
    "other",
    [
        {"verdict": "clean", "faults": None},
        {"faults": ["acetic"]},
        {"date": "2026-11-03"},
        {"job": "examine", "verdict": "sound", "faults": None},
    ],
)
def test_a_copy_that_says_something_else_is_no_copy(root: Path, other: dict[str, Any]) -> None:
    put(root, ONE, CAME, FAULT, SOUND, MOVED)
    put(root, TWO, CAME, {key: value for key, value in {**COPY, **other}.items() if value is not None}, SOUND)
    assert fit(root) == {ONE: NOBODY, TWO: NOBODY}
    assert found(root) == {(ONE, "moved-without-its-copy"), (TWO, "copy-without-its-original")}
    card = " ".join(caskbook("show", ONE, *DAY, "--records", str(root)).stdout.split())
    assert f"entry {FAULT['id']} of {ONE}, moved to {TWO} and not written there" in card
    put(root, TWO, CAME, {**COPY, "note": "misread", "by": "cd", "photo": ["a.jpg"]}, SOUND)
    assert fit(root) == {ONE: READY, TWO: HOLD} and found(root) == set()


def test_what_is_untold_of_a_number_is_so_of_the_one_that_took_it_over() -> None:
    assert set(untold({"C": ["B"], "B": ["A"], "D": ["A"]})) == {"A", "B", "C", "D"}
    assert set(untold({"C": ["B"], "A": [">B/e1"]})) == {"A", "B", "C"}
    assert untold({"A": [">B/e1"], "B": ["<A/e1"]}) == {} == untold({"A": [">B/e1"], "B": ["-A/e1"]}) == untold({"B": ["-A/e1"]})
    assert set(untold({"B": ["<A/e1"]})) == {"A", "B"} and set(untold({"A": [">C/e1"], "B": ["<A/e1"]})) == {"A", "C"}
