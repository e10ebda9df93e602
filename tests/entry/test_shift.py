"""A shift: who and which day, for twelve hours, kept on this machine for one ledger; every way of entering goes by it, and says so."""

from __future__ import annotations

import io
import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from caskbook.cli.commands.correct import void
from caskbook.cli.commands.shift import run as shift
from caskbook.ledger.shift import Shift, keep_shift, shift_of
from entry.shop import CASK, HOUSE, Shop, days_ago

CAME = {"date": days_ago(90), "job": "receive", "verdict": "accept"}
CREW = HOUSE.replace(
    "  - {initials: kd}\n", f"  - {{initials: kd}}\n  - {{initials: mo, until: {days_ago(20)}}}\n  - {{initials: nw, from: {days_ago(-20)}}}\n"
)
NOON = datetime.now(UTC).replace(hour=12, minute=0, second=0, microsecond=0)


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.delenv("CASKBOOK_BY", raising=False)
    made = Shop(tmp_path, CREW)
    made.put(CAME)
    return made


def at(monkeypatch: pytest.MonkeyPatch, moment: datetime) -> None:
    monkeypatch.setattr("caskbook.cli.common.clock", lambda: moment)


def test_who_and_when_need_not_be_typed(house: Shop) -> None:
    began = house.run(shift, "AB", "--psi", "11", "--water", "2")
    assert began.code == 0 and began.out.startswith(f"shift of ab, {days_ago(0):%A} {days_ago(0)}, until ") and began.out.endswith("; psi 11, water 2\n")
    ran = house.enter("test", "4217", "p")
    assert ran.code == 0 and "shift of ab, " in ran.err, ran.err
    assert house.last() == {**house.last(), "by": "ab", "date": days_ago(0), "psi": 11, "water_l": 2}
    assert house.run(shift).out == began.out
    assert house.enter("test", CASK, "p", "--psi", "9", "--by", "kd", "--date", "-1", "--anyway", "--why", "x").code == 0
    assert house.data()["events"][-2] == {**house.data()["events"][-2], "by": "kd", "psi": 9, "date": days_ago(1)}, "what is typed goes before"
    assert house.enter("test", CASK, "p", "--method", "water").code == 0 and "psi" not in house.last()
    assert house.run(void, CASK, "e0000001", "--why", "x", "--dry-run").code == 0
    assert house.run(shift, "end").code == 0 and house.run(shift).code == 1 and house.run(shift, "end").code == 1
    assert house.enter("note", CASK, "--note", "x").code == 2


