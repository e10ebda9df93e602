"""What is typed on a cask is answered alike with an index, without one, with none wanted, and by reading all files: on a book of joins, moves, donors, vats and
taken berths, spelled as people may."""

from __future__ import annotations

import random
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.index import bearing_files, near_bonds, serving
from caskbook.index.schema import fingerprint
from caskbook.ledger import machine, scan
from caskbook.ledger.paths import file_of
from index.book import commit_all, make_demo, put_every_job
from index.test_claims import aged
from index.test_near_files import HEAD, NUMBERS, WRITABLE, put_random

pytestmark = pytest.mark.thorough

DONOR, TAKER, LAIN, POURED, EMPTY, JOINED, JOINING = (f"XD-00000{n}" for n in range(1, 8))
LINES = (
    "note CASK --note x",
    "move CASK --berth W1/05/1",
    "move CASK --berth W1/05/2",
    "fill CASK --spirit malt --litres 180 --abv 63 --temp 20 --vat V-77 --vat-litres 500 --berth W1/05/1",
    "fill CASK --spirit malt --litres 180 --abv 63 --temp 20 --vat v-77 --vat-litres 400 --date 2023-04-05",
    f"stave CASK replace --staves 4,5,6,7 --from {DONOR}",
    f"replace-hoop CASK --hoops quarter-A --from {DONOR}",
    "swap-heads CASK --with OTHER --heads A --why mixed",
    "rack CASK --to OTHER --litres 20 --abv 62 --temp 20 --left 0 --why blend",
    "rack OTHER --to CASK --litres 20 --abv 62 --temp 20 --left 0 --why blend",
    "same-as CASK --of OTHER --why x",
    "same-as OTHER --of CASK --why x",
    "moved CASK --event e0000001 --to OTHER --why x",
    "convert CASK --into 1 hogshead --first-id TH-000900 --gave 20 --capacity 250",
    "empty CASK --litres 20 --abv 62 --temp 20",
    "test CASK pass --psi 11",
    "correct CASK --maker x --why x",
    "sample CASK --ml 100 --date 2020-02-15",
    "note OLD-7/12 --note x",
)
OTHER_WORDS = (
    "void CASK e0000002 --why x --by ab --dry-run --yes",
    "void CASK e0000003 --why x --by ab --dry-run --yes",
    "show CASK",
    "show CASK --format json",
)


def put_more(root: Path) -> None:
    """A donor of which something was taken by a file that names it in escapes; a cask at a berth written so; one filled from a vat; one with an old mark."""
    came = "  - {id: e0000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}\n"
    said = {
        DONOR: "  - {id: e0000002, date: 2021-01-01, job: break-up, by: ab, staves_saved: 5}\n",
        TAKER: '  - {id: e0000002, date: 2022-01-01, job: stave, by: ab, staves: [1, 2], action: replace, from: "\\u0058D-000001"}\n',
        LAIN: '  - {id: e0000002, date: 2022-01-01, job: move, by: ab, berth: "W1\\x2f05/1"}\n',
        POURED: '  - {id: e0000002, date: 2023-04-05, job: fill, by: ab, spirit: malt, litres: 190, abv: 63, at_20: true, "v\\x61t": "V\\x2d77", vat_litres: 300}\n',
        JOINED: "",
        JOINING: '  - {id: e0000002, date: 2022-01-01, job: "s\\x61me-as", by: ab, of: "\\u0058D-000006", why: one cask}\n',
        EMPTY: "".join(
            f"  - {{id: e000000{n}, date: 2023-04-0{n}, by: ab, job: {job}}}\n"
            for n, job in ((2, "examine, verdict: sound"), (3, "test, psi: 9, result: pass"))
        ),
    }
    for number, entry in said.items():
        path = root / file_of(number)
        path.parent.mkdir(parents=True, exist_ok=True)
        marks = 'was: ["\\u004fLD-7/12"]\n' if number == LAIN else ""
        path.write_text(f"cask: {number}\n{HEAD}{marks}events:\n{came}{entry}", encoding="utf-8")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = make_demo(tmp_path_factory.mktemp("near") / "book", 150)
    put_every_job(root)
    put_more(root)
    put_random(root, random.Random(5), 1, WRITABLE)
    aged(root)
    commit_all(root)
    return root


