"""Entering on a cask of two numbers: it is told, cautioned, doubted and judged by the life of both, and the entry goes into the file that goes on."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
import yaml
from commands import caskbook
from entry.shop import Shop, days_ago

pytestmark = pytest.mark.thorough

OLD, NEW, PLAIN = "TL-000009", "TH-004217", "TH-000100"
CAME = [
    {"date": days_ago(400), "job": "receive", "verdict": "accept"},
    {"date": days_ago(399), "job": "measure", "capacity_l": 185, "tare_kg": 50, "dims_mm": {"bung": 650, "head": 560, "length": 850}},
    {"date": days_ago(3), "job": "examine", "verdict": "sound"},
]
FILLED = [*CAME[:2], {**CAME[2], "date": days_ago(392)}, {"date": days_ago(391), "job": "fill", "spirit": "malt", "litres": 180, "abv": 63.5, "temp_c": 20}]
LAIN = [*FILLED, {"date": days_ago(390), "job": "move", "berth": "W1/05/2"}]
JOINED = [{"id": "n0000001", "date": days_ago(100), "job": "receive", "verdict": "accept"},
          {"id": "n0000002", "date": days_ago(90), "job": "same-as", "of": OLD, "why": "two numbers"}]  # fmt: skip


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_BY", "ab")
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    monkeypatch.chdir(tmp_path)
    made = Shop(tmp_path)
    made.put(*JOINED, cask=NEW)
    return made


def said(*words: str, code: int = 0) -> str:
    ran = caskbook(*words, "--yes")
    assert ran.returncode == code, ran.stdout + ran.stderr
    return ran.stdout + ran.stderr


def written(shop: Shop, cask: str) -> list[dict[str, object]]:
    found: list[dict[str, object]] = yaml.safe_load(shop.path(cask).read_bytes())["events"]
    return found


DRAW = ("enter", "draw", NEW, "--litres", "5", "--abv", "63", "--temp", "15")
DRAWN = {"date": days_ago(0), "job": "draw", "litres": 5, "abv": 63, "temp_c": 15}


def test_what_stands_under_the_other_number_is_not_entered_again(shop: Shop):
    shop.put(*FILLED, DRAWN, cask=OLD)
    before = shop.path(NEW).read_bytes()
    told = said(*DRAW, code=1)
    assert f"the same draw of {days_ago(0)} stands there already (e0000005, under {OLD})" in told and shop.path(NEW).read_bytes() == before
    said(*DRAW, "--anyway", "--why", "for two people")
    assert written(shop, NEW)[-1]["job"] == "draw"


def test_one_that_was_voided_there_is_no_twin(shop: Shop):
    shop.put(*FILLED, DRAWN, {"date": days_ago(0), "job": "void", "of": "e0000005", "why": "wrong cask"}, cask=OLD)
    said(*DRAW)
    assert "entered-twice" not in caskbook("check", NEW, OLD).stdout


def test_two_benches_that_wrote_one_job_under_two_numbers_are_told_once(shop: Shop):
    """Whichever of the two files has the later one; the arrivals of a day are each number's own."""
    shop.put({**JOINED[0], "id": "e0000001"}, JOINED[1], {**DRAWN, "id": "e0000006", "by": "ab"}, cask=NEW)
    shop.put({**JOINED[0], "id": "e0000000"}, *({**one, "date": days_ago(50)} for one in FILLED[3:]), {**DRAWN, "id": "e0000008"}, cask=OLD)
    found = caskbook("check", NEW, OLD).stdout
    assert found.count("warning  entered-twice") == 1 and f"stands under {OLD} (e0000008)" in found


def test_a_void_under_the_other_number_lists_what_becomes_impossible_under_this_one(shop: Shop):
    shop.put(*JOINED, {"id": "n0000003", "date": days_ago(10), "job": "leak", "at": "head-A-2", "severity": "weep"}, cask=NEW)
    shop.put(*LAIN, cask=OLD)
    told = said("void", OLD, "e0000004", "--why", "never filled")
    assert f"a later entry no longer fits: under {NEW}: leak on an empty cask: nothing in it (n0000003)" in told
    told = said("void", OLD, "e0000003", "--why", "not looked at")
    assert "no longer fits" not in told


