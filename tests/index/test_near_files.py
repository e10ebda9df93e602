"""Without an index an entry finds the files that bear on its cask by their bytes; what it is told of joins, moves and half-told work is what all files tell."""

from __future__ import annotations

import os
import random
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.core.finding import CaskbookError
from caskbook.index.near_bonds import BondsOnDisk
from caskbook.index.short_names import files_of_vat
from caskbook.ledger import near_untold as near_module
from caskbook.ledger import scan
from caskbook.ledger.files import Folder, Ledger, open_folder
from caskbook.ledger.near_untold import near_untold
from caskbook.ledger.paths import file_of
from caskbook.ledger.revisions.between import cask_changes
from caskbook.model.untold import untold
from caskbook.review.effects import ledger_before
from index.book import commit_all, git

pytestmark = pytest.mark.thorough

NUMBERS = [
    "TH-000998",
    "TH-000999",
    "TH-001000",
    "TH-001001",
    "TH-0010011",
    "AB-C-00001",
    "TH-001003",
    "TH-001004",
    "TH-002001",
    "TH-002002",
    "TH-002003",
    "TH-002004",
]
HEAD = "format: 1\ntype: barrel\ncapacity_l: 200\n"
SPELLED: list[Callable[[str], str]] = [
    lambda text: text,
    lambda text: text,
    lambda text: text,
    lambda text: f"'{text}'",
    lambda text: f'"{text}"',
    lambda text: f'"\\x{ord(text[0]):02x}{text[1:]}"',
    lambda text: f'"{text[:4]}\\u{ord(text[4]):04x}{text[5:]}"',
    lambda text: f'"{text[:3]}\\\n            {text[3:]}"',
    lambda text: f"!!str {text}",
    lambda text: f"&{'a' * len(text)} {text}",
    lambda text: f">-\n            {text}",
]
WRITABLE = [*SPELLED[:8], SPELLED[10]]
"""Of these, how a number may be spelled in a file that is entered on: one with a tag or an anchor is left to people."""