def with_index(root: Path, patch: pytest.MonkeyPatch) -> None:
    assert caskbook("due", "--records", str(root)).returncode == 0
    patch.setattr(bearing_files, "files_with", lambda *given, **more: pytest.fail("every file was searched"))
    patch.setattr(near_bonds, "files_with", lambda *given: pytest.fail("every file was searched"))


def without_one(root: Path, patch: pytest.MonkeyPatch) -> None:
    machine.forget_index(root, fingerprint())
    shutil.rmtree(root / ".caskbook", ignore_errors=True)


def none_wanted(root: Path, patch: pytest.MonkeyPatch) -> None:
    patch.setenv("CASKBOOK_INDEX", "off")


def by_git(root: Path, patch: pytest.MonkeyPatch) -> None:
    without_one(root, patch)
    patch.setattr(scan, "_FEW", -1)


def all_read(root: Path, patch: pytest.MonkeyPatch) -> None:
    patch.setenv("CASKBOOK_INDEX", "off")
    patch.setattr(serving, "search_near", lambda ledger: None)


WAYS: dict[str, Callable[[Path, pytest.MonkeyPatch], None]] = {
    "all files": all_read,
    "index": with_index,
    "no index": without_one,
    "no index, by git": by_git,
    "off": none_wanted,
}


@pytest.fixture(scope="module")
def asked(made: Path) -> list[list[str]]:
    """Commands about casks of every kind, each cask with every other line."""
    dice = random.Random(11)
    bound = [
        path.stem for path in sorted((made / "casks").rglob("*.yaml")) if re.search(rb"same-as|moved|rack-|convert|made-from|swap-heads|vat", path.read_bytes())
    ]
    casks = [*NUMBERS, DONOR, TAKER, LAIN, POURED, JOINED, *dice.sample(bound, 6)]
    found = []
    for n, cask in enumerate(casks):
        for line in dict.fromkeys([LINES[n % len(LINES)], *dice.sample(LINES, 4)]):
            words = line.replace("CASK", cask).replace("OTHER", dice.choice([one for one in casks if one != cask])).split()
            found.append(["enter", *words, "--by", "ab", "--dry-run", "--yes"])
        found += [line.replace("CASK", cask).split() for line in dice.sample(OTHER_WORDS, 1)]
    found += [["enter", *line.replace("CASK", EMPTY).replace("OTHER", TAKER).split(), "--by", "ab", "--dry-run", "--yes"] for line in LINES]
    return found


def told(root: Path, words: list[str]) -> tuple[int, str, str]:
    ran = caskbook(*words, "--records", str(root))
    return ran.returncode, without_ids(ran.stdout), without_ids(ran.stderr)


def without_ids(text: str) -> str:
    """The text without what chance gave the new entries."""
    return re.sub(r"\b(run-[0-9]+-ab-)[0-9a-z]{4}\b", r"\1ID", re.sub(r"\bg[0-9a-z]{7}\b", "ID", text))


@pytest.fixture(scope="module")
def whole(made: Path, asked: list[list[str]]) -> list[tuple[int, str, str]]:
    with pytest.MonkeyPatch.context() as patch:
        all_read(made, patch)
        return [told(made, words) for words in asked]


@pytest.mark.parametrize("way", [way for way in WAYS if way != "all files"])
def test_what_is_typed_is_answered_alike(
    made: Path, asked: list[list[str]], whole: list[tuple[int, str, str]], monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    WAYS[way](made, monkeypatch)
    unlike = [f"{' '.join(words)}\n  {expected}\n  {found}" for words, expected in zip(asked, whole, strict=True) if (found := told(made, words)) != expected]
    assert not unlike, "\n".join(unlike)


def test_the_lines_meet_what_only_other_files_tell(asked: list[list[str]], whole: list[tuple[int, str, str]]) -> None:
    said = "\n".join(out + err for _, out, err in whole)
    for words in (
        f"{JOINED} is the same cask as {JOINING}",
        f"{LAIN} stands there",
        "V-77 on 2023-04-05 is said to have held 300 L and 400 L",
        "6 staves taken of it in all",
        f"OLD-7/12 is an old mark of {LAIN}",
    ):
        assert words in said, words
    assert sum(code == 0 for code, _, _ in whole) > len(asked) / 3
