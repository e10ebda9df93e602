"""A void of a void gives back every side of what the first one put out: of a move, a racking, a swap of heads."""

from __future__ import annotations

from pathlib import Path

import pytest
from entry.conftest import shop as shop
from entry.shop import CASK, Shop, days_ago
from entry.states import STATES
from laws import others_thorough

from caskbook.cli.commands import correct

READY = STATES["ready"] or []
FILLED = STATES["filled"] or []
OTHER = "TH-004271"


def _void(shop: Shop, cask: str) -> str:
    """The id of the last void that stands in a cask's file."""
    return max(str(event["id"]) for event in shop.data(cask)["events"] if event["job"] == "void")


def _twice(shop: Shop, cask: str, event: str, back: str, times: int = 1) -> str:
    """Void an entry of a cask, then the void in the file of `back`, as many times; what the last run said."""
    assert shop.run(correct.void, cask, event, "--why", "x", "--yes").code == 0
    for _ in range(times):
        ran = shop.run(correct.void, back, _void(shop, back), "--why", "after all", "--yes")
        assert ran.code == 0, ran.err
    return ran.err


@pytest.mark.parametrize("times", others_thorough([1, 2, 3], 1))
@pytest.mark.parametrize("back", [CASK, OTHER])
def test_the_void_of_the_void_of_a_move_gives_the_copy_back(shop: Shop, back: str, times: int) -> None:
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass"})
    shop.put(*READY, cask=OTHER)
    assert shop.run(correct.move_event, CASK, "e0000003", "--to", OTHER, "--why", "misread", "--yes").code == 0
    said = _twice(shop, CASK, shop.last()["id"], back, times)
    assert "(the other side of that void on " in said
    tested = [shop.facts(cask).last_test is not None for cask in (CASK, OTHER)]
    assert tested == ([False, True] if times % 2 else [True, False])
    assert shop.codes() == shop.codes(OTHER) == []


def test_what_replaced_the_copy_is_given_back_and_not_the_copy(shop: Shop) -> None:
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass"})
    shop.put(*READY, cask=OTHER)
    assert shop.run(correct.move_event, CASK, "e0000003", "--to", OTHER, "--why", "misread", "--yes").code == 0
    moved, copy, day = shop.last()["id"], shop.last(OTHER)["id"], days_ago(5).isoformat()
    assert shop.enter("test", OTHER, "pass", "--psi", "10", "--replaces", copy, "--why", "10 it was", "--date", day, "--yes").code == 0
    _twice(shop, CASK, moved, CASK)
    last = shop.facts(OTHER).last_test
    assert shop.facts().last_test is None and last is not None and last["psi"] == 10 and shop.codes() == shop.codes(OTHER) == []


@pytest.mark.parametrize("back", [CASK, OTHER])
@pytest.mark.parametrize("by_hand", [False, True])
def test_the_void_of_the_void_of_a_racking_gives_both_sides_back(shop: Shop, back: str, by_hand: bool) -> None:
    shop.put(*FILLED)
    shop.put(*READY, cask=OTHER)
    assert shop.enter("rack", CASK, "--to", OTHER, "--litres", "150", "--abv", "60", "--left", "0", "--why", "x", "--yes").code == 0
    if by_hand:
        shop.path(OTHER).write_text(shop.path(OTHER).read_text().replace(shop.last(OTHER)["id"], "gzzzzzzz"))
    _twice(shop, CASK, shop.last()["id"], back)
    assert [shop.facts(cask).contents for cask in (CASK, OTHER)] == ["empty", "spirit"]
    assert "rack-without-its-pair" not in shop.codes() + shop.codes(OTHER)


@pytest.mark.parametrize("job", ["move", "rack"])
def test_a_row_of_a_sheet_gives_back_no_side_alone(shop: Shop, job: str, tmp_path: Path) -> None:
    shop.put(*FILLED)
    shop.put(*READY, cask=OTHER)
    if job == "rack":
        shop.enter("rack", CASK, "--to", OTHER, "--litres", "150", "--abv", "60", "--left", "0", "--why", "x", "--yes")
    else:
        shop.enter("note", CASK, "--note", "x", "--yes")
        assert shop.run(correct.move_event, CASK, shop.last()["id"], "--to", OTHER, "--why", "misread", "--yes").code == 0
    assert shop.run(correct.void, CASK, shop.last()["id"], "--why", "x", "--yes").code == 0
    rows = [f"{cask},void,{_void(shop, cask)},after all\n" for cask in (CASK, OTHER)]
    sheet, before = tmp_path / "sheet.csv", shop.path(OTHER).read_bytes()
    for row in rows:
        sheet.write_text(f"cask,job,of,why\n{row}", encoding="utf-8")
        ran = shop.enter("sheet", str(sheet), "--by", "ab", "--yes")
        assert ran.code == 1 and "would give back one side alone" in ran.err and "give back both: caskbook void" in ran.err, ran.err
    assert shop.path(OTHER).read_bytes() == before
    sheet.write_text(f"cask,job,of,why\n{''.join(rows)}", encoding="utf-8")
    assert shop.enter("sheet", str(sheet), "--by", "ab", "--yes").code == 0


def test_a_void_of_the_copy_alone_is_taken_back_alone(shop: Shop) -> None:
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass"})
    shop.put(*READY, cask=OTHER)
    assert shop.run(correct.move_event, CASK, "e0000003", "--to", OTHER, "--why", "misread", "--yes").code == 0
    _twice(shop, OTHER, shop.last(OTHER)["id"], OTHER)
    assert shop.facts().last_test is None and shop.facts(OTHER).last_test is not None and shop.codes() == shop.codes(OTHER) == []
