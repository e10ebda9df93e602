"""Racking, converting, swapped heads: every file concerned or none, one id, figures worked out."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from entry.shop import CASK, HOUSE, Shop, days_ago
from entry.states import STATES

READY = STATES["ready"] or []
FILLED = STATES["filled"] or []
BARRELS = ["TH-004501", "TH-004502", "TH-004503"]


def filled_since(day: str, **more: Any) -> list[dict[str, Any]]:
    return [{"date": date(2009, 1, 1), "job": "receive", "verdict": "accept"}, {"date": date(2009, 1, 2), "job": "examine", "verdict": "sound"},
            {"date": date.fromisoformat(day), "job": "fill", "spirit": "malt", "litres": 195, "abv": 63.5, "at_20": True, **more}]  # fmt: skip


@pytest.mark.thorough
def test_three_barrels_into_one_butt(shop: Shop) -> None:
    for cask, day in zip(BARRELS, ("2009-01-03", "2012-05-01", "2010-01-01"), strict=True):
        shop.put(*filled_since(day) if day != "2012-05-01" else filled_since("2009-01-20", oak_since=date(2008, 5, 1)), cask=cask)
    shop.put(*READY, cask="TH-006100", type="butt", capacity_l=600)
    words = ["rack", "TH-004501..004503", "--to", "TH-006100", "--litres", "160,155.5,158", "--abv", "60.1", "--why", "to marry", "--temp", "54F"]
    ran = shop.enter(*words)
    assert ran.code == 2 and "4 casks, and nobody to ask" in ran.err
    ran = shop.enter(*words, "--yes")
    assert ran.code == 0, ran.err
    into = shop.last("TH-006100")
    assert into["from"] == [
        {"cask": "TH-004501", "litres": 160, "abv": 60.1},
        {"cask": "TH-004502", "litres": 155.5, "abv": 60.1},
        {"cask": "TH-004503", "litres": 158, "abv": 60.1},
    ]
    assert (into["spirit"], into["oak_since"], into["temp_c"]) == ("malt", date(2010, 1, 1), 12.22)
    assert {shop.last(cask)["id"] for cask in BARRELS} == {into["id"]} and shop.last(BARRELS[0])["sheet"] == into["sheet"]
    facts = shop.facts("TH-006100")
    assert (facts.fills, facts.state, facts.oak_since) == (1, "filled", date(2010, 1, 1))
    assert all(shop.facts(cask).state == "emptied" for cask in BARRELS)


def test_a_rack_is_all_or_none(shop: Shop) -> None:
    shop.put(*FILLED, cask=BARRELS[0])
    shop.put(*READY, cask=BARRELS[1])
    shop.put(*READY, cask="TH-006100")
    words = ["rack", BARRELS[0], BARRELS[1], "--to", "TH-006100", "--litres", "90", "--abv", "60", "--why", "x", "--yes"]
    before = {cask: shop.path(cask).read_bytes() for cask in (*BARRELS[:2], "TH-006100")}
    ran = shop.enter(*words)
    assert ran.code == 1 and "TH-004502  rack-out on an empty cask" in ran.err
    assert before == {cask: shop.path(cask).read_bytes() for cask in before}


def test_one_into_several_and_several_into_several(shop: Shop) -> None:
    for cask in BARRELS:
        shop.put(*FILLED, cask=cask)
    for cask in ("TH-006101", "TH-006102"):
        shop.put(*READY, cask=cask)
    ran = shop.enter("rack", BARRELS[0], "--to", "TH-006101", "TH-006102", "--litres-to", "90,60", "--abv", "60", "--left", "5", "--why", "x", "--yes")
    assert ran.code == 0, ran.err
    out = shop.last(BARRELS[0])
    assert [part["litres"] for part in out["to"]] == [90, 60] and out["left_l"] == 5 and shop.facts(BARRELS[0]).state == "filled"
    ran = shop.enter("rack", *BARRELS[1:], "--to", "TH-006101", "TH-006102", "--litres", "60", "--litres-to", "90,30", "--abv", "60,61", "--why", "x", "--yes")
    assert ran.code == 0, ran.err
    assert shop.last("TH-006101")["from"] == [{"cask": BARRELS[1], "litres": 60, "abv": 60}, {"cask": BARRELS[2], "litres": 30, "abv": 61}]
    assert shop.facts("TH-006101").fills == 1


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("--litres 90 --abv 60 --why x", "into which casks"), ("--to TH-006100 --why x", "--litres"), ("--to TH-004501 --litres 9 --abv 60 --why x", "itself"),
        ("--to TH-006100 --litres 9,8,7 --abv 60 --why x", "3 figures for 2"), ("--to TH-006100 TH-006101 --litres 90 --abv 60 --why x", "into each"),
        ("--to TH-006100 TH-006101 --litres 90 --litres-to 70 --abv 60 --why x", "must be equal"), ("--to TH-006100 --litres 90 --abv 6000 --why x", "cannot be"),
    ],
)  # fmt: skip
def test_a_rack_that_cannot_be_read(shop: Shop, words: str, told: str) -> None:
    for cask in BARRELS[:2]:
        shop.put(*FILLED, cask=cask)
    for cask in ("TH-006100", "TH-006101"):
        shop.put(*READY, cask=cask)
    ran = shop.enter("rack", *BARRELS[:2], *words.split(), "--yes")
    assert ran.code == 2 and told in ran.err, ran.err


def test_a_mixture_wants_its_name(shop: Shop) -> None:
    shop.put(*FILLED, cask=BARRELS[0])
    shop.put(*filled_since("2012-05-01")[:2], {**FILLED[-1], "spirit": "grain"}, cask=BARRELS[1])
    shop.put(*READY, cask="TH-006100", capacity_l=500, type="butt")
    words = ["rack", *BARRELS[:2], "--to", "TH-006100", "--litres", "90", "--abv", "60", "--why", "x", "--yes"]
    assert "grain and malt racked together" in shop.enter(*words).err
    assert shop.enter(*words, "--spirit", "blend").code == 0 and shop.last("TH-006100")["spirit"] == "blend"


@pytest.mark.thorough
def test_five_barrels_make_four_hogsheads(shop: Shop) -> None:
    parents = [f"TH-{number:06d}" for number in range(4501, 4506)]
    for at, cask in enumerate(parents):
        shop.put(*READY, cask=cask, prior=[{"contents": "bourbon", "fills": at + 1}], charred=2001 + at, wood="american-white-oak")
    ran = shop.enter(
        "convert",
        "TH-004501..004505",
        "--into",
        "4",
        "hogshead",
        "--first-id",
        "TH-009001",
        "--gave",
        "25",
        "--capacity",
        "250",
        "--head-staves",
        "33",
        "--yes",
    )
    assert ran.code == 0, ran.err
    children = [f"TH-{number:06d}" for number in range(9001, 9005)]
    assert shop.last(parents[0])["children"] == children and shop.facts(parents[0]).state == "gone"
    child = shop.data(children[3])
    event = child["events"][0]
    assert (child["type"], child["staves"], child["wood"]) == ("hogshead", 33, "american-white-oak")
    assert event["parents"] == [{"cask": parent, "staves": 25} for parent in parents]
    assert event["inherited"]["fills_life"] == 5 and event["inherited"]["last_char"] == 2001 and event["inherited"]["held"] == "spirit"
    assert event["id"] == shop.last(parents[4])["id"]
    facts = shop.facts(children[0])
    assert (facts.fills, facts.fills_life, facts.proved, facts.state) == (0, 5, False, "unexamined")
    assert shop.enter("char", children[0], "--level", "3").code == 0 and shop.facts(children[0]).rechar_count == 1


def test_a_conversion_names_its_children(shop: Shop) -> None:
    shop.put(*READY)
    assert "which numbers" in shop.enter("convert", CASK, "--into", "1", "hogshead", "--yes").err
    assert "--into N TYPE" in shop.enter("convert", CASK, "--yes").err
    assert "--as names 1" in shop.enter("convert", CASK, "--into", "2", "hogshead", "--as", "TH-009001", "--yes").err
    shop.put(*READY, cask="TH-009001")
    ran = shop.enter("convert", CASK, "--into", "1", "hogshead", "--as", "TH-009001", "--yes")
    assert ran.code == 1 and "in the book already" in ran.err and len(shop.data()["events"]) == 2


def test_heads_swapped_between_two_casks(shop: Shop) -> None:
    shop.put(*READY)
    shop.put(*(STATES["open"] or []), cask="TH-004218")
    words = ("--with", "TH-004218", "--heads", "A", "--why", "found so", "--work", "40", "--material", "1 rush", "--yes")
    ran = shop.enter("swap-heads", CASK, *words)
    assert ran.code == 0, ran.err
    one, other = shop.last(), shop.last("TH-004218")
    assert (one["work_minutes"], one["material"]) == (40, ["1 rush"]) and not {"work_minutes", "material"} & other.keys(), "one piece of work is told once"
    assert (one["id"], one["with"], other["with"]) == (other["id"], "TH-004218", CASK)
    assert [event["job"] for event in shop.data()["events"][-2:]] == ["open", "swap-heads"]
    assert "with itself" in shop.enter("swap-heads", CASK, "--with", CASK, "--heads", "A", "--why", "x").err


def test_late_rack_before_entries_of_that_day_has_the_last_word_of_the_day(shop: Shop) -> None:
    shop.put(*FILLED, {"date": days_ago(5), "job": "note", "note": "x"}, cask=BARRELS[0])
    shop.put(*READY, {"date": days_ago(5), "job": "note", "note": "y"}, cask="TH-006100")
    ran = shop.enter("rack", BARRELS[0], "--to", "TH-006100", "--litres", "180", "--abv", "60", "--why", "x", "--date", days_ago(5).isoformat(), "--yes")
    assert ran.code == 0, ran.err
    assert [shop.last(cask)["job"] for cask in (BARRELS[0], "TH-006100")] == ["rack-out", "rack-in"]


def test_a_decimal_comma_of_the_house_is_no_list_of_figures(tmp_path: Path) -> None:
    shop = Shop(tmp_path, HOUSE + "decimal_comma: true\n")
    for cask in BARRELS[:2]:
        shop.put(*FILLED, cask=cask)
    shop.put(*READY, cask="TH-006100", type="butt", capacity_l=600)
    words = ["rack", *BARRELS[:2], "--to", "TH-006100", "--abv", "60,5", "--why", "x", "--by", "ab", "--yes", "--litres"]
    assert "2 figures" not in shop.enter(*words, "160,5,155,5").err and shop.last("TH-006100")["job"] != "rack-in"
    ran = shop.enter(*words, "160,5;155,5", "--left", "0;2,5")
    assert ran.code == 0, ran.err
    assert [(part["litres"], part["abv"]) for part in shop.last("TH-006100")["from"]] == [(160.5, 60.5), (155.5, 60.5)]
    assert shop.last(BARRELS[1])["left_l"] == 2.5


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("litres", "parts"), [("50", [16.67, 16.67, 16.66]), ("0.05", [0.02, 0.02, 0.01]), ("33.333", [11.11, 11.11, 11.113]), ("150", [50, 50, 50])]
)
def test_what_is_shared_out_is_what_was_typed(shop: Shop, litres: str, parts: list[float]) -> None:
    names = ["TH-009991", "TH-009992", "TH-009993"]
    shop.put(*(STATES["filled"] or []))
    for name in names:
        shop.put(*(STATES["ready"] or []), cask=name)
    ran = shop.enter("rack", CASK, "--to", *names, "--litres", litres, "--abv", "60", "--at-20", "--left", "20", "--why", "marry", "--by", "ab", "--yes")
    assert ran.code == 0, ran.err
    told = [part["litres"] for part in shop.last()["to"]]
    assert told == parts and abs(sum(told) - float(litres)) < 1e-9
    ran = shop.enter("rack", CASK, "--to", *names, "--litres", "0.02", "--abv", "60", "--at-20", "--left", "20", "--why", "marry", "--by", "ab", "--yes")
    assert ran.code == 2 and "too little for 3 casks" in ran.err


@pytest.mark.thorough
def test_what_a_cask_made_from_others_was_before_is_told_by_its_parents_alone(shop: Shop) -> None:
    """`prior` and `charred` of its head count for nothing: they are refused by every way in, and told where they are written by hand."""
    for cask in BARRELS[:2]:
        shop.put(*READY, cask=cask)
    words = ("convert", BARRELS[0], "--into", "1", "hogshead", "--as", "TH-006001", "--yes")
    for typed, line in (
        (("--prior", "sherry 3"), "`prior` is sherry: it counts for nothing"),
        (("--prior", "none"), "`prior` is"),
        (("--charred", "2020"), "`charred` is 2020: it counts for nothing"),
        (("--charred", "never"), "`charred` is never"),
    ):
        ran = shop.enter(*words, *typed)
        assert ran.code in (1, 2) and (line in ran.err or "none" in typed) and not shop.path("TH-006001").exists(), ran.err
    assert shop.enter(*words, "--like", BARRELS[0], "--capacity", "250").code == 0
    child = shop.path("TH-006001").read_text(encoding="utf-8")
    assert "prior:" not in child and "charred:" not in child.partition("events:")[0] and shop.codes("TH-006001") == []
    for typed, line in ((("--charred", "2023"), "`charred` is 2023"), (("--prior", "malt 9"), "`prior` is malt")):
        ran = shop.enter("correct", "TH-006001", *typed, "--why", "misread", "--yes")
        assert ran.code == 1 and line in ran.err and shop.path("TH-006001").read_text(encoding="utf-8") == child, ran.err
    made = ("made-from", "TH-006002", "--type", "hogshead", "--parents", "two old butts", "--yes")
    assert "`charred` is 2020" in shop.enter(*made, "--charred", "2020").err
    assert "`prior` is malt" in shop.enter(*made, "--prior", "malt 2").err
    assert shop.enter(*made, "--prior", "sherry 2").code == 0 and shop.facts("TH-006002").wine_held is True
    shop.path("TH-006001").write_text(child.replace("events:", "charred: 2020\nprior: []\nevents:"), encoding="utf-8")
    assert shop.codes("TH-006001").count("past-beside-inherited") == 2


def test_no_cask_gives_more_parts_than_it_had(shop: Shop) -> None:
    shop.put(*READY, cask=BARRELS[0])
    shop.put(*READY, {"date": days_ago(1), "job": "retire", "reasons": ["worn"], "approved_by": "kd"}, cask=BARRELS[1])
    into = ("convert", BARRELS[0], "--into", "1", "hogshead", "--as", "TH-006001", "--yes")
    for words, line in (
        ((*into, "--gave", "32"), "`staves` is 32: the cask had 31"),
        (("break-up", BARRELS[1], "--staves-saved", "99"), "`staves_saved` is 99: the cask had 31"),
        (("break-up", BARRELS[1], "--hoops-saved", "7"), "`hoops_saved` is 7: the cask had 6"),
    ):
        ran = shop.enter(*words)
        assert ran.code == 1 and line in ran.err and "nothing written" in ran.err, ran.err
    assert shop.enter(*into, "--gave", "31").code == 0 and shop.enter("break-up", BARRELS[1], "--staves-saved", "31", "--hoops-saved", "6").code == 0
    assert shop.codes(BARRELS[0]) + shop.codes(BARRELS[1]) == []
    shop.path(BARRELS[1]).write_text(shop.path(BARRELS[1]).read_text().replace("staves_saved: 31", "staves_saved: 33"), encoding="utf-8")
    assert shop.codes(BARRELS[1]) == ["more-parts-than-it-had"]
