"""Which numbers are joined is told by the index as by the files, and for one cask nothing else is read."""

from __future__ import annotations

import os
import random
import time
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.index.peek import claims_known, claims_now
from caskbook.ledger.files import Folder, open_folder
from caskbook.model.joins import claimants
from index.book import DAY, answer, commit_all, same

pytestmark = pytest.mark.thorough

NUMBERS = [f"TH-00000{n}" for n in range(1, 7)]
HEAD = "format: 1\ntype: barrel\ncapacity_l: 200\nevents:\n  - {id: e0000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}\n"


def path_of(root: Path, number: str) -> Path:
    return root / "casks" / number[:6] / f"{number}.yaml"


def put(root: Path, number: str, *others: str, voided: bool = False) -> None:
    """A file that claims other numbers, put in the place of the one before."""
    claims = [f"  - {{id: e000001{n}, date: 2020-02-01, job: same-as, by: ab, of: {other}, why: one}}\n" for n, other in enumerate(others)]
    void = "  - {id: e0000020, date: 2020-03-01, job: void, by: ab, of: e0000010, why: two}\n" if voided else ""
    path = path_of(root, number)
    path.parent.mkdir(parents=True, exist_ok=True)
    new = path.with_suffix(".new")
    new.write_text(f"cask: {number}\n{HEAD}{''.join(claims)}{void}", encoding="utf-8")
    new.replace(path)


def aged(root: Path) -> None:
    """Files and folders as old as those of a book at rest."""
    old = time.time() - 3600
    for path in (*root.rglob("*.yaml"), *(root / "casks").iterdir()):
        os.utime(path, (old, old))


@pytest.fixture
def root(tmp_path: Path) -> Path:
    book = tmp_path / "book"
    book.mkdir()
    (book / "house.yaml").write_text("name: House\ntimezone: UTC\n", encoding="utf-8")
    for number in NUMBERS:
        put(book, number)
    return book


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of the files of casks that were read."""
    found: list[str] = []
    usual = Folder.read

    def noted(self: Folder, name: str) -> bytes | None:
        if name.startswith("casks/"):
            found.append(Path(name).stem)
        return usual(self, name)

    monkeypatch.setattr(Folder, "read", noted)
    return found


@pytest.mark.parametrize("words", [("show",), ("check",), ("enter", "note", "--note", "x", "--dry-run"), ("void", "--why", "x", "--dry-run")])
def test_for_one_cask_the_index_tells_who_claims_its_numbers(root: Path, read: list[str], words: tuple[str, ...]) -> None:
    put(root, NUMBERS[0], NUMBERS[1])
    aged(root)
    commit_all(root)
    answer(root, "due", "--all", day=None)
    assert caskbook("check", "--records", str(root)).returncode == 0
    read.clear()
    more = ("e0000001",) if words[0] == "void" else ()
    at = 2 if words[0] == "enter" else 1
    done = caskbook(*words[:at], NUMBERS[0], *more, *words[at:], "--records", str(root))
    assert done.returncode == 0, done.stderr
    assert set(read) <= {NUMBERS[0], NUMBERS[1]}, read


@pytest.mark.parametrize("seed", range(12))
def test_the_index_claims_what_the_files_claim(root: Path, seed: int) -> None:
    dice = random.Random(seed)

    def some(most: int) -> None:
        for number in dice.sample(NUMBERS, dice.randint(0, most)):
            put(root, number, *dice.sample([*NUMBERS, "TH-000099"], dice.choice([0, 0, 1, 1, 2])), voided=dice.random() < 0.2)
            if dice.random() < 0.2:
                path_of(root, number).unlink()

    some(6)
    aged(root)
    answer(root, "due", "--all", day=None)
    some(3)
    in_place = path_of(root, NUMBERS[dice.randrange(6)])
    files = open_folder(root, root)
    known = claims_known(root, root)
    assert known is not None and claimants(known) == claimants(files.claims_of(files.names()))
    by_index = open_folder(root, root)
    by_index.claims_known = lambda: known
    assert by_index.joins() == files.joins()
    if in_place.exists():
        in_place.write_text(
            in_place.read_text(encoding="utf-8") + f"  - {{id: e0000030, date: 2020-02-01, job: same-as, by: ab, of: {dice.choice(NUMBERS)}, why: one}}\n",
            encoding="utf-8",
        )
    now = claims_now(root, root)
    assert now is not None and claimants(now) == claimants(files.claims_of(files.names()))


def test_a_check_of_one_sees_a_claim_written_in_place(root: Path) -> None:
    put(root, NUMBERS[0], NUMBERS[1])
    aged(root)
    answer(root, "due", "--all", day=None)
    other = path_of(root, NUMBERS[2])
    with other.open("a", encoding="utf-8") as file:
        file.write(f"  - {{id: e0000030, date: 2020-02-01, job: same-as, by: ab, of: {NUMBERS[1]}, why: one}}\n")
    _, out, _ = same(root, "check", NUMBERS[0], day=DAY)
    assert "joined-twice" in out


def test_what_one_line_of_a_scan_joins_counts_for_the_next(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import io

    monkeypatch.setattr("sys.stdin", io.StringIO(f"{NUMBERS[0]}\n{NUMBERS[1]}\nundo\n{NUMBERS[1]}\n"))
    done = caskbook("enter", "scan", "same-as", "--of", NUMBERS[2], "--why", "x", "--by", "ab", "--records", str(root))
    assert f"{NUMBERS[2]} is joined already: its cask goes on as {NUMBERS[0]}" in done.stderr
    assert b"same-as" in path_of(root, NUMBERS[1]).read_bytes() and b"same-as" not in path_of(root, NUMBERS[0]).read_bytes()
