"""Stretches of a cask's life, entered job by job as at the bench."""

from __future__ import annotations

from datetime import date

import pytest

from entry.shop import CASK, HOUSE, Shop, days_ago

FILL = "fill CASK --spirit malt --litres 190 --abv 63.5 --temp 14"
NEW = "receive CASK accept --type barrel --capacity 200 --prior bourbon --charred 2011 --staves 31 --heads 5,5 --hoops 6"


def work(shop: Shop, *lines: str, start: int = 30) -> None:
    """Enter these lines, one a day."""
    for back, line in enumerate(lines):
        words = [CASK if word == "CASK" else word.replace("_", " ") for word in line.split()]
        ran = shop.enter(*words, "--date", days_ago(start - back).isoformat())
        assert ran.code == 0, (line, ran.err)


def test_rejected_and_filled_all_the_same(shop: Shop) -> None:
    work(shop, NEW.replace("accept", "reject"), "examine CASK sound")
    ran = shop.enter(*FILL.replace("CASK", CASK).split())
    assert ran.code == 1 and "filled while it is rejected" in ran.err
    assert shop.enter(*FILL.replace("CASK", CASK).split(), "--anyway", "--why", "no other to hand").code == 0
    assert shop.codes() == ["fill-while-rejected"] and shop.facts().fills == 1


def test_a_fault_of_the_nose_outlives_a_pass(shop: Shop) -> None:
    work(shop, NEW, "examine CASK sound", "nose CASK fault --faults vinegar", "test CASK pass --psi 11")
    facts = shop.facts()
    assert (facts.taint, facts.state, facts.proved) == (True, "held", True)


def test_held_while_full_and_emptied(shop: Shop) -> None:
    work(shop, NEW, "examine CASK sound", FILL, "hold CASK --why label", "empty CASK --litres 185 --abv 63 --temp 12")
    assert shop.codes() == [] and shop.facts().marks == ["held"]


@pytest.mark.thorough
def test_repaired_cask_is_ready_only_with_a_sound_examination(shop: Shop) -> None:
    lines = [
        "open CASK --heads A,B",
        "hoop CASK --hoops A-2 --from new",
        "stave CASK replace --staves 14 --from new",
        "close CASK --heads both",
        "test CASK pass --psi 11",
    ]
    work(shop, NEW, *lines)
    assert shop.facts().state == "unexamined"
    work(shop, "examine CASK sound", start=2)
    assert shop.facts().state == "ready" and shop.facts().staves_replaced == {"14": 1}


def test_received_full_and_sold_full(shop: Shop) -> None:
    work(shop, NEW + " --spirit malt --litres 190 --abv 62 --oak-since 2015-05-01 --at-20", "dispose CASK sold --to a_bottler")
    facts = shop.facts()
    assert (facts.state, facts.fills, facts.contents) == ("gone", 1, "spirit")


@pytest.mark.thorough
def test_seasoned_emptied_nosed_and_filled(shop: Shop) -> None:
    work(
        shop,
        NEW,
        "examine CASK sound",
        "season CASK --wine oloroso --litres 195",
        "empty CASK --litres 190 --abv 17 --temp 15 --anyway --why sherry",
        "examine CASK sound",
    )
    assert shop.facts().state == "unexamined"
    work(shop, "nose CASK clean", FILL, start=5)
    facts = shop.facts()
    assert (facts.state, facts.fills, facts.wine_held) == ("filled", 1, True)


@pytest.mark.thorough
def test_sent_away_charred_there_and_returned(shop: Shop) -> None:
    work(shop, NEW, "send CASK --to shop-north --why re-char")
    ran = shop.enter("char", CASK, "--level", "3")
    assert ran.code == 1 and "while the cask was away" in ran.err and "by: shop-NAME" in ran.err
    work(
        shop,
        "shave+char CASK flail --level 3 --by shop-north",
        "close CASK --heads both --by shop-north",
        "return CASK accept --berth Y2 --done re-charred",
        start=10,
    )
    facts = shop.facts()
    assert (facts.whereabouts, facts.rechar_count, facts.fills_since_char, facts.proved) == ("here", 1, 0, False)
    assert [event["by"] for event in shop.data()["events"][2:6]] == ["shop-north"] * 4 and shop.codes() == []


