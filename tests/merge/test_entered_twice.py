"""One job that two machines entered: told by the merge that brings both together, and by the check from then on."""

from __future__ import annotations

from pathlib import Path

import pytest
from checks.test_check_rules import codes
from entry.conftest import shop as shop
from entry.shop import CASK, Shop, days_ago
from entry.states import STATES

from caskbook.cli.commands.correct import void
from caskbook.cli.merge_driver.words import merge_notices
from caskbook.merge import merge
from caskbook.model.ids import of_one_row

FULL = "# received 2020-01-01, examined 2020-01-02, filled 2020-01-03\n"
EMPTY = "# received 2020-01-01, examined 2020-01-02\n"
DRAW = "date: 2020-02-01, job: draw, by: ab, litres: 20, abv: 60, at_20: true"
FAIL = "date: 2020-02-01, job: test, by: ab, sheet: B-17, psi: 11, result: fail, leaks: [{at: joint-3}]"
NOTE = "date: 2020-02-01, job: note, by: kd, note: dark"
SAMPLE = "date: 2020-02-01, job: sample, by: kd, ml: 50"
DRIVE = "date: 2020-02-01, job: drive, by: ab, sheet: B-17, answers: [{}]"
LAST = "date: 2020-02-01, job: test, by: ab, sheet: B-17, psi: 11, result: pass"


def file_of(*entries: tuple[str, str]) -> str:
    return "".join(f"- {{id: {one}, {said}}}\n" for one, said in entries)


def failed_twice(first: str, second: str) -> str:
    """A test that failed, a driving, the same test failed again, and a pass."""
    drive = "date: 2020-02-01, job: drive, by: ab, sheet: B-17"
    return EMPTY + file_of((first, FAIL), (first + "05", drive), (second, FAIL), ("z0000001", drive.replace("ab", "kd")), ("z0000002", LAST))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (FULL + file_of(("e1000011", DRAW), ("e1000012", NOTE), ("e1000013", DRAW)), ["entered-twice"]),
        (FULL + file_of(("e1000011", DRAW), ("e1000012", SAMPLE), ("e1000013", DRAW)), ["entered-twice"]),
        (FULL + file_of(("e1000011", DRAW), ("e1000012", SAMPLE), ("e1000013", DRAW.replace("20,", "21,"))), []),
        (FULL + file_of(("a00006ta", DRAW.replace("20,", "21,")), ("a00006ta00gyha", DRAW + ", replaces: a00006ta, why: changed"), ("a0000a67", DRAW)), ["entered-twice"]),
        (FULL + file_of(("a00006ta", DRAW), ("a00006ta00gyha", DRAW + ", replaces: a00006ta, why: changed")), []),
        (FULL + file_of(("e1000011", SAMPLE), ("e1000012", NOTE), ("e1000013", SAMPLE)), ["entered-twice"]),
        (FULL + file_of(("e1000011", SAMPLE), ("e1000012", DRAW), ("e1000013", SAMPLE)), []),
        (FULL + file_of(("e1000011", NOTE), ("e1000012", NOTE.replace("dark", "wet")), ("e1000013", NOTE)), []),
        (failed_twice("a00006ta", "e100001100n0mz"), ["entered-twice"]),
        (failed_twice("a00006ta", "a00016tb"), []),
        (failed_twice("a00006ta", "a0002mta"), []),
        (failed_twice("e1000010", "e1000011"), []),
    ],
)  # fmt: skip
def test_the_same_of_one_day_is_told(text: str, found: list[str], tmp_path: Path) -> None:
    assert [code for code in codes(text, tmp_path) if code == "entered-twice"] == found


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("a00006ta", "e100001100n0mz", True), ("a00006ta", "e1000011", False), ("e100001000n0mz", "e100001101n0mz", True), ("e100001000n0mz", "e100001100n0mx", False),
        ("a00006ta", "a00006ta05", False), ("a00006ta", "a00007ta", False), ("a00006ta", "a0000pta", True), ("a00006ta", "a00016ta", True), ("a00006ta", "?", False),
    ],
)  # fmt: skip
def test_of_one_row(one: str, other: str, same: bool) -> None:
    assert of_one_row(one, other) is of_one_row(other, one) is same


def test_one_sheet_read_by_two_machines_is_told_by_the_merge_and_the_check(shop: Shop, tmp_path: Path) -> None:
    """Machine two has a note of that day, so that its entry has another id; both are kept, and both are told."""
    base = shop.put(*(STATES["filled"] or [])).read_bytes()
    day = days_ago(1)
    sheet = tmp_path / "draws.csv"
    sheet.write_text(f"date,job,cask,by,litres,abv\n{day},draw,{CASK},ab,20,60\n", encoding="utf-8")
    assert shop.enter("sheet", str(sheet), "--yes").code == 0
    first = shop.path().read_bytes()
    shop.path().write_bytes(base)
    assert shop.enter("note", CASK, "--note", "dark", "--date", day.isoformat(), "--by", "kd", "--yes").code == 0
    assert shop.enter("sheet", str(sheet), "--yes").code == 0
    second = shop.path().read_bytes()
    united = merge(base, first, second)
    told = merge_notices(united, "records/casks/TH-004/TH-004217.yaml", base, first, second)
    assert len(told) == 1 and f"draw of {day}" in told[0] and "void one of them" in told[0]
    assert merge_notices(merge(base, first, first), "x.yaml", base, first, first) == []
    shop.path().write_bytes(united.data)
    assert shop.codes() == ["entered-twice"] and len([one for one in shop.data()["events"] if one["job"] == "draw"]) == 2


def test_a_sheet_that_one_machine_voided_and_another_read_is_told(shop: Shop, tmp_path: Path) -> None:
    base, day, sheet = shop.put(*(STATES["filled"] or [])).read_bytes(), days_ago(1), tmp_path / "draws.csv"
    sheet.write_text(f"date,job,cask,by,litres,abv\n{day},draw,{CASK},ab,20,60\n", encoding="utf-8")
    assert shop.enter("sheet", str(sheet), "--yes").code == 0
    assert shop.run(void, "--sheet", "draws", "--why", "not done", "--yes").code == 0
    first = shop.path().read_bytes()
    shop.path().write_bytes(base)
    assert shop.enter("note", CASK, "--note", "dark", "--date", day.isoformat(), "--by", "kd", "--yes").code == 0
    assert shop.enter("sheet", str(sheet), "--yes").code == 0
    second = shop.path().read_bytes()
    united = merge(base, first, second)
    told = merge_notices(united, "records/casks/TH-004/TH-004217.yaml", base, first, second)
    assert len(told) == 1 and "was voided: void this one too" in told[0]
    shop.path().write_bytes(united.data)
    drawn = [one["id"] for one in shop.data()["events"] if one["job"] == "draw"]
    assert shop.run(void, CASK, drawn[-1], "--why", "not done", "--yes").code == 0
    last = shop.path().read_bytes()
    assert merge_notices(merge(united.data, last, united.data), "records/casks/TH-004/TH-004217.yaml", united.data, last, united.data) == []
