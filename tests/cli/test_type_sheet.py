"""A paper sheet typed at a real terminal: keys are counted, a wrong cell is told at once, and a crash loses the cell being typed at most."""

from __future__ import annotations

import signal
import time
from pathlib import Path

import pytest
from cli.terminal import Terminal
from commands import caskbook
from entry.shop import HOUSE, Shop, days_ago

from caskbook.ledger.typed_drafts import draft_at

pytestmark = pytest.mark.thorough

CAME = {"date": days_ago(30), "job": "receive", "verdict": "accept"}
FULL = {"date": days_ago(9), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "temp_c": 12}
CASKS = [f"TH-{n:06d}" for n in range(7001, 7041)]
GIVEN = ("--by", "ab", "--date", "today", "--psi", "11", "--sheet", "tuesday")
SAVE = "\x13"


class Hand(Terminal):
    """A sheet that is typed there."""

    def __init__(self, shop: Shop, *words: str) -> None:
        super().__init__(shop, "enter", "sheet", "--type", *words, NO_COLOR="1")


def typed(house: Shop, count: int, *, seconds: float = 30) -> None:
    """Until so many rows of what is typed are kept: a screen shows only what changed on it."""
    end = time.monotonic() + seconds
    while (draft := draft_at(house.root)) is None or sum(1 for row in draft["rows"] if row[3]) != count:
        assert time.monotonic() < end, draft
        time.sleep(0.02)


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    made = Shop(tmp_path, HOUSE)
    for cask in CASKS:
        made.put(CAME, cask=cask)
    return made


def results(house: Shop) -> dict[str, str]:
    return {cask: event["result"] for cask in CASKS if (event := house.last(cask))["job"] == "test"}


def test_a_sheet_of_forty_rows_takes_less_than_six_keys_a_row(house: Shop) -> None:
    """Thirty pass, four are as the one above, three fail and three were cured."""
    at = Hand(house, "test", "7001..7040", *GIVEN)
    at.wait("0 of 40 rows")
    for n, _ in enumerate(CASKS):
        at.hand("fj3\r" if n in (5, 15, 25) else "cj12\r" if n in (7, 17, 27) else '"' if n in (6, 16, 26, 28) else "p")
    at.hand(SAVE)
    at.wait("Write all 40?")
    at.hand("y\r")
    assert at.ended() == 0, at.seen
    assert at.keys <= 2 * 40 and at.keys / 40 < 6, at.keys
    found = results(house)
    assert len(found) == 40 and list(found.values()).count("fail") == 6
    event = house.last("TH-007008")
    assert event == {**event, "result": "pass", "cured_by": "drive", "psi": 11, "sheet": "tuesday", "by": "ab"} and event["leaks"] == [{"at": "joint-12"}]


def test_a_grid_is_written_as_the_sheet_read_back(house: Shop, tmp_path: Path) -> None:
    """Typed from a saved card, and the same card filled in and read: the second adds nothing."""
    assert caskbook("sheet", "--for", "test", "7001..7003", "--save", str(tmp_path / "tuesday.csv"), "--records", str(house.root)).returncode == 0
    at = Hand(house, str(tmp_path / "tuesday.csv"), "--by", "ab", "--date", "today", "--psi", "11")
    at.wait("0 of 3 rows")
    at.hand("p\rp" + SAVE)  # the second row is left out
    at.wait("Write all 2?")
    at.hand("y\r")
    assert at.ended() == 0, at.seen
    assert set(results(house)) == {"TH-007001", "TH-007003"}
    text = (tmp_path / "tuesday.csv").read_text(encoding="utf-8")
    column = text.splitlines()[0].split(",").index("result")
    rows = [line.split(",") for line in text.splitlines()]
    for row in (rows[1], rows[3]):
        row[column] = "pass"
    (tmp_path / "tuesday.csv").write_text("\n".join(",".join(row) for row in rows) + "\n", encoding="utf-8")
    ran = caskbook("enter", "sheet", str(tmp_path / "tuesday.csv"), "--by", "ab", "--date", "today", "--psi", "11", "--yes", "--records", str(house.root))
    assert ran.returncode == 0 and "in the book already: 2 entries" in ran.stderr and "nothing to write" in ran.stderr, ran.stderr


