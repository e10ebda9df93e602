"""Words of house.yaml, and the supplier of a head, that name nothing there is: told with the nearest word, where they stand."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import HOUSE, Shop

from caskbook.checks.house_names import naming_nothing
from caskbook.model.house_file import read_house

TODAY = date(2026, 11, 25)
STORES = "stores: {W1: warehouse 1, 'Y': yard}\n"


def told(text: str) -> list[tuple[tuple[str | int, ...], str]]:
    return [(fault.where, fault.help) for fault in naming_nothing(read_house("house.yaml", text.encode()).house, TODAY)]


@pytest.mark.parametrize(
    ("text", "where", "meant"),
    [
        (STORES + "loss_table: {hogshead/W1: 1.6}\n", ("loss_table", "hogshead/W1"), "hogshead/warehouse 1"),
        (STORES + "loss_table: {W1: 1.6}\n", ("loss_table", "W1"), "warehouse 1"),
        (STORES + "loss_table: {hogshed: 1.6}\n", ("loss_table", "hogshed"), "hogshead"),
        (STORES + "loss_table: {Hogshead: 1.6}\n", ("loss_table", "Hogshead"), "hogshead"),
        (STORES + "loss_table: {warehouse 1/hogshead: 1.6}\n", ("loss_table", "warehouse 1/hogshead"), None),
        ("loss_table: {barrel/warehouse 1: 1.6}\n", ("loss_table", "barrel/warehouse 1"), None),
        (STORES + "loss_table:\n- {since: 2020-01-01, value: {yrad: 2}}\n", ("loss_table", 0, "value", "yrad"), "yard"),
        (STORES + "types: {butt: {loss_table: {yart: 2}}}\n", ("types", "butt", "loss_table", "yart"), "yard"),
        (STORES + "temperate_stores: [yard, Warehouse 1]\n", ("temperate_stores", 1), "warehouse 1"),
        (STORES + "temperate_stores: [Y]\n", ("temperate_stores", 0), "yard"),
        ("wood_left: {Bourbon: 0.1}\n", ("wood_left", "Bourbon"), "bourbon"),
        ("wood_left: {olorosso: 0.1}\n", ("wood_left", "olorosso"), "oloroso"),
        ("wood_left: {Fino: 0.1}\n", ("wood_left", "Fino"), "fino"),
        ("wood_left: {virgin: 0.1}\n", ("wood_left", "virgin"), None),
        ("wood_left: {New Oak: 0.1}\n", ("wood_left", "New Oak"), None),
    ],
)
def test_a_word_that_names_nothing_is_told_with_the_nearest(text: str, where: tuple[str | int, ...], meant: str | None) -> None:
    ((place, remedy),) = told(text)
    assert place == where
    assert remedy == (f"write `{meant}` if you meant that" if meant else "correct it, or take it out: it is without effect")


@pytest.mark.parametrize(
    "text",
    [
        "",
        STORES + "loss_table: {hogshead: 1.8, hogshead/warehouse 1: 1.6, yard: 2}\ntemperate_stores: [yard]\nwood_left: {bourbon: 0.1, tokay: 0.2}\n",
        "stores:\n- {since: 2000-01-01, value: {W1: old}}\n- {since: 2020-01-01, value: {W1: new}}\nloss_table: {old: 2, new: 1}\ntemperate_stores: [old]\n",
        STORES + "temperate_stores: []\nclass_of_spirit: [grog]\nwood_left: {grog: 0.1}\n",
        "wine_words: [Tokaj]\nwood_left: {Tokaj: 0.1}\n",
    ],
)
def test_a_word_that_names_something_is_none(text: str) -> None:
    assert told(text) == []


def test_a_liquor_that_nobody_knows_is_one_where_a_cask_held_it(tmp_path: Path) -> None:
    shop = Shop(
        tmp_path, HOUSE + "class_of_spirit: [malt, grog]\nwine_words: [tokaj]\nwood_left: {tokay: 0.1, sherrri: 0.2, grog: 0.3, tokaj: 0.3, marsala: 0.3}\n"
    )
    told = [{"contents": "tokay", "fills": 1}, {"contents": "unknown", "note": "sherrri, they say"}]
    shop.put({"date": date(2020, 1, 1), "job": "receive", "verdict": "accept"}, cask="TH-000001", prior=told)
    for args in ((), ("--strict",)):
        done = caskbook("check", "--format", "json", *args, cwd=shop.root)
        found = [(one["code"], one["message"], one["help"]) for one in json.loads(done.stdout)["findings"]]
        assert found == [("setting-names-nothing", '"sherrri": no liquor, and no cask held it', "correct it, or take it out: it is without effect")]
        assert done.returncode == len(args)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("contents: tokay", False),
        ("'contents': 'tokay'", False),
        ('"contents" : "tok\\u0061y"', False),
        ("contents: tokay-butt", True),
        ("contents: old tokay", True),
    ],
)
def test_it_is_looked_for_as_it_may_be_written(tmp_path: Path, line: str, told: bool) -> None:
    shop = Shop(tmp_path, HOUSE + "wood_left: {tokay: 0.1}\n")
    shop.put({"date": date(2020, 1, 1), "job": "receive", "verdict": "accept", "note": "tokay"}, cask="TH-000001", prior=[{"contents": "PLACE"}])
    (file,) = (shop.root / "casks").rglob("*.yaml")
    text = file.read_text(encoding="utf-8")
    assert text.count("contents: PLACE") == 1
    file.write_text(text.replace("contents: PLACE", line), encoding="utf-8")
    done = caskbook("check", "--format", "json", cwd=shop.root)
    assert [one["code"] for one in json.loads(done.stdout)["findings"] if one["code"] == "setting-names-nothing"] == ["setting-names-nothing"] * told


def test_the_check_tells_them_at_their_places(tmp_path: Path) -> None:
    shop = Shop(tmp_path, HOUSE + STORES + "loss_table: {W1: 1.6}\nsuppliers: {northquay: {claim_days: 60}, eastmere: {}}\n")
    for n, supplier in enumerate(["northquay", "NorthQuay", "north quay", "nortquay", "southbank"], 1):
        shop.put({"date": date(2020, 1, 1), "job": "receive", "verdict": "accept"}, cask=f"TH-00000{n}", supplier=supplier)
    done = caskbook("check", "--format", "json", "--strict", cwd=shop.root)
    found = [(one["code"], one["cask"], one["help"]) for one in json.loads(done.stdout)["findings"] if one["severity"] == "warning"]
    assert done.returncode == 1 and found == [
        *(("supplier-spelled-otherwise", f"TH-00000{n}", "write `northquay` if you meant that, or add it to suppliers in house.yaml") for n in (2, 3, 4)),
        ("setting-names-nothing", None, "write `warehouse 1` if you meant that"),
    ]
