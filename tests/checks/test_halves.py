"""The other side of a racking or of swapped heads is the entry of its id; of a day with several, each is the half of one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import Shop, days_ago
from entry.states import STATES

from checks.example_ledgers import check_example

FROM, INTO = "TH-004217", "TH-004218"
SOURCE = f"# {FROM}\n# received 2020-01-01, examined 2020-01-02, filled 2020-01-03\n"
TARGET = f"# {INTO}\n# received 2020-01-01, examined 2024-01-02\n"


def out(ident: str, litres: int, left: int, day: str = "2024-01-03") -> str:
    return f"- {{id: {ident}, date: {day}, job: rack-out, by: ab, to: [{{cask: {INTO}, litres: {litres}, abv: 62}}], at_20: true, left_l: {left}, why: x}}\n"


def into(ident: str, litres: int, day: str = "2024-01-03") -> str:
    told = f"from: [{{cask: {FROM}, litres: {litres}, abv: 62}}], at_20: true, spirit: malt, oak_since: 2020-01-03"
    return f"- {{id: {ident}, date: {day}, job: rack-in, by: ab, {told}}}\n"


def codes(outs: list[str], ins: list[str], root: Path) -> list[tuple[str | None, str]]:
    """(cask, code) of what is told of rackings, but for the note that two sides have each their own id."""
    found = check_example(SOURCE + "".join(outs) + TARGET + "".join(ins), root).findings
    return [(one.cask, one.code) for one in found if one.code.startswith("rack") and one.code != "rack-ids-differ"]


@pytest.mark.parametrize("ids", [("e1000001", "e1000002", "e1000001", "e1000002"), ("e1000001", "e1000002", "e2000001", "e2000002")])
def test_two_rackings_of_one_day_are_two(ids: tuple[str, str, str, str], tmp_path: Path) -> None:
    """One id for both sides, as the book writes them, and one for each side, as a hand may."""
    outs, ins = [out(ids[0], 50, 140), out(ids[1], 30, 110)], [into(ids[2], 50), into(ids[3], 30)]
    assert codes(outs, ins, tmp_path / "a") == []
    wrong = (INTO, "rack-figures-differ")
    assert codes(outs, [ins[0], into(ids[3], 35)], tmp_path / "b") == [wrong]
    assert codes(outs[:1], ins, tmp_path / "c") == [(INTO, "rack-without-its-pair")]
    assert codes(outs, ins[:1], tmp_path / "d") == [(FROM, "rack-without-its-pair")]
    assert codes(outs[:1], [ins[0], into(ids[3], 50)], tmp_path / "e") == [(INTO, "rack-without-its-pair")], "as many litres are not the same racking"
    assert codes([outs[0], out(ids[1], 50, 90)], ins[:1], tmp_path / "f") == [(FROM, "rack-without-its-pair")]


def test_sides_of_two_ids_are_taken_together_by_what_they_tell(tmp_path: Path) -> None:
    outs = [out("e1000001", 50, 140), out("e1000002", 30, 110)]
    assert codes(outs, [into("e2000001", 30), into("e2000002", 50)], tmp_path / "a") == []
    assert codes(outs, [into("e1000002", 30), into("e2000002", 50)], tmp_path / "b") == []
    assert codes(outs[:1], [into("e2000001", 50, "2024-01-04")], tmp_path / "c") == [(FROM, "rack-without-its-pair"), (INTO, "rack-without-its-pair")]


def test_a_second_swap_of_heads_on_one_day_needs_its_own_other_side(tmp_path: Path) -> None:
    def swap(ident: str, other: str) -> str:
        heads = "A" if ident == "e1000001" else "B"
        return f"- {{id: {ident}, date: 2020-01-03, job: swap-heads, by: ab, with: {other}, heads: [{heads}], why: mixed up}}\n"

    head = "# {}\n# received 2020-01-01, opened 2020-01-02\n"
    one, other = head.format(FROM) + swap("e1000001", INTO), head.format(INTO) + swap("e1000001", FROM)
    found = check_example(one + swap("e1000002", INTO) + other, tmp_path / "a").findings
    assert [(one.cask, one.code) for one in found if one.code.startswith("swap")] == [(FROM, "swap-without-its-pair")]
    assert not check_example(one + swap("e1000002", INTO) + other + swap("e1000002", FROM), tmp_path / "b").findings


def test_a_second_racking_of_a_day_is_entered(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(*(STATES["filled"] or []), cask=FROM)
    shop.put(*(STATES["ready"] or []), cask=INTO)
    for litres, left in (("50", "140"), ("30", "110")):
        words = ("--litres", litres, "--left", left, "--abv", "62", "--at-20", "--why", "x", "--by", "ab", "--date", days_ago(1).isoformat(), "--yes")
        ran = caskbook("enter", "rack", FROM, "--to", INTO, *words, "--records", str(shop.root))
        assert ran.returncode == 0, ran.stderr
    assert not [code for cask in (FROM, INTO) for code in shop.codes(cask) if code.startswith("rack")]


@pytest.mark.parametrize(("out_id", "in_id"), [("e1000001", "e2000001"), ("e2000001", "e1000001")])
def test_the_age_of_a_racking_by_hand_is_that_just_before_its_other_half(out_id: str, in_id: str, tmp_path: Path) -> None:
    """The source, emptied by it, has an age whichever of the two ids is the smaller."""
    assert codes([out(out_id, 190, 0)], [into(in_id, 190)], tmp_path / "a") == []
    wrong = into(in_id, 190).replace("oak_since: 2020-01-03", "oak_since: unknown")
    assert codes([out(out_id, 190, 0)], [wrong], tmp_path / "b") == [(INTO, "rack-age-differs")]
    again = into("e100000101", 190).replace("by: ab", "by: ab, replaces: e1000001, why: misread")
    slip = into("e1000001", 190).replace("oak_since: 2020-01-03", "oak_since: 2011-01-03")
    assert codes([out("e1000001", 190, 0)], [slip, again], tmp_path / "c") == [], "put right as the finding says"


@pytest.mark.parametrize("litres", [(100, 80), (90, 90)])
def test_one_racking_into_two_numbers_of_a_cask(litres: tuple[int, int], tmp_path: Path) -> None:
    """Each half is held against its own part, and what went in by both is there to be measured."""
    shop = Shop(tmp_path)
    shop.put(*(STATES["filled"] or []), cask=FROM)
    for cask in (INTO, "TH-004219"):
        shop.put(*(STATES["ready"] or []), cask=cask)
    day, records = days_ago(1).isoformat(), ("--by", "ab", "--yes", "--records", str(shop.root))
    parts = ",".join(map(str, litres))
    words = ("--litres", "180", "--litres-to", parts, "--abv", "62", "--at-20", "--left", "0", "--why", "x", "--date", day)
    for line in (
        ("rack", FROM, "--to", f"{INTO},TH-004219", *words),
        ("same-as", INTO, "--of", "TH-004219", "--why", "one cask", "--date", day),
        ("regauge", INTO, "--litres", "179", "--abv", "62", "--at-20", "--method", "meter"),
    ):
        ran = caskbook("enter", *line, *records)
        assert ran.returncode == 0, ran.stderr
    assert [code for cask in (FROM, INTO, "TH-004219") for code in shop.codes(cask)] == []
    loss = caskbook("list", INTO, "--columns", "loss_lpa", "--format", "csv", "--records", str(shop.root)).stdout.split()
    assert loss == ["loss_lpa", "0.62"]


def test_a_void_puts_out_the_other_half_and_not_what_else_bears_its_id(tmp_path: Path) -> None:
    """By hand each side has an id of its own, and an examination of the other cask may bear the same."""
    shop = Shop(tmp_path)
    day, rack = days_ago(5).isoformat(), {"litres": 100, "abv": 62}
    shop.put(
        *(STATES["filled"] or []),
        {"id": "z0000001", "date": day, "job": "rack-out", "to": [{"cask": INTO, **rack}], "at_20": True, "left_l": 90, "why": "x"},
        cask=FROM,
    )
    examined = {"id": "z0000001", "date": days_ago(6).isoformat(), "job": "examine", "verdict": "sound"}
    shop.put(
        *(STATES["ready"] or []),
        examined,
        {"id": "z0000002", "date": day, "job": "rack-in", "from": [{"cask": FROM, **rack}], "at_20": True, "spirit": "malt", "oak_since": "unknown"},
        cask=INTO,
    )
    ran = caskbook("void", FROM, "z0000001", "--why", "wrong cask", "--by", "ab", "--yes", "--records", str(shop.root))
    assert ran.returncode == 0, ran.stderr
    stands = {event["id"]: event["stands"] for event in json.loads(caskbook("show", INTO, "--format", "json", "--records", str(shop.root)).stdout)["events"]}
    assert (stands["z0000001"], stands["z0000002"]) == (True, False)


@pytest.mark.parametrize(("day", "found"), [("2024-01-03", []), ("2024-01-04", [(INTO, "rack-day-differs")]), ("2024-01-02", [(INTO, "rack-day-differs")])])
def test_both_sides_of_one_id_are_of_one_day(tmp_path: Path, day: str, found: list[tuple[str, str]]) -> None:
    """Else the liquor would lie in no cask between the two days, or in both."""
    got = codes([out("e1000001", 50, 140)], [into("e1000001", 50, day)], tmp_path)
    assert [one for one in got if one[1] == "rack-day-differs"] == found


@pytest.mark.parametrize(("more", "found"), [("", [(INTO, "rack-ids-differ")]), (", replaces: e1000009, why: misread", [])])
def test_two_ids_are_told_at_the_side_it_came_into_but_where_one_was_put_right(more: str, found: list[tuple[str, str]], tmp_path: Path) -> None:
    text = SOURCE + out("e1000001", 50, 140) + TARGET + into("e2000001", 50).replace("}\n", f"{more}}}\n")
    told = check_example(text, tmp_path).findings
    assert [(one.cask, one.code) for one in told if one.code == "rack-ids-differ"] == found and {
        one.severity for one in told if one.code == "rack-ids-differ"
    } <= {"note"}