def test_what_is_wrong_is_told_at_once_and_nothing_wrong_is_written(house: Shop) -> None:
    house.put(CAME, FULL, cask="TH-007002")
    at = Hand(house, "test", "7001..7003", *GIVEN)
    at.wait("0 of 3 rows")
    at.hand("fj99\r")
    at.wait("joint-99")
    at.hand("p")
    at.wait("malt since")
    at.hand(SAVE)
    shown = at.wait("to be put right")
    assert "Write" not in shown and results(house) == {}
    at.hand("\x03")
    assert at.ended() == 1 and results(house) == {}


@pytest.mark.parametrize("count", [1, 7, 23])
def test_what_is_typed_survives_a_crash(house: Shop, count: int) -> None:
    at = Hand(house, "test", "7001..7040", *GIVEN)
    at.wait("0 of 40 rows")
    at.hand("p" * count + "fj")  # the cell of the leak is being typed
    typed(house, count + 1)
    at.child.kill(signal.SIGKILL)
    at.ended()
    assert results(house) == {}
    again = Hand(house)
    again.wait(f"{count + 1} of 40 rows")
    again.hand("j3\r" + SAVE)
    again.wait(f"Write all {count + 1}?")
    again.hand("y\r")
    assert again.ended() == 0
    assert list(results(house).values()) == ["pass"] * count + ["fail"]
    assert "which sheet?" in Hand(house).wait("which sheet?")  # It is written: nothing is offered again.


def test_what_is_left_is_offered_again_and_put_aside_where_another_sheet_is_begun(house: Shop) -> None:
    at = Hand(house, "test", "7001..7040", *GIVEN)
    at.wait("0 of 40 rows")
    at.hand("pp\x03")
    assert "2 rows typed" in at.wait("goes on with it") and at.ended() == 1
    other = Hand(house, "look", "7001", "--by", "ab", "--date", "today", "--sheet", "wed")
    other.wait("Go on with it?")
    other.hand("n\r")
    other.wait("0 of 1 row")
    other.hand("\x03")
    other.ended()
    assert len(list((house.root.parent / "state").glob("typed-*.aside"))) == 1


def test_a_termination_keeps_what_is_typed(house: Shop) -> None:
    at = Hand(house, "test", "7001..7040", *GIVEN)
    at.wait("0 of 40 rows")
    at.hand("ppp")
    typed(house, 3)
    at.child.kill(signal.SIGTERM)
    assert at.ended() == 143 and "nothing written" in at.seen
    Hand(house).wait("3 of 40 rows")


def test_the_head_of_the_paper_is_asked_for(house: Shop) -> None:
    at = Hand(house, "test", "7001")
    at.wait("day (Enter: today")
    at.hand("\r")
    at.wait("done by")
    at.hand("zz\r")
    at.wait("zz")
    at.hand("kd\r")
    at.wait("psi for all rows")
    at.hand("eleven\r")
    at.wait("eleven")
    at.hand("11\r")
    at.wait("name of the sheet")
    at.hand("\r")
    at.wait("0 of 1 row")
    at.hand("p" + SAVE)
    at.wait("Write it?")
    at.hand("\r")
    assert at.ended() == 0
    event = house.last("TH-007001")
    assert event["by"] == "kd" and event["psi"] == 11 and event["sheet"].startswith("run-")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("rack", "7001"), "written into several files"), (("test",), "which casks?"), (("test", "9999"), "9999"), (("no-job", "7001"), "no-job"),
        (("test", "7001", "--colour", "red"), "colour"), ((), "which sheet?"),
    ],
)  # fmt: skip
def test_what_cannot_be_typed_is_said_before_the_grid(house: Shop, words: tuple[str, ...], said: str) -> None:
    at = Hand(house, *words, *(GIVEN if words else ()))
    at.wait(said)
    assert at.ended() == 2, at.seen


def test_without_a_terminal_the_way_by_a_file_is_told(house: Shop) -> None:
    ran = caskbook("enter", "sheet", "--type", "test", "7001", "--records", str(house.root))
    assert ran.returncode == 2 and "caskbook enter sheet tuesday.csv" in ran.stderr