def test_a_void_under_this_number_lists_what_becomes_impossible_under_the_other(shop: Shop):
    shop.put(*CAME, {"date": days_ago(1), "job": "regauge", "litres": 170, "abv": 63, "temp_c": 20}, cask=OLD)
    shop.put(*JOINED, {"id": "n0000003", "date": days_ago(2), "job": "fill", "spirit": "malt", "litres": 180, "abv": 63.5, "temp_c": 20}, cask=NEW)
    told = said("void", NEW, "n0000003", "--why", "never filled")
    assert f"a later entry no longer fits: under {OLD}: regauge on an empty cask" in told


ECHO = f"{NEW}  barrel, full of malt, 1st fill since char"


@pytest.mark.parametrize("way", ["enter", "bench", "scan"])
def test_the_echo_is_of_the_whole_cask(shop: Shop, way: str, monkeypatch: pytest.MonkeyPatch):
    shop.put({"date": days_ago(401), "job": "receive", "verdict": "accept"}, {"date": days_ago(400), "job": "char", "level": 3}, *FILLED[2:], cask=OLD)
    if way == "enter":
        assert ECHO in said("enter", "note", NEW, "--note", "x")
        return
    line = f"note {NEW} x" if way == "bench" else NEW
    monkeypatch.setattr("sys.stdin", io.StringIO(f"shift ab\n{line}\n" if way == "bench" else f"{line}\n"))
    ran = caskbook("bench", "--dry-run") if way == "bench" else caskbook("enter", "scan", "note", "--note", "x", "--dry-run")
    assert ECHO.removeprefix(f"{NEW}  ") in ran.stdout + ran.stderr, ran.stdout + ran.stderr


def test_an_empty_one_that_was_examined_under_the_other_number_is_told_ready(shop: Shop):
    shop.put(*CAME, cask=OLD)
    told = said("enter", "fill", NEW, "--spirit", "malt", "--litres", "180", "--abv", "63", "--temp", "20")
    assert f"{NEW}  barrel, ready" in told and "examine is due" not in told


def test_a_move_is_cautioned_and_its_berth_judged_for_the_whole_cask(shop: Shop, monkeypatch: pytest.MonkeyPatch):
    shop.put(*LAIN, cask=OLD)
    told = said("enter", "move", NEW, "--berth", "W1/05/2")
    assert "kg full" in told and "stands there" not in told
    shop.put(*CAME, cask=PLAIN)
    assert f"W1/05/2: {NEW} stands there (barrel, filled)" in said("enter", "move", PLAIN, "--berth", "W1/05/2")
    said("enter", "move", NEW, "--berth", "W1/06/1")
    shop.put(*CAME, cask=PLAIN)
    assert "stands there" not in said("enter", "move", PLAIN, "--berth", "W1/05/2")


def test_litres_are_worked_out_by_what_was_measured_under_the_other_number(shop: Shop):
    shop.put(*FILLED, cask=OLD)
    gauge = ("enter", "regauge", NEW, "--abv", "63", "--temp", "20", "--dry-run")
    assert "L at 20 °C by the weight" in said(*gauge, "--gross", "205", "--method", "weigh")
    assert "L at 20 °C by the dip" in said(*gauge, "--wet", "600", "--method", "dip")


def test_a_gauge_that_gains_on_the_other_numbers_is_doubted(shop: Shop):
    full = {"date": days_ago(391), "job": "fill", "spirit": "malt", "litres": 196, "abv": 63.3, "temp_c": 20}
    gauged = {"date": days_ago(0), "job": "regauge", "litres": 190, "abv": 62.9, "temp_c": 15, "method": "dip"}
    shop.put(CAME[0], {**CAME[2], "date": days_ago(392)}, full, gauged, cask=OLD)
    told = said("enter", "regauge", NEW, "--litres", "199", "--abv", "63.9", "--temp", "15", "--method", "dip", "--anyway", "--why", "x")
    assert "spirit does not grow" in told


