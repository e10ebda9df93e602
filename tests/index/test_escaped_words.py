"""A word is found in a file however YAML lets it be written there: with escapes too, with the index and without."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import Shop, days_ago

from caskbook.yaml.escapes import may_hold

CAME = {"date": days_ago(30), "job": "receive", "verdict": "accept"}
WAYS = ['"same\\x2das"', '"\\x73ame-as"', '"same-\\\n      as"', "same-as"]


def append(house: Shop, cask: str, **values: object) -> None:
    """An entry typed in an editor, its values just as they are given."""
    lines = "".join(f"    {key}: {value}\n" for key, value in {"date": days_ago(5), "by": "ab", **values}.items())
    with house.path(cask).open("a", encoding="utf-8") as file:
        file.write(f"  - id: gqz8zzz{len(house.data(cask)['events'])}\n{lines}")


def asked(house: Shop, *words: str) -> object:
    ran = caskbook(*words, "--format", "json", "--records", str(house.root))
    assert ran.returncode == 0, ran
    return json.loads(ran.stdout)


@pytest.fixture
def house(tmp_path: Path) -> Shop:
    made = Shop(tmp_path)
    made.put(CAME, cask="TH-007005")
    made.put(CAME, cask="TH-007006")
    return made


@pytest.mark.thorough
@pytest.mark.parametrize("written", WAYS)
@pytest.mark.parametrize("index", ["before", "after", "off"])
def test_a_joined_number_is_joined_on_both_sides(house: Shop, written: str, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """`index`: made before the entry, after it, or none."""
    if index == "off":
        monkeypatch.setenv("CASKBOOK_INDEX", "off")
    if index == "before":
        assert len(asked(house, "list")) == 2  # type: ignore[arg-type]
    append(house, "TH-007005", job=written, of="TH-007006", why="one cask")
    shown = caskbook("show", "TH-007006", "--records", str(house.root)).stdout
    assert shown.startswith("TH-007005") or "TH-007005" in shown.splitlines()[0], shown
    assert asked(house, "list", "--columns", "cask,joined") == [{"cask": "TH-007005", "joined": ["TH-007006"]}]
    assert asked(house, "query", "select count(*) n from cask") == [{"n": 1}]
    entries = asked(house, "query", "select cask, number from event order by number, date")
    assert entries == [{"cask": "TH-007005", "number": f"TH-00700{n}"} for n in (5, 5, 6)], "entries of a joined file are the cask's that goes on"
    assert house.enter("note", "TH-007006", "--note", "x", "--by", "ab", "--dry-run").err.count("TH-007005") >= 1


def test_a_revision_and_a_review_of_it_join_them_as_well(house: Shop) -> None:
    from caskbook.cli.commands.review import _ledger_at
    from caskbook.git import open_git

    append(house, "TH-007005", job=WAYS[0], of="TH-007006", why="one cask")
    for words in ("init -q", "add -A", "commit -qm joined"):
        subprocess.run(["git", "-c", "user.name=ab", "-c", "user.email=ab@example.org", *words.split()], cwd=house.root, check=True, capture_output=True)
    assert asked(house, "list", "--at", "HEAD", "--columns", "cask") == [{"cask": "TH-007005"}]
    git = open_git(house.root)
    assert _ledger_at(git, git.resolve("HEAD")).joins() == {"TH-007006": "TH-007005"}


@pytest.mark.parametrize("index", ["", "off"])
def test_a_berth_and_a_mark_written_with_escapes_are_found(house: Shop, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    asked(house, "list")
    append(house, "TH-007005", job="move", berth='"W1\\x2f05/1"')
    append(house, "TH-007005", job="mark", at="head-A", text="TH-007005", old='"HJ\\x2d4421"')
    new = house.path("TH-007005").with_suffix(".new")  # put in place, as an editor does
    new.write_bytes(house.path("TH-007005").read_bytes())
    new.replace(house.path("TH-007005"))
    assert "W1/05/1: TH-007005 stands there" in house.enter("move", "TH-007006", "--berth", "W1/05/1", "--by", "ab", "--dry-run").err
    assert caskbook("show", "hj-4421", "--records", str(house.root)).stdout.startswith("TH-007005")


@pytest.mark.parametrize("was", ['was: ["HJ\\x2d4421"]', '"was": [HJ-4421]', '"w\\x61s": [HJ-4421]', "was : [HJ-4421]"])
def test_a_register_knows_the_marks_of_the_book(house: Shop, was: str, tmp_path: Path) -> None:
    path = house.path("TH-007005")
    path.write_text(path.read_text().replace("events:", f"{was}\nevents:"))
    (tmp_path / "old.csv").write_text("Cask,Mark\nTH-007009,HJ-4421\n")
    (tmp_path / "map.yaml").write_text("opening: 2026-01-31\ncolumns: {Cask: cask, Mark: was}\nevery_row: {verdict: accept, type: barrel, contents: empty}\n")
    ran = caskbook("import", "register", str(tmp_path / "old.csv"), "--map", str(tmp_path / "map.yaml"), "--dry-run", "--records", str(house.root))
    assert "TH-007005 bears it in the book" in ran.stdout + ran.stderr, ran


def test_what_may_be_an_escape_may_hold_any_word() -> None:
    assert may_hold(b"job: same-as\n", b"same-as") and may_hold(b'note: "a\\tb"\n', b"same-as") and not may_hold(b"note: seen\n", b"same-as", b"x-y")