@pytest.mark.parametrize("few", [0, 1500], ids=["by git", "one by one"])
def test_a_vat_is_found_in_whatever_signs_its_name_is_written(tmp_path: Path, few: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(scan, "_FEW", few)
    named = {"strasse": ["STRASSE", "Straße", "\u017ftrasse", "stra\u1e9ee"], "kelvin-1": ["Kelvin-1", "\u212aelvin-1"]}
    for number, vat in enumerate(vat for vats in named.values() for vat in vats):
        path = tmp_path / f"casks/TH-001/TH-00100{number}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"cask: TH-00100{number}\n{HEAD}events:\n  - {{id: e0000001, date: 2020-01-02, job: fill, vat: {vat}}}\n", encoding="utf-8")
    found = {vat: files_of_vat(tmp_path, vat, disk=False) for vat in named}
    assert found["strasse"] is not None and found["kelvin-1"] is not None
    assert {f"casks/TH-001/TH-00100{n}.yaml" for n in range(4)} <= {*found["strasse"]} and {f"casks/TH-001/TH-00100{n}.yaml" for n in (4, 5)} <= {
        *found["kelvin-1"]
    }


def written(root: Path, number: str, entries: list[str]) -> None:
    path = root / file_of(number)
    path.parent.mkdir(parents=True, exist_ok=True)
    came = "  - id: e0000001\n    date: 2020-01-01\n    job: receive\n    by: ab\n    verdict: accept\n"
    path.write_text(f"cask: {number}\n{HEAD}events:\n{came}{''.join(entries)}", encoding="utf-8")


def entry(dice: random.Random, ident: str, job: str, more: str, *, escapes: bool) -> str:
    word = f'"{job[:2]}\\u{ord(job[2]):04x}{job[3:]}"' if escapes and dice.random() < 0.2 else job
    day = "2020-01-01" if job == "receive" else f"2020-0{dice.randint(2, 3)}-01"
    return f"  - id: {ident}\n    date: {day}\n    job: {word}\n    by: ab\n{more}"


def put_random(root: Path, dice: random.Random, share: float = 0.8, spelled: Sequence[Callable[[str], str]] = SPELLED) -> None:
    """Files that may have to do with one another, spelled as somebody may; in two of three books none is written in escapes, so that most say nothing of most."""
    escapes = dice.random() < 0.33
    styles = spelled if escapes else [one for one in spelled if "\\" not in one("TH-001000")]
    said: dict[str, list[str]] = {number: [] for number in NUMBERS}

    def cask(number: str) -> str:
        return dice.choice(styles)(number)

    def tells(number: str, ident: str, job: str, more: str) -> None:
        if number in said:
            said[number].append(entry(dice, ident, job, more, escapes=escapes))

    for n in range(dice.randint(2, 9)):
        one, other, third = dice.sample([*NUMBERS, "TH-000777"], 3)
        ident, twin = f"e00000{n + 10}", f"e00000{n + dice.choice((10, 10, 10, 30))}"
        here, there = dice.random() < 0.85, dice.random() < 0.6
        litres = f"        litres: {dice.choice((10, 20))}\n        abv: 60\n    at_20: true\n"
        pairs = {
            "rack": (
                ("rack-out", f"    to:\n      - cask: {cask(other)}\n{litres}    why: blend\n"),
                ("rack-in", f"    from:\n      - cask: {cask(one)}\n{litres}    spirit: malt\n    oak_since: 2020-01-01\n"),
            ),
            "convert": (
                ("convert", f"    children:\n      - {cask(other)}\n      - {cask(third)}\n"),
                ("made-from", f"    parents:\n      - cask: {cask(one)}\n"),
            ),
            "swap": (
                ("swap-heads", f"    with: {cask(other)}\n    heads: [A]\n    why: mixed\n"),
                ("swap-heads", f"    with: {cask(dice.choice((one, one, third)))}\n    heads: [A]\n    why: mixed\n"),
            ),
            "move": (
                ("moved", f"    of: e0000001\n    to: {cask(dice.choice((other, other, third)))}\n    why: one\n"),
                ("receive", f"    verdict: accept\n    moved_from: {one}/e0000001\n"),
            ),
            "join": (("same-as", f"    of: {cask(other)}\n    why: one\n"), ("note", f"    note: was {one}\n")),
            "plain": (("note", f"    note: beside {other}\n"), ("sample", "    ml: 100\n")),
        }
        kind = dice.choice((*pairs, "join"))
        for number, tell, (job, more) in ((one, here, pairs[kind][0]), (other, there, pairs[kind][1])):
            if tell:
                tells(number, ident if number == one else twin, job, more)
        if dice.random() < 0.25:
            tells(dice.choice((one, other)), f"e00000{n + 50}", "void", f"    of: {ident}\n    why: one\n")
    for number, entries in said.items():
        if dice.random() < share:
            written(root, number, entries)
        elif (root / file_of(number)).exists() and dice.random() < 0.3:
            (root / file_of(number)).unlink()


def near_ledger(root: Path) -> Ledger:
    ledger = open_folder(root, root)
    assert isinstance(ledger.file_store, Folder)
    ledger.near = BondsOnDisk(ledger.file_store)
    return ledger


@pytest.fixture
def root(tmp_path: Path) -> Path:
    book = tmp_path / "book"
    (book / "casks").mkdir(parents=True)
    (book / "house.yaml").write_text("name: House\ntimezone: UTC\n", encoding="utf-8")
    return book


def the_same(near: Ledger, files: Ledger, dice: random.Random) -> int:
    """Both tell the same of each number, also where a file will say something else; gives of how many something is untold."""
    assert near.joins() == files.joins()
    assert dict(near.claimants()) == dict(files.claimants())
    whole = files.untold()
    for number in [*NUMBERS, "TH-000777"]:
        assert near.untold().get(number, ()) == whole.get(number, ()), number
        if (record := files.find(number)) is not None and record.own is not None:
            assert near.joined_to(record.own) == files.joined_to(record.own)
            assert near.leaned == files.leaned
        bonds = [bond for one in dice.sample(NUMBERS, 2) for bond in files.claims().get(one, ())]
        bonds += dice.sample(NUMBERS, 1) if dice.random() < 0.5 else []
        told = {number: bonds, **({dice.choice(NUMBERS): []} if dice.random() < 0.5 else {})}
        assert near.near is not None
        found = near_untold(near, near.near, [number], told)
        assert found.get(number, ()) == untold({**files.claims(), **told}).get(number, ()), (number, told)
    return sum(map(bool, whole.values()))


@pytest.mark.parametrize("large", [False, True], ids=["by reading", "by git"])
def test_the_near_files_tell_what_all_files_tell(root: Path, monkeypatch: pytest.MonkeyPatch, large: bool) -> None:
    if large:
        monkeypatch.setattr(scan, "_FEW", -1)
    told = 0
    for seed in range(60):
        dice = random.Random(seed)
        put_random(root, dice, 1)
        told += the_same(near_ledger(root), open_folder(root, root), dice)
    assert told > 100


def test_after_files_were_written_the_near_files_are_those_of_now(root: Path) -> None:
    put_random(root, random.Random(1), 1)
    near = near_ledger(root)
    for seed in range(30):
        dice = random.Random(seed)
        put_random(root, dice, 0.3)
        near.forget_claims()
        the_same(near, open_folder(root, root), dice)


def test_asked_about_many_casks_it_reads_all_once(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(near_module, "_MANY", 2)
    for seed in range(10):
        put_random(root, random.Random(seed), 1)
        near, files = near_ledger(root), open_folder(root, root)
        assert {number: near.untold().get(number, ()) for number in NUMBERS} == {number: files.untold().get(number, ()) for number in NUMBERS}
        assert dict(near.untold()) == dict(files.untold())


def test_the_book_of_before_a_run_is_told_alike(root: Path) -> None:
    for seed in range(20):
        dice = random.Random(seed)
        put_random(root, dice, 1)
        before = {number: (root / file_of(number)).read_bytes() for number in NUMBERS}
        put_random(root, dice, 0.3)
        after = {number: path.read_bytes() if (path := root / file_of(number)).exists() else None for number in NUMBERS}
        changes = cask_changes({file_of(one): (before[one], after[one]) for one in NUMBERS if before[one] != after[one]}, "")
        the_same(ledger_before(changes, near_ledger(root)), ledger_before(changes, open_folder(root, root)), dice)


@pytest.mark.parametrize("ours", [False, True], ids=["another book's", "this book's"])
def test_git_finds_on_disk_what_is_found_by_reading(root: Path, monkeypatch: pytest.MonkeyPatch, ours: bool) -> None:
    """Whatever git's index, its settings and its rules say of a file; nothing of another book, and nothing behind a link."""
    for number in NUMBERS:
        written(root, number, [f"  - {{id: e0000002, date: 2020-02-01, job: same-as, by: ab, of: {number}, why: x}}\n"])
    one, other, third = (root / file_of(number) for number in NUMBERS[:3])
    plain, odd = one.read_bytes(), [root / "casks" / "TH-000" / name for name in ("TH-000001.yaml", "TH-000002.yaml", "TH-000003.yaml")]
    for path in (one, other, third):
        path.write_bytes(b"nothing\n")
    commit_all(root)
    git(root, "update-index", "--assume-unchanged", file_of(NUMBERS[0]))
    git(root, "update-index", "--skip-worktree", file_of(NUMBERS[1]))
    one.write_bytes(plain)
    other.write_bytes(b"\0\n" + plain)
    third.write_bytes(b"nothing, but \\\n")
    (root / ".gitignore").write_text("casks/TH-002\n", encoding="utf-8")
    (root / ".gitattributes").write_text("*.yaml binary -text\n", encoding="utf-8")
    git(root, "config", "grep.fullName", "true")
    git(root, "config", "grep.patternType", "perl")
    git(root, "config", "color.grep", "always")
    odd[0].symlink_to(third)
    odd[1].mkdir()
    os.mkfifo(odd[2])
    (root / "casks" / "linked").symlink_to(root / "casks" / "TH-001")
    (root / "casks" / "TH-000" / "notes.txt").write_bytes(plain)
    (root / "casks" / "TH-001" / "deeper").mkdir()
    (root / "casks" / "TH-001" / "deeper" / "TH-001001.yaml").write_bytes(plain)
    (root / "casks" / ("TH-001" if ours else "TX-001") / ".git").mkdir(parents=True)
    if not ours:
        (root / "casks" / "TX-001" / "TX-001001.yaml").write_bytes(plain)
    by_reading = scan.files_with(root, [b"same-as"])
    asked = []
    usual = scan._by_git
    monkeypatch.setattr(scan, "_FEW", -1)
    monkeypatch.setattr(scan, "_by_git", lambda *given: asked.append(usual(*given)) or asked[-1])
    assert scan.files_with(root, [b"same-as"]) == by_reading == sorted(map(file_of, NUMBERS))
    assert asked[0]
    under = root.parent / "under"
    under.mkdir()
    shutil.copytree(root / "casks" / "TH-002", under / "book" / "casks" / "TH-002")
    git(under, "init", "-q")
    git(under, "config", "grep.fullName", "true")
    assert scan.files_with(under / "book", [b"same-as"]) == [name for name in by_reading if "TH-002" in name]
    assert asked[1]


@pytest.mark.parametrize("by_git", [False, True])
def test_where_a_folder_may_not_be_looked_into_it_is_said(root: Path, monkeypatch: pytest.MonkeyPatch, by_git: bool) -> None:
    monkeypatch.setattr(scan, "_FEW", -1 if by_git else 1500)
    written(root, NUMBERS[0], [])
    usual = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: usual(path, mode) and Path(path).name != "TH-000")
    with pytest.raises(CaskbookError, match="TH-000/: Permission denied"):
        near_ledger(root).joins()
    with pytest.raises(CaskbookError, match="TH-000/: Permission denied"):
        open_folder(root, root).joins()


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of the files that were read as casks."""
    found: list[str] = []
    usual = Folder.read

    def noted(self: Folder, name: str) -> bytes | None:
        if name.startswith("casks/"):
            found.append(Path(name).stem)
        return usual(self, name)

    monkeypatch.setattr(Folder, "read", noted)
    return found


@pytest.mark.parametrize("index", ["on", "off"])
@pytest.mark.parametrize("words", [("show",), ("enter", "note", "--note", "x", "--dry-run"), ("void", "e0000001", "--why", "x", "--dry-run")])
def test_of_one_cask_the_others_are_not_read(root: Path, read: list[str], monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], index: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    monkeypatch.setattr("caskbook.cli.commands.show._FEW", 0)
    for number in NUMBERS:
        written(root, number, [])
    one, other, joined, joining, third = NUMBERS[:5]
    share = "litres: 10, abv: 60}], at_20: true"
    written(root, one, [f"  - {{id: e0000002, date: 2020-02-01, job: rack-out, by: ab, to: [{{cask: {other}, {share}, why: blend}}\n"])
    written(
        root, other, [f"  - {{id: e0000002, date: 2020-02-01, job: rack-in, by: ab, from: [{{cask: {one}, {share}, spirit: malt, oak_since: 2020-01-01}}\n"]
    )
    written(root, joining, [f"  - {{id: e0000002, date: 2020-02-01, job: same-as, by: ab, of: {joined}, why: x}}\n"])
    written(root, third, ["  - {id: e0000002, date: 2020-02-01, job: convert, by: ab, children: [TH-009999]}\n"])
    at = 2 if words[0] == "enter" else 1
    done = (
        caskbook(*words[:at], one, *words[at:], "--by", "ab", "--records", str(root)) if words[0] != "show" else caskbook("show", one, "--records", str(root))
    )
    assert "TH-000998" in done.stdout + done.stderr
    if words[0] == "show" and index == "off":
        assert third in read  # There peers are gathered from all files, as it was asked for.
    else:
        assert third not in read and NUMBERS[6] not in read, read
