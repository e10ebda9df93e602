"""Figures that can hardly be: dimensions in another unit, more left than a cask holds, a dip that empties a full cask. Asked or
refused before they are written, and found by the check where they stand."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook

from entry.shop import CASK, HOUSE, Shop, days_ago
from entry.states import STATES
from entry.test_doubts import at_terminal

pytestmark = pytest.mark.thorough

INCHES = "bung 26, head 21, length 33"


def measured(**dims: float) -> dict[str, object]:
    return {"date": days_ago(9), "job": "measure", "dims_mm": dims}


# Inside dimensions


def test_the_program_refuses_inches_typed_for_mm(shop: Shop) -> None:
    shop.put(*(STATES["filled"] or []))
    before = shop.path().read_bytes()
    program = Path(sys.executable).parent / "caskbook"
    ran = subprocess.run([str(program), "enter", "measure", CASK, "--dims", INCHES, "--by", "ab", "--yes"], cwd=shop.root,
                         stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)  # fmt: skip
    assert ran.returncode == 2 and "did you mean inches: --dims 'bung 26in, head 21in, length 33in'?" in ran.stderr, ran.stderr
    assert shop.path().read_bytes() == before


@pytest.mark.parametrize(("dims", "kept"), [(INCHES, 660.4), ("bung 66, head 56, length 84", 660)])
def test_the_unit_meant_is_asked_and_taken(shop: Shop, monkeypatch: pytest.MonkeyPatch, dims: str, kept: float) -> None:
    shop.put(*(STATES["ready"] or []))
    asked = at_terminal(monkeypatch, "y", "y")
    ran = shop.enter("measure", CASK, "--dims", dims)
    assert ran.code == 0 and "did you mean" in asked[0], (asked, ran.err)
    assert shop.last()["dims_mm"]["bung"] == kept and "measured: bung" in ran.out
    at_terminal(monkeypatch, "n")
    assert shop.enter("measure", CASK, "--dims", dims).code == 2


@pytest.mark.parametrize(("dims", "told"), [
    ("bung 560, head 660, length 840", "head 660 mm is wider than bung 560 mm"), ("bung 900, head 800, length 1200", "expected a cask of 200 L"),
    ("bung 120", "expected those of a cask of 200 L"), ("bung 560, head 660", "wider than bung"),
])  # fmt: skip
def test_dimensions_of_no_such_cask_are_refused(shop: Shop, dims: str, told: str) -> None:
    shop.put(*(STATES["ready"] or []))
    ran = shop.enter("measure", CASK, "--dims", dims, "--yes")
    assert ran.code == 1 and told in ran.err, ran.err


@pytest.mark.parametrize("dims", [
    {"bung": 26, "head": 21, "length": 33}, {"bung": 66, "head": 56, "length": 84}, {"length": 33},
])  # fmt: skip
def test_check_finds_dimensions_that_are_no_cask(shop: Shop, dims: dict[str, float]) -> None:
    shop.put(*(STATES["filled"] or []), measured(**dims))
    assert shop.codes() == ["dims-unlike-cask"]


def test_a_head_wider_than_the_bung_is_an_error(shop: Shop) -> None:
    shop.put(*(STATES["filled"] or []), measured(bung=560, head=660, length=840))
    assert shop.codes() == ["fields-disagree"]


def test_dimensions_of_its_size_are_plain_and_told(shop: Shop) -> None:
    shop.put(*(STATES["ready"] or []), measured(bung=660, head=560, length=840))
    assert shop.codes() == []
    ran = shop.enter("measure", CASK, "--dims", "bung 640, head 540, length 840", "--capacity", "201")
    assert ran.code == 0 and "holds 201 L, measured: bung 640, head 540, length 840 mm" in ran.err + ran.out, ran.err


# What a racking leaves


@pytest.mark.parametrize(("left", "code", "told"), [
    ("300", "over-capacity", "300 L left in a cask of 200 L"), ("60", "drawn-more-than-held", "150 L racked and 60 L left: it held 190 L"),
])  # fmt: skip
def test_more_left_than_can_be(shop: Shop, left: str, code: str, told: str) -> None:
    shop.put(*(STATES["filled"] or []))
    shop.put(*(STATES["ready"] or []), cask="TH-004218")
    words = ["rack", CASK, "--to", "TH-004218", "--litres", "150", "--abv", "63.5", "--temp", "14", "--why", "marry", "--left", left, "--yes"]
    ran = shop.enter(*words)
    assert ran.code == 1 and told in ran.err, ran.err
    ran = shop.enter(*words, "--anyway")
    assert ran.code == 0 and f"written anyway, against {code}: {told}" in ran.err, ran.err
    assert code in shop.codes()
    assert shop.enter("void", CASK, "--of", shop.last()["id"], "--why", "x", "--yes").code == 0
    assert shop.enter(*words[:-2], "35", "--yes").code == 0 and shop.codes() == []


# Gauges


@pytest.mark.parametrize(("words", "told"), [
    (["--litres", "5"], "more than half is gone"), (["--wet", "0"], "more than half is gone"), (["--dry", "26in"], "more than half is gone"),
    (["--wet", "900"], "wet dip 900 mm: the cask is 661 mm deep"),
])  # fmt: skip
def test_a_gauge_that_can_hardly_be_is_doubted(shop: Shop, monkeypatch: pytest.MonkeyPatch, words: list[str], told: str) -> None:
    shop.put(*(STATES["filled"] or []), measured(bung=661, head=560, length=840))
    call = ["regauge", CASK, "dip" if words[0] != "--litres" else "meter", *words, "--abv", "63.5", "--temp", "14"]
    ran = shop.enter(*call)
    assert ran.code == 1 and told in ran.err and "add --yes" in ran.err and ran.err.count("mm deep") < 2, ran.err
    asked = at_terminal(monkeypatch, "n")
    assert shop.enter(*call).code == 1 and asked[0].startswith("Is that right?")
    assert shop.enter(*call, "--yes").code == 0


def test_a_gain_after_an_empty_dip_is_doubted(shop: Shop) -> None:
    shop.put(
        *(STATES["filled"] or []),
        measured(bung=660, head=560, length=840),
        {"date": days_ago(5), "job": "regauge", "wet_mm": 0, "abv": 63.5, "temp_c": 14, "method": "dip"},
    )
    ran = shop.enter("regauge", CASK, "meter", "--litres", "49.8", "--abv", "63.5", "--temp", "14")
    assert ran.code == 1 and "spirit does not grow" in ran.err and ran.err.count("spirit does not grow") == 1, ran.err


# Options that contradict one another


@pytest.mark.parametrize(("words", "told"), [
    (["receive", "TH-005000", "accept", "--type", "barrel", "--contents", "oloroso", "--spirit", "malt"], "--contents with --spirit"),
    (["test", CASK, "pass", "--method", "water", "--psi", "11"], "--method water with --psi"),
    (["regauge", CASK, "dip", "--litres", "191", "--wet", "500", "--abv", "60"], "--litres with --wet or --dry"),
])  # fmt: skip
def test_options_that_contradict_one_another(shop: Shop, words: list[str], told: str) -> None:
    shop.put(*(STATES["filled" if words[0] == "regauge" else "ready"] or []))
    ran = shop.enter(*words, "--yes")
    assert ran.code == 2 and told in ran.err, ran.err


def test_a_cask_comes_with_spirit_of_a_name(shop: Shop) -> None:
    ran = shop.enter(
        "receive", "TH-005000", "accept", "--type", "barrel", "--contents", "spirit", "--spirit", "malt", "--litres", "180", "--abv", "60", "--at-20", "--yes"
    )
    assert ran.code == 0, ran.err


# What is asked, and read anew


def test_an_answer_that_is_neither_yes_nor_no_is_asked_again(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.put(*(STATES["ready"] or []))
    asked = at_terminal(monkeypatch, "maybe", "y")
    assert shop.enter("note", CASK, "--note", "x").code == 0 and len(asked) == 2
    before = shop.path().read_bytes()
    asked = at_terminal(monkeypatch, "1", "2", "3")
    assert shop.enter("note", CASK, "--note", "y").code == 1 and len(asked) == 3 and shop.path().read_bytes() == before


def test_an_unreadable_job_accuses_no_entry_after_it(shop: Shop) -> None:
    path = shop.put(*(STATES["filled"] or []))
    fill = f"date: {days_ago(10)}\n    job: fill"
    text = path.read_text()
    row = "  - " + text.split("  - ")[-1]
    assert fill in row
    path.write_text(text + row.replace("e0000003", "e0000004"))
    assert "fill-of-full-cask" in shop.codes()
    path.write_text(text[: -len(row)] + row.replace("job: fill", "job: fil") + row.replace("e0000003", "e0000004"))
    assert shop.codes() == ["unknown-job"]


def test_the_example_of_stores_copied_draws_no_finding(shop: Shop) -> None:
    from caskbook.cli.commands import house_text

    examples = re.findall(r"stores\W+(\{[^{}]*\bW1: [^{}]*\})", Path(house_text.__file__).read_text(encoding="utf-8"))
    assert examples
    (shop.root / "house.yaml").write_text(HOUSE + f"stores: {examples[0]}\n")
    said = caskbook("check", "--records", str(shop.root))
    assert said.returncode == 0 and "ambiguous-word" not in said.stdout, said.stdout


def test_a_fill_of_no_litres_is_asked_about(shop: Shop) -> None:
    shop.put(*(STATES["ready"] or []))
    fill = ("fill", CASK, "--spirit", "malt", "--litres", "0", "--abv", "63.5", "--temp", "12")
    ran = shop.enter(*fill, "--yes")
    assert ran.code != 0 and "`litres` is 0 litres: 1 to 2000 is usual" in ran.err and "nothing written" in ran.err, ran.err
    assert shop.enter(*fill, "--anyway", "--why", "the vat ran dry", "--yes").code == 0
    assert shop.codes() == ["implausible-value"]