def test_work_before_the_number_that_goes_on_came_is_written_there_by_the_life_of_both(shop: Shop):
    shop.put(*LAIN, cask=OLD)
    said("enter", "sample", NEW, "--ml", "100", "--date", str(days_ago(200)))
    assert [one["job"] for one in written(shop, NEW)] == ["sample", "receive", "same-as"]
    found = caskbook("check", NEW, OLD)
    assert found.returncode == 0 and "warning" not in found.stdout, found.stdout
    assert "job-on-empty-cask" not in caskbook("show", NEW).stdout
    told = said("enter", "sample", NEW, "--ml", "100", "--date", str(days_ago(395)), code=1)
    assert "sample on an empty cask" in told
    told = said("enter", "sample", NEW, "--ml", "100", "--date", str(days_ago(500)), code=1)
    assert f"{days_ago(500)} lies before the cask came, on {days_ago(400)}" in told


def test_an_entry_before_every_arrival_is_still_an_error(shop: Shop):
    shop.put(*LAIN, cask=OLD)
    shop.put({"id": "n0000000", "date": days_ago(500), "job": "sample", "ml": 100}, *JOINED, cask=NEW)
    found = caskbook("check", NEW).stdout
    assert "date-before-arrival" in found and f"the cask came on {days_ago(400)}" in found


def test_an_entry_under_the_other_number_gets_another_day(shop: Shop):
    shop.put(*LAIN, cask=OLD)
    said("redate", OLD, "e0000005", "--date", str(days_ago(380)), "--why", "the day before the stocktake")
    assert [(one["job"], str(one["date"])) for one in written(shop, OLD)][-1] == ("move", str(days_ago(380)))
    assert caskbook("check", NEW, OLD).returncode == 0
    shop.put(*JOINED, {"id": "n0000003", "date": days_ago(10), "job": "leak", "at": "head-A-2", "severity": "weep"}, cask=NEW)
    told = said("redate", OLD, "e0000004", "--date", str(days_ago(5)), "--why", "filled later", code=1)
    assert f"no longer fit: under {NEW}: leak on an empty cask" in told


def test_an_entry_of_the_other_number_is_named_where_another_goes_before_it_or_answers_it(shop: Shop):
    shop.put(*FILLED, {"date": days_ago(5), "job": "leak", "at": "head-A-2", "severity": "weep"}, cask=OLD)
    said("enter", "sample", NEW, "--ml", "100", "--before", "e0000005")
    mine = next(one for one in written(shop, NEW) if one["job"] == "sample")
    assert str(mine["date"]) == str(days_ago(5)) and str(mine["id"]) < "e0000005"
    said("enter", "drive", NEW, "--hoops", "all", "--answers", "e0000005")
    assert written(shop, NEW)[-1]["answers"] == ["e0000005"]
    assert caskbook("check", NEW, OLD).returncode == 0


@pytest.mark.parametrize("command", ["void", "redate"])
def test_the_id_of_the_other_number_is_told_where_it_stands(shop: Shop, command: str):
    shop.put(*LAIN, cask=OLD)
    more = ("--date", str(days_ago(1))) if command == "redate" else ()
    told = said(command, NEW, "e0000005", *more, "--why", "x", code=2)
    assert f"e0000005 stands under {OLD}, the same cask as {NEW}: name it by that number" in told


def test_a_new_entry_comes_behind_those_of_its_day_under_the_other_number(shop: Shop):
    """An id there that was made longer, or on a machine whose clock goes before, is later in the order of the work all the same."""
    late = {"id": "zzzz0000", "date": days_ago(0), "job": "fill", "spirit": "malt", "litres": 180, "abv": 63.5, "temp_c": 20}
    shop.put(*CAME, late, cask=OLD)
    said("enter", "sample", NEW, "--ml", "100")
    assert str(written(shop, NEW)[-1]["id"]) > "zzzz0000"
    assert caskbook("check", NEW, OLD).returncode == 0