def test_scans_and_sheets_go_by_it(house: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    house.run(shift, "kd", "--date", "-2")
    monkeypatch.setattr("sys.stdin", io.StringIO("4217\n"))
    ran = house.enter("scan", "note", "--note", "scanned")
    assert ran.code == 0 and "shift of kd" in ran.err and house.last() == {**house.last(), "by": "kd", "date": days_ago(2), "note": "scanned"}
    (tmp_path / "day.csv").write_text("job,cask,note\nnote,4217,sheet\n")
    assert house.enter("sheet", str(tmp_path / "day.csv"), "--yes").code == 0 and house.last() == {
        **house.last(),
        "by": "kd",
        "date": days_ago(2),
        "note": "sheet",
    }


def test_a_sheet_takes_what_the_shift_keeps_and_is_known_in_the_next(house: Shop, tmp_path: Path) -> None:
    """Its rows need not say the pressure; the sheet goes by its own name, and what a row does not say makes no other row of it."""
    house.run(shift, "kd", "--psi", "8", "--sheet", "blue-book")
    path = tmp_path / "tests.csv"
    path.write_text(f"date,job,cask,result\n{days_ago(0)},test,4217,pass\n")
    ran = house.enter("sheet", str(path), "--yes")
    assert ran.code == 0 and house.last() == {**house.last(), "by": "kd", "psi": 8, "sheet": "tests"}, ran.err
    before = house.path().read_bytes()
    house.run(shift, "ab", "--psi", "11")
    ran = house.enter("sheet", str(path), "--yes")
    assert ran.code == 0 and "nothing to write" in ran.err and house.path().read_bytes() == before, ran.err
    ran = house.enter("sheet", str(path), "--yes", "--psi", "9")
    assert ran.code == 0 and "is replaced by: pass, 9 psi" in ran.err, ran.err


def test_a_sheet_without_a_day_read_on_another_day_doubles_nothing(house: Shop, tmp_path: Path) -> None:
    path = tmp_path / "notes.csv"
    path.write_text("job,cask,note\nnote,4217,x\n")
    house.run(shift, "ab", "--date", "-1")
    assert house.enter("sheet", str(path), "--yes").code == 0
    before = house.path().read_bytes()
    house.run(shift, "ab")
    ran = house.enter("sheet", str(path), "--yes")
    assert ran.code == 1 and f"if it was that day: --date {days_ago(1)}" in ran.err and house.path().read_bytes() == before, ran.err
    assert "nothing to write" in house.enter("sheet", str(path), "--yes", "--date", days_ago(1).isoformat()).err


def test_the_day_of_the_beginning_holds_over_midnight(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    night = NOON - timedelta(hours=14)  # 22:00 of the day before
    at(monkeypatch, night)
    assert house.run(shift, "ab").code == 0
    at(monkeypatch, night + timedelta(hours=5))
    ran = house.enter("note", CASK, "--note", "late")
    assert ran.code == 0 and house.last()["date"] == night.date()
    assert f"shift of ab, {night:%A} {night.date()}, until 10:00" in ran.err


@pytest.mark.parametrize("hours", [11.99, 12.0, 30])
def test_it_is_over_after_twelve_hours(house: Shop, monkeypatch: pytest.MonkeyPatch, hours: float) -> None:
    at(monkeypatch, NOON - timedelta(hours=hours))
    house.run(shift, "ab")
    at(monkeypatch, NOON)
    ran = house.enter("note", CASK, "--note", "x")
    if hours < 12:
        assert ran.code == 0
        return
    assert ran.code == 2 and "12 hours after it began: begin another with caskbook shift ab, or say --by" in ran.err and len(house.data()["events"]) == 1
    assert house.run(shift).code == 1
    ran = house.enter("note", CASK, "--note", "x", "--by", "kd")
    assert ran.code == 0 and "it counts for nothing" in ran.err and house.last()["date"] == NOON.date(), "of the day it is, not of the shift's"


def test_a_clock_that_went_back_is_told(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    at(monkeypatch, NOON)
    house.run(shift, "ab")
    at(monkeypatch, NOON - timedelta(minutes=4))
    assert house.enter("note", CASK, "--note", "x").code == 0, "a clock that was set right by minutes"
    at(monkeypatch, NOON - timedelta(minutes=6))
    ran = house.enter("note", CASK, "--note", "y")
    assert ran.code == 2 and "began at 12:00, and it is 11:54: the clock went back" in ran.err


@pytest.mark.parametrize(
    "words,said",
    [
        (("mo",), f"mo left the crew on {days_ago(20)}; of the crew on {days_ago(0)}: ab, kd"),
        (("nw",), f"nw is of the crew from {days_ago(-20)}; of the crew on"),
        (("zz",), "zz is not of the crew: ab, kd"),
        (("abb",), "abb is not of the crew: did you mean ab?"),
        (("ab", "kd"), "whose shift?"),
        (("ab", "--date", f"{days_ago(-1)}"), "lies ahead; today is"),
        (("ab", "--date", "soon"), "--date: 'soon' is no day"),
        (("ab", "--litres", "200"), "--litres is nothing that a shift keeps"),
        (("ab", "--psi", "much"), "--psi: 'much' is no number"),
        (("ab", "--psi"), "--psi needs a value"),
        (("--psi", "11"), "--psi goes with whose shift it is"),
    ],
)
def test_who_or_what_cannot_be_is_refused(house: Shop, words: tuple[str, ...], said: str) -> None:
    ran = house.run(shift, *words)
    assert ran.code == 2 and said in ran.err and shift_of(house.root) is None, ran.err


def test_somebody_who_left_may_have_worked_before(house: Shop) -> None:
    assert house.run(shift, "mo", "--date", f"{days_ago(25)}").code == 0
    assert house.enter("note", CASK, "--note", "x").code == 0 and house.last()["by"] == "mo"


def test_somebody_who_leaves_during_the_shift_is_told(house: Shop) -> None:
    house.run(shift, "kd")
    text = (house.root / "house.yaml").read_text().replace("{initials: kd}", f"{{initials: kd, until: {days_ago(1)}}}")
    (house.root / "house.yaml").write_text(text)
    ran = house.enter("note", CASK, "--note", "x")
    assert ran.code == 2 and f"kd left the crew on {days_ago(1)}" in ran.err


def test_a_day_long_past_is_asked_about_once(house: Shop) -> None:
    day = f"{days_ago(60)}"
    ran = house.run(shift, "ab", "--date", day)
    assert ran.code == 1 and "60 days back" in ran.err and shift_of(house.root) is None
    assert house.run(shift, "ab", "--date", day, "--yes").code == 0
    ran = house.enter("note", CASK, "--note", "x")
    assert ran.code == 0 and "days back" not in ran.err


def test_it_is_of_one_ledger_in_one_place(house: Shop, tmp_path: Path) -> None:
    house.run(shift, "ab")
    other = Shop(tmp_path / "other", CREW)
    assert other.run(shift).code == 1
    shutil.copytree(house.root, tmp_path / "copy")
    shutil.rmtree(house.root)
    shutil.move(tmp_path / "copy", house.root)
    assert house.run(shift).code == 1, "another folder in the same place"


@pytest.mark.parametrize("text", ["", "{}", "[]", "null", '{"place": 1}', "\x00", "{" * 5000])
def test_a_note_that_cannot_be_read_is_no_shift(house: Shop, text: str) -> None:
    keep_shift(house.root, Shift("ab", days_ago(0), datetime.now(UTC)))
    (note,) = (house.root.parent / "state").glob("shift-*")
    note.write_text(text)
    assert shift_of(house.root) is None and house.run(shift).code == 1


def test_where_no_state_can_be_kept_it_is_said(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_STATE", str(house.root / "house.yaml"))
    ran = house.run(shift, "ab")
    assert ran.code == 2 and "CASKBOOK_STATE" in ran.err


def test_what_it_keeps_goes_only_where_it_is_called_for(house: Shop) -> None:
    """An empty cask is not received full of the shift's spirit, a rack is named by what was racked, and 20 °C leaves its temperature aside."""
    house.run(shift, "ab", "--spirit", "malt", "--temp", "12", "--psi", "11")
    assert house.enter("receive", "TH-006001", "accept", "--type", "barrel", "--capacity", "200", "--yes").code == 0
    assert not {"spirit", "temp_c", "contents"} & house.last("TH-006001").keys() and house.facts("TH-006001").fills == 0
    wine = ("receive", "TH-006002", "accept", "--type", "butt", "--capacity", "500", "--contents", "oloroso", "--litres", "490", "--abv", "18", "--yes")
    assert house.enter(*wine).code == 0 and house.last("TH-006002").get("spirit", "oloroso") == "oloroso" and house.last("TH-006002")["temp_c"] == 12
    assert house.enter("examine", "TH-006001", "sound").code == 0
    assert house.enter("fill", "TH-006001", "--litres", "190", "--abv", "63", "--at-20").code == 0
    assert house.last("TH-006001") == {**house.last("TH-006001"), "spirit": "malt", "at_20": True}
    assert house.enter("top", "TH-006001", "--litres", "2", "--abv", "60").code == 0
    assert "spirit" not in house.last("TH-006001") and house.last("TH-006001")["temp_c"] == 12
    assert house.enter("test", CASK, "pass", "--method", "air").code == 0 and house.last()["psi"] == 11


@pytest.mark.parametrize("job", ["test", "fill"])
def test_what_replaces_an_entry_takes_over_what_that_says(house: Shop, job: str) -> None:
    typed = {"test": ("pass", "--psi", "8", "--water", "1"), "fill": ("--spirit", "grain", "--litres", "190", "--abv", "63", "--temp", "18")}[job]
    anyway = ("--anyway", "--why", "x", "--yes")
    assert house.enter(job, CASK, *typed, "--by", "kd", *anyway).code == 0
    first = house.last()
    house.run(shift, "ab", "--psi", "11", "--water", "2", "--spirit", "malt", "--temp", "12", "--sheet", "monday")
    new = {"test": ("--minutes", "20"), "fill": ("--litres", "191")}[job]
    assert house.enter(job, CASK, *new, "--replaces", first["id"], *anyway).code == 0
    kept = {key: value for key, value in first.items() if key not in ("id", "why", "litres", "minutes")}
    assert {key: house.last().get(key) for key in kept} == kept
