"""`correct` for many casks at once, named in every way; all of them or none, and each that cannot is told."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from commands import caskbook
from entry.conftest import shop as shop
from entry.shop import Ran, Shop
from entry.states import STATES

from caskbook.cli.commands.correct_head import correct

READY = STATES["ready"] or []
CASKS = ("TH-007005", "TH-007006", "TH-007007", "TH-007008")
HOGSHEAD = ("--type", "hogshead", "--capacity", "250", "--why", "misread on the dock", "--yes")


@pytest.fixture
def four(shop: Shop) -> Shop:
    for cask in CASKS:
        shop.put(*READY, cask=cask, parcel="P-2026-020")
    return shop


def types(shop: Shop) -> list[str | None]:
    return [shop.facts(cask).type for cask in CASKS]


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("words", "count"),
    [(["7005", "7007"], 2), (["7005..7007"], 3), (["7005..7008", "except", "7006"], 3), (["TH-007005,7006"], 2), (["@P-2026-020"], 4), (["file:tuesday.txt"], 2), (["-"], 3)],
)  # fmt: skip
def test_however_they_are_named(four: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], count: int) -> None:
    (tmp_path / "tuesday.txt").write_text("7005 # by the door\n7008\n", encoding="utf-8")
    monkeypatch.setattr("sys.stdin", io.StringIO("cask\n7005\n7006 7007\n"))
    ran = four.run(correct, *words, *HOGSHEAD)
    assert ran.code == 0 and types(four).count("hogshead") == count, ran.err
    assert f"{count} casks: correct: type barrel → hogshead, capacity 200 → 250 L: misread on the dock" in ran.err
    assert f"{count} entries on {count} casks, sheet run-" in ran.err
    events = [event for cask in CASKS for event in four.data(cask)["events"] if event["job"] == "correct"]
    assert len({event["sheet"] for event in events}) == 1 and {event["why"] for event in events} == {"misread on the dock"}


def test_each_that_cannot_is_told_and_none_is_written(four: Shop) -> None:
    four.put(*READY, cask=CASKS[1], type="hogshead", capacity_l=250)
    four.put(*READY, cask=CASKS[2], type="hogshead", capacity_l=240)
    before = {cask: four.path(cask).read_bytes() for cask in CASKS}
    ran = four.run(correct, "7005..7008", *HOGSHEAD)
    assert ran.code == 1, ran.err
    assert "2 casks  type is hogshead already:\n    TH-007006, TH-007007\n" in ran.err and "`except TH-007006`" in ran.err
    assert "nothing written: 2 of 4 casks refused" in ran.err and {cask: four.path(cask).read_bytes() for cask in CASKS} == before
    ran = four.run(correct, "7005..7008", "--capacity", "260", "--why", "x", "--yes")
    assert ran.code == 1 and "2 casks  `capacity_l` is 260: expected 173 to 210 L in a barrel:" in ran.err and "--anyway" in ran.err, ran.err
    assert four.run(correct, "7005..7008", "except", "7006,7007", *HOGSHEAD).code == 0 and types(four) == ["hogshead"] * 4


def test_what_is_refused_for_two_reasons_is_told_for_both(four: Shop) -> None:
    four.put(*READY, cask=CASKS[1], type="hogshead", capacity_l=250)
    ran = four.run(correct, "7005..7006", "--type", "hogshead", "--why", "x", "--yes")
    assert (
        ran.code == 1 and "TH-007006  type is hogshead already" in ran.err and "TH-007005  `capacity_l` is 200: expected 225 to 305 L in a hogshead" in ran.err
    ), ran.err
    assert "nothing written: 2 of 2 casks refused" in ran.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (list(HOGSHEAD), "which casks?"), (["7005..7006", "--why", "x"], "say what is corrected"), (["7005", *HOGSHEAD[:4]], "--why"),
        (["7005", "7099", *HOGSHEAD], "7099"), (["7005", "TH-009999", *HOGSHEAD], "1 of 2 casks are not in the book: TH-009999"), (["@P-1999", *HOGSHEAD], "no cask of a parcel"),
        (["7005", "7005", *HOGSHEAD], "named twice"), (["7005", "--tipe", "butt", "--why", "x"], "did you mean --type"),
    ],
)  # fmt: skip
def test_what_is_not_understood(four: Shop, words: list[str], told: str) -> None:
    ran: Ran = four.run(correct, *words)
    assert ran.code in (1, 2) and told in ran.err and types(four) == ["barrel"] * 4, ran.err


def test_the_installed_command(four: Shop) -> None:
    ran = caskbook("correct", "7005..7006", *HOGSHEAD, "--by", "ab", "--dry-run", "--records", str(four.root))
    assert "which casks, and what of them?" in caskbook("correct").stderr
    assert ran.returncode == 0 and ran.stdout.count("+    type: hogshead") == 2 and types(four) == ["barrel"] * 4
    assert caskbook("correct", "7005..7006", *HOGSHEAD, "--by", "ab", "--records", str(four.root)).returncode == 0
    assert types(four) == ["hogshead", "hogshead", "barrel", "barrel"]
    help_ = caskbook("correct", "--help").stdout
    assert "caskbook correct 7005..7012" in help_ and "--capacity" in help_ and "exit code" in help_ and max(map(len, help_.splitlines())) <= 80


@pytest.mark.parametrize("word", ["unknown", "not known", "?", "Nobody", "n/a", "(unknown)"])
def test_what_says_that_nobody_knows_is_no_name(four: Shop, word: str) -> None:
    """Asked about in a receipt, where it would be one supplier among the others; in a correction it makes unknown what was a name."""
    ran = four.enter("receive", "TH-007099", "accept", "--type", "barrel", "--supplier", word, "--by", "ab")
    assert ran.code == 1 and f"{word} would be a name like any other; where nobody knows, leave it out" in ran.err and not ran.out, ran
    ran = four.run(correct, CASKS[0], "--supplier", word, "--why", "the note is lost")
    assert ran.code == 1 and "supplier is unknown already" in ran.err and not ran.out, ran
    assert four.run(correct, CASKS[0], "--supplier", "Northquay", "--why", "the note is found").code == 0