def test_a_second_replacement_of_one_event_and_a_leavers_entries(shop: Shop) -> None:
    work(shop, NEW, "examine CASK sound --by kd", "test CASK pass --psi 11 --by kd")
    test = shop.last()["id"]
    assert shop.enter("test", CASK, "--replaces", test, "--psi", "10", "--why", "misread").code == 0
    again = shop.enter("test", CASK, "--replaces", test, "--psi", "9", "--why", "misread")
    assert again.code == 2 and "already replaced by" in again.err
    assert len(shop.data()["events"]) == 4
    (shop.root / "house.yaml").write_text(HOUSE.replace("{initials: kd}", f"{{initials: kd, until: {days_ago(10)}}}"), encoding="utf-8")
    assert "was not of the crew on" in shop.enter("note", CASK, "--note", "x", "--by", "kd").err
    assert shop.enter("note", CASK, "--note", "x", "--by", "kd", "--date", days_ago(12).isoformat()).code == 0


def test_a_house_limit_lowered_last_week(shop: Shop) -> None:
    limits = f"test_limit_psi: [{{since: 2000-01-01, value: 12}}, {{since: {days_ago(7)}, value: 10}}]\n"
    (shop.root / "house.yaml").write_text(HOUSE + limits, encoding="utf-8")
    work(shop, NEW, "examine CASK sound", "test CASK pass --psi 11")
    ran = shop.enter("test", CASK, "pass", "--psi", "11")
    assert ran.code == 1 and "the house limit is 10 psi" in ran.err


def test_a_number_that_is_not_the_houses_and_a_size_unlike_the_type(shop: Shop) -> None:
    (shop.root / "house.yaml").write_text(HOUSE + 'id_pattern: "TH-[0-9]{6}"\n', encoding="utf-8")
    assert "the house's numbers are" in shop.enter("receive", "TX-004217", "accept", "--type", "barrel").err
    ran = shop.enter("receive", CASK, "accept", "--type", "barrel", "--capacity", "500")
    assert ran.code == 1 and "500" in ran.err and "--anyway" in ran.err
    assert shop.enter("receive", CASK, "accept", "--type", "barrel", "--capacity", "200").code == 0


@pytest.mark.thorough
def test_the_worked_life(shop: Shop) -> None:
    days = [
        "2015-03-12",
        "2015-03-12",
        "2015-03-20",
        "2015-04-02",
        "2019-06-11",
        "2023-05-16",
        "2023-05-18",
        "2023-05-20",
        "2023-05-21",
        "2023-05-23",
        "2023-05-23",
        "2023-05-23",
        "2023-06-01",
    ]
    lines = [
        NEW, "examine CASK sound", "test CASK pass --psi 11", "fill CASK --spirit malt --litres 198.4 --abv 63.5 --temp 14.5", "regauge CASK meter --litres 190 --abv 62.9 --temp 12",
        "empty CASK --litres 180 --abv 61 --temp 14", "examine CASK repair --findings stave-1_cracked_2", "stave CASK replace --staves 1 --from new", "char CASK --level 3",
        "test CASK fail --psi 11 --leaks joint-1", "drive CASK", "test CASK pass --psi 11", FILL,
    ]  # fmt: skip
    for day, line in zip(days, lines, strict=True):
        words = [CASK if word == "CASK" else word.replace("_", " ") for word in line.replace("--prior bourbon", "--prior bourbon_1").split()]
        ran = shop.enter(*words, "--date", day, "--yes")
        assert ran.code == 0, ran.err
    facts = shop.facts()
    assert (facts.fills, facts.fills_life, facts.fills_since_char, facts.last_char) == (2, 3, 1, date(2023, 5, 21))
    assert (facts.char_count, facts.rechar_count, facts.bung_stave_replacements, facts.original_stave_share, facts.open_defects) == (2, 1, 1, "30/31", [])
    assert shop.codes() == [] and [event["job"] for event in shop.data()["events"]].count("open") == 1