def test_what_names_an_entry_of_the_other_number_is_told_where_that_is_voided(shop: Shop):
    shop.put(*LAIN, {"date": days_ago(9), "job": "leak", "at": "head-A-2", "severity": "weep"}, cask=OLD)
    shop.put(*JOINED, {"id": "n0000003", "date": days_ago(5), "job": "look", "seen": "dry", "of": "e0000006"}, cask=NEW)
    told = said("void", OLD, "e0000006", "--why", "it was dew")
    assert f"the look of {days_ago(5)} (n0000003) under {NEW} names e0000006, which counts here no more" in told


def test_with_an_index_the_same_is_told(shop: Shop, monkeypatch: pytest.MonkeyPatch):
    shop.put(*LAIN, cask=OLD)
    lines = (("note", "--note", "x"), ("move", "--berth", "W1/05/2"), ("sample", "--ml", "100", "--date", str(days_ago(200))))
    alone = [said("enter", line[0], NEW, *line[1:], "--dry-run") for line in lines]
    monkeypatch.delenv("CASKBOOK_INDEX")
    assert caskbook("list").returncode == 0
    indexed = [said("enter", line[0], NEW, *line[1:], "--dry-run") for line in lines]
    assert [re.sub(r"\bg[0-9a-z]{7}\b", "ID", one) for one in indexed] == [re.sub(r"\bg[0-9a-z]{7}\b", "ID", one) for one in alone]


def test_an_entry_is_moved_from_one_number_to_the_other(shop: Shop):
    """What falls there in the same run is no twin of its copy."""
    shop.put(*LAIN, {"date": days_ago(9), "job": "leak", "at": "head-A-2", "severity": "weep"}, cask=OLD)
    said("move-event", OLD, "e0000006", "--to", NEW, "--why", "seen on that head")
    assert written(shop, NEW)[-1]["moved_from"] == f"{OLD}/e0000006"
    assert caskbook("check", NEW, OLD).returncode == 0


def test_a_void_under_the_other_number_tells_what_goes_against_the_house_under_this_one(shop: Shop):
    shop.put(*CAME, cask=OLD)
    shop.put(*JOINED, {"id": "n0000003", "date": days_ago(2), "job": "fill", "spirit": "malt", "litres": 180, "abv": 63.5, "temp_c": 20}, cask=NEW)
    told = said("void", OLD, "e0000003", "--why", "not looked at")
    assert f"a later entry no longer fits: under {NEW}: filled while it is not examined for this fill (n0000003)" in told


def test_one_of_two_receipts_may_be_voided(shop: Shop):
    shop.put(*FILLED, cask=OLD)
    shop.put(*JOINED, {"id": "n0000003", "date": days_ago(2), "job": "sample", "ml": 100}, cask=NEW)
    told = said("void", NEW, "n0000001", "--why", "it never left")
    assert "never came" not in told and "no longer fits" not in told
    said("enter", "sample", NEW, "--ml", "100")
    assert "no-arrival" not in caskbook("check", NEW, OLD).stdout


def test_of_more_numbers_than_two_all_files_count(shop: Shop):
    oldest = "TL-000001"
    shop.put(*FILLED, cask=oldest)
    shop.put({"id": "m0000001", "date": days_ago(200), "job": "receive", "verdict": "accept"},
             {"id": "m0000002", "date": days_ago(200), "job": "same-as", "of": oldest, "why": "one"}, DRAWN, cask=OLD)  # fmt: skip
    assert "full of malt" in said("enter", "note", NEW, "--note", "x")
    assert f"stands there already (e0000003, under {OLD})" in said(*DRAW, code=1)
    told = said("void", oldest, "e0000004", "--why", "never filled")
    assert f"under {OLD}: draw on an empty cask" in told
