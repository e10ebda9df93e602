"""redate: entries of a wrong day are replaced by themselves on the right one, a whole sheet at once, judged as entries are."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from entry.conftest import shop as shop
from entry.shop import CASK, Ran, Shop, days_ago
from entry.states import STATES

from caskbook.cli.commands.correct import void
from caskbook.cli.commands.redate import redate
from caskbook.model.standing import corrections

READY = STATES["ready"] or []
FILLED = STATES["filled"] or []
THREE = ("TH-004501", "TH-004502", "TH-004503")
WRONG, RIGHT = days_ago(1), days_ago(3)


def standing(shop: Shop, cask: str) -> list[dict[str, Any]]:
    """The entries of a cask that count, in the order of the file, voids aside."""
    fallen = corrections(shop.cask(cask).events).fallen
    return [event for event in shop.data(cask)["events"] if event["id"] not in fallen and event["job"] != "void"]


@pytest.fixture
def three(shop: Shop) -> Shop:
    """Three casks, each with a test on a sheet of the wrong day."""
    for cask in THREE:
        shop.put(*READY, cask=cask)
    assert shop.enter("test", *THREE, "pass", "--psi", "11", "--sheet", "B-17", "--date", WRONG.isoformat(), "--yes").code == 0
    return shop


def sheet(shop: Shop, *words: str) -> Ran:
    return shop.run(redate, "--sheet", "B-17", "--date", RIGHT.isoformat(), *words)


def test_a_sheet_gets_another_day_and_the_old_lines_stay(three: Shop) -> None:
    before = {cask: three.path(cask).read_text(encoding="utf-8") for cask in THREE}
    ran = sheet(three, "--yes")
    assert ran.code == 0, ran.err
    assert f"TH-004501  {WRONG:%a} {WRONG} → {RIGHT:%a} {RIGHT}  test: pass, 11 psi" in ran.err and "3 entries on 3 casks, sheet B-17" in ran.err
    for cask in THREE:
        old, new = (next(one for one in three.data(cask)["events"] if one["job"] == "test" and one["date"] == day) for day in (WRONG, RIGHT))
        assert new == {**old, "id": new["id"], "date": RIGHT, "replaces": old["id"], "why": f"wrong day: {WRONG}"}
        assert [one["date"] for one in standing(three, cask) if one["job"] == "test"] == [RIGHT]
        lines = three.path(cask).read_text(encoding="utf-8").splitlines()
        assert [one for one in lines if one in before[cask].splitlines()] and not set(before[cask].splitlines()) - set(lines)
        assert three.codes(cask) == []
    again = sheet(three)
    assert again.code == 0 and "nothing to write" in again.err and "3 entries of the sheet are of another day or of" in again.err


@pytest.mark.thorough
def test_it_can_be_wrong_twice_and_the_sheet_is_voided_whole(three: Shop) -> None:
    assert sheet(three, "--yes").code == 0
    assert three.run(redate, "--sheet", "b-17", "--date", days_ago(2).isoformat(), "--yes", "--why", "the foreman says so").code == 0
    assert standing(three, THREE[0])[-1] == {**standing(three, THREE[0])[-1], "date": days_ago(2), "why": "the foreman says so"}
    ran = three.run(void, "--sheet", "B-17", "--why", "never done", "--yes")
    assert ran.code == 0, ran.err
    for cask in THREE:
        assert three.facts(cask).last_test is None, "what was replaced does not come back"
        assert three.codes(cask) == []


def test_of_some_casks_and_all_or_nothing(three: Shop) -> None:
    before = three.path(THREE[1]).read_bytes()
    assert sheet(three, THREE[0], "--yes").code == 0
    assert three.path(THREE[1]).read_bytes() == before
    three.enter(
        "fill", THREE[1], "--spirit", "malt", "--litres", "190", "--abv", "63", "--temp", "12", "--date", RIGHT.isoformat(), "--anyway", "--why", "x", "--yes"
    )
    before = {cask: three.path(cask).read_bytes() for cask in THREE}
    ran = sheet(three, "--yes")
    assert ran.code == 1 and "TH-004502  test needs it empty; it has held malt since" in ran.err, ran.err
    assert "nothing written: 1 of 2 casks refused" in ran.err and {cask: three.path(cask).read_bytes() for cask in THREE} == before


def test_an_entry_there_already_that_would_no_longer_fit_is_refused(shop: Shop) -> None:
    shop.put(*READY, {"date": days_ago(4), "job": "test", "psi": 11, "result": "pass"}, {"date": days_ago(3), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63, "temp_c": 12},
             {"date": days_ago(2), "job": "sample", "ml": 100})  # fmt: skip
    before = shop.path().read_bytes()
    ran = shop.run(redate, CASK, "e0000004", "--date", days_ago(1).isoformat())
    assert ran.code == 1 and "an entry there already would no longer fit: sample on an empty cask" in ran.err and "(e0000005)" in ran.err, ran.err
    assert "--anyway" in ran.err and shop.path().read_bytes() == before
    assert shop.run(redate, CASK, "e0000005", "--date", days_ago(0).isoformat()).code == 0
    assert shop.run(redate, CASK, "e0000004", "--date", days_ago(1).isoformat()).code == 0 and shop.codes() == []
    assert shop.facts().state == "filled" and shop.facts().fills == 1


def test_the_days_of_a_sheet_are_told_and_asked_for(three: Shop) -> None:
    assert three.enter("note", THREE[0], "--note", "wet", "--sheet", "B-17", "--date", days_ago(2).isoformat()).code == 0
    ran = sheet(three, "--yes")
    assert ran.code == 2 and f"entries of several days: {days_ago(2)} (1 entry), {WRONG} (3 entries); say which are wrong, as: --from" in ran.err
    assert "has no entry of" in sheet(three, "--from", days_ago(9).isoformat()).err
    ran = sheet(three, "--from", WRONG.isoformat(), "--yes")
    assert ran.code == 0 and "1 entry of the sheet is of another day" in ran.err
    assert sorted(one["date"] for one in standing(three, THREE[0]) if one.get("sheet") == "B-17") == [RIGHT, days_ago(2)]


@pytest.mark.thorough
def test_the_order_of_the_work_stays_and_what_was_written_with_it_goes_along(shop: Shop) -> None:
    shop.put(*READY)
    assert shop.enter("shave+char", CASK, "flail", "--level", "3", "--sheet", "S-1", "--date", WRONG.isoformat(), "--yes").code == 0
    assert shop.enter("test", CASK, "pass", "--psi", "11", "--sheet", "S-1", "--date", WRONG.isoformat(), "--yes").code == 0
    ran = shop.run(redate, "--sheet", "S-1", "--date", RIGHT.isoformat())
    assert ran.code == 0, ran.err
    assert [one["job"] for one in standing(shop, CASK) if one["date"] == RIGHT] == ["open", "shave", "char", "close", "test"]
    assert shop.codes() == [] and shop.facts().state == "ready"
    test = next(one["id"] for one in standing(shop, CASK) if one["job"] == "test")
    assert shop.run(void, CASK, test, "--why", "that day was right").code == 0
    assert shop.codes() == [] and shop.facts().last_test == {**shop.facts().last_test, "date": WRONG}, "and what it replaced stands again, with its close"


def test_one_entry_takes_its_own_opening_along(shop: Shop) -> None:
    shop.put(*READY)
    assert shop.enter("shave", CASK, "flail", "--date", WRONG.isoformat()).code == 0
    shave = next(one["id"] for one in shop.data()["events"] if one["job"] == "shave")
    assert shop.run(redate, CASK, shave, "--date", RIGHT.isoformat(), "--yes").code == 0
    assert [(one["job"], one["date"]) for one in standing(shop, CASK)[-2:]] == [("open", RIGHT), ("shave", RIGHT)] and shop.codes() == []


def test_one_entry_goes_before_another_of_its_day(shop: Shop) -> None:
    shop.put(*READY, {"date": RIGHT, "job": "fill", "spirit": "malt", "litres": 190, "abv": 63, "temp_c": 12})
    shop.put(*READY, {"date": WRONG, "job": "test", "psi": 11, "result": "pass"}, cask="TH-004218")
    shop.put(*READY, {"date": RIGHT, "job": "note", "note": "x"}, {"date": WRONG, "job": "drive"}, cask="TH-004219")
    assert f"is of {RIGHT} already" in shop.run(redate, CASK, "e0000003", "--date", RIGHT.isoformat()).err
    assert shop.run(redate, "TH-004219", "e0000004", "--date", RIGHT.isoformat(), "--before", "e0000003").code == 0
    assert [one["job"] for one in standing(shop, "TH-004219") if one["date"] == RIGHT] == ["drive", "note"]
    ran = shop.run(redate, "TH-004218", "e0000003", "--date", RIGHT.isoformat(), "--before", "e0000002")
    assert ran.code == 2 and "not of" in ran.err


def test_both_sides_of_a_racking_get_the_day_and_one_id(shop: Shop) -> None:
    for cask in THREE[:2]:
        shop.put(*FILLED, cask=cask)
    shop.put(*READY, cask="TH-006100", type="butt", capacity_l=500)
    words = ("--litres", "90", "--abv", "60", "--why", "blend", "--left", "0", "--date", WRONG.isoformat(), "--yes")
    assert shop.enter("rack", *THREE[:2], "--to", "TH-006100", *words).code == 0
    rack = shop.last(THREE[0])["id"]
    ran = shop.run(redate, THREE[0], rack, "--date", days_ago(2).isoformat(), "--yes")
    assert ran.code == 0, ran.err
    new = {one["id"] for cask in (*THREE[:2], "TH-006100") for one in standing(shop, cask) if one["date"] == days_ago(2)}
    assert len(new) == 1 and [shop.codes(cask) for cask in (*THREE[:2], "TH-006100")] == [[], [], ["parts-unlike-type"]]
    out = next(one for one in standing(shop, THREE[0]) if one["job"] == "rack-out")
    assert out["why"] == "blend" and out["note"] == f"wrong day: {WRONG}", "a reason of its own stays"


@pytest.mark.thorough
def test_work_of_two_casks_keeps_its_order_around_a_racking_between_them(shop: Shop) -> None:
    """The racking comes behind the sample of the one cask and before that of the other, and the first cask is not the earlier one."""
    shop.put(*READY, cask=THREE[0])
    shop.put(*FILLED, cask=THREE[1])
    assert shop.enter("sample", THREE[1], "--ml", "100", "--sheet", "B-17", "--date", WRONG.isoformat()).code == 0
    words = ("--litres", "150", "--abv", "60", "--why", "leak", "--left", "0", "--sheet", "B-17", "--date", WRONG.isoformat(), "--yes", "--anyway")
    assert shop.enter("rack", THREE[1], "--to", THREE[0], *words).code == 0
    assert shop.enter("sample", THREE[0], "--ml", "100", "--sheet", "B-17", "--date", WRONG.isoformat()).code == 0
    ran = shop.run(redate, "--sheet", "B-17", "--date", days_ago(0).isoformat(), "--yes", "--anyway", "--why", "it was today")
    assert ran.code == 0, ran.err
    for cask, jobs in ((THREE[0], ["rack-in", "sample"]), (THREE[1], ["sample", "rack-out"])):
        assert [one["job"] for one in standing(shop, cask) if one["date"] == days_ago(0)] == jobs
        assert "sample-of-empty-cask" not in shop.codes(cask) and not [code for code in shop.codes(cask) if "empty" in code]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--date", "wed"], "which entries?"), (["--sheet", "B-17"], "which day is right?"), ([THREE[0], "e0000002", "--date", "-400"], "before"),
        (["--sheet", "B-18", "--date", "wed"], "no standing entry bears the sheet B-18"), (["--sheet", "B-17", "--date", "2099-01-01"], "lies ahead"),
        (["--sheet", "B-17", "--date", "someday"], "is no day"), (["--sheet", "B-17", "--date", "wed", "--before", "e"], "--before is for one entry"),
        ([THREE[0], "e0000002", "--date", "wed", "--from", "mon"], "--from is for a sheet"), (["--sheet", "B-17", "--date", "wed", "--anyway"], "needs its reason"),
        ([THREE[0], "zzz", "--date", "wed"], "has no entry zzz"), (["TH-009999", "e", "--date", "wed"], "not in the book"), (["--sheet", "B-17", "--to", "x"], "no option"),
    ],
)  # fmt: skip
def test_what_is_refused_leaves_the_files_as_they_were(three: Shop, words: list[str], told: str) -> None:
    before = {cask: three.path(cask).read_bytes() for cask in THREE}
    ran = three.run(redate, *words, "--yes")
    assert ran.code in (1, 2) and told in ran.err, ran.err
    assert {cask: three.path(cask).read_bytes() for cask in THREE} == before


def test_what_holds_for_all_days_has_none_of_its_own(shop: Shop) -> None:
    shop.put(*READY, {"date": days_ago(5), "job": "void", "of": "e0000002", "why": "x"})
    assert "holds for all days" in shop.run(redate, CASK, "e0000003", "--date", days_ago(1).isoformat()).err
    assert "out of force" in shop.run(redate, CASK, "e0000002", "--date", days_ago(1).isoformat()).err


def test_a_day_long_past_is_doubted_and_many_casks_want_a_yes(three: Shop) -> None:
    for cask in THREE:
        three.put({"date": days_ago(90), "job": "receive", "verdict": "accept"}, {"date": WRONG, "job": "note", "note": "x", "sheet": "N"}, cask=cask)
    ran = three.run(redate, "--sheet", "N", "--date", days_ago(60).isoformat())
    assert ran.code == 1 and "60 days back" in ran.err and "add --yes" in ran.err
    ran = three.run(redate, "--sheet", "N", "--date", RIGHT.isoformat())
    assert ran.code == 2 and "3 casks, and nobody to ask" in ran.err
    ran = three.run(redate, "--sheet", "N", "--date", RIGHT.isoformat(), "--dry-run")
    assert ran.code == 0 and ran.out.count(f"+    date: {RIGHT}") == 3 and three.last(THREE[0])["date"] == WRONG


@pytest.mark.thorough
def test_the_sheet_may_be_named_by_its_end_and_is_read_again_as_it_is(three: Shop, tmp_path: Path) -> None:
    assert three.enter("drive", *THREE, "--yes").code == 0
    name = three.last(THREE[0])["sheet"]
    ran = three.run(redate, "--sheet", name[-4:], "--date", RIGHT.isoformat(), "--yes")
    assert ran.code == 0 and f"{name[-4:]}: sheet {name}" in ran.err
    rows = tmp_path / "C-1.csv"
    rows.write_text(f"date,job,cask,note\n{WRONG},note,{THREE[0]},wet\n", encoding="utf-8")
    assert three.enter("sheet", str(rows)).code == 0
    assert three.run(redate, "--sheet", "C-1", "--date", RIGHT.isoformat()).code == 0
    ran = three.enter("sheet", str(rows))
    assert ran.code == 0 and re.search(rf"was put out of force, and stays so: a note \(\S+\) of {RIGHT} stands in its place", ran.err), ran.err
    rows.write_text(f"date,job,cask,note\n{RIGHT},note,{THREE[0]},wet\n", encoding="utf-8")
    ran = three.enter("sheet", str(rows))
    assert ran.code == 0 and "nothing to write" in ran.err, ran.err


@pytest.mark.thorough
def test_the_installed_command(three: Shop) -> None:
    ran = caskbook("redate", "--sheet", "B-17", "--date", RIGHT.isoformat(), "--yes", "--records", str(three.root))
    assert ran.returncode == 0 and "3 entries on 3 casks" in ran.stderr, ran.stderr
    assert caskbook("check", "--records", str(three.root)).returncode == 0
    shown = caskbook("show", THREE[0], "--all", "--records", str(three.root)).stdout
    assert "sheet B-17" in shown and f"wrong day: {WRONG}" in shown
    help_ = caskbook("redate", "--help").stdout
    assert "as: caskbook redate --sheet" in help_ and "exit code" in help_ and max(map(len, help_.splitlines())) <= 80
