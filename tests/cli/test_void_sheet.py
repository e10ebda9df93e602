"""void at a terminal asks for its reason; void --sheet takes a whole sheet out, with what stands for it and what was written with it."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.test_enter import at_terminal, finished
from commands import caskbook
from entry.conftest import shop as shop
from entry.shop import CASK, Shop, days_ago
from entry.states import STATES

from caskbook.cli.commands.correct import void
from caskbook.model.standing import corrections

pytestmark = pytest.mark.thorough

READY = STATES["ready"] or []
TWO = ("TH-004501", "TH-004502")


def jobs(shop: Shop, cask: str) -> list[str]:
    """The jobs of a cask that count behind its first two, corrections aside."""
    fallen = corrections(shop.cask(cask).events).fallen
    return [event["job"] for event in shop.data(cask)["events"][2:] if event["id"] not in fallen and event["job"] not in ("void", "moved")]


@pytest.fixture
def two(shop: Shop) -> Shop:
    for cask in TWO:
        shop.put(*READY, cask=cask)
    return shop


def test_a_sheet_is_found_however_its_name_is_written(two: Shop) -> None:
    assert two.enter("note", *TWO, "--note", "x", "--sheet", "B-17", "--by", "ab", "--yes").code == 0
    page = two.path(TWO[1])
    page.write_text(page.read_text(encoding="utf-8").replace("sheet: B-17", 'sheet: "B\\x2d17"'), encoding="utf-8")
    ran = two.run(void, "--sheet", "B-17", "--why", "never done", "--yes")
    assert ran.code == 0 and jobs(two, TWO[0]) == jobs(two, TWO[1]) == [], ran.err


def test_what_a_row_replaced_does_not_come_back_with_the_sheet(two: Shop) -> None:
    assert two.enter("test", *TWO, "pass", "--psi", "11", "--sheet", "B-17", "--yes").code == 0
    old = two.last(TWO[0])["id"]
    assert two.enter("test", TWO[0], "pass", "--psi", "10", "--replaces", old, "--why", "misread", "--sheet", "B-17").code == 0
    ran = two.run(void, "--sheet", "B-17", "--why", "never done", "--yes")
    assert ran.code == 0 and jobs(two, TWO[0]) == jobs(two, TWO[1]) == [], ran.err
    assert "(what " in ran.err and two.codes(TWO[0]) == []


def test_an_entry_put_right_by_hand_stays_one_of_its_sheet(two: Shop) -> None:
    assert two.enter("test", *TWO, "pass", "--psi", "11", "--sheet", "B-17", "--yes").code == 0
    ran = two.enter("test", TWO[0], "pass", "--psi", "10", "--replaces", two.last(TWO[0])["id"], "--why", "misread")
    assert ran.code == 0 and two.last(TWO[0])["sheet"] == "B-17", ran.err
    ran = two.enter("note", TWO[1], "--note", "not tested", "--replaces", two.last(TWO[1])["id"], "--why", "never done", "--yes")
    assert ran.code == 0 and two.last(TWO[1])["sheet"] == "B-17", ran.err
    ran = two.run(void, "--sheet", "B-17", "--why", "never done", "--yes")
    assert ran.code == 0 and jobs(two, TWO[0]) == jobs(two, TWO[1]) == [], ran.err


def test_one_that_was_put_right_without_its_sheet_goes_out_with_it(two: Shop) -> None:
    assert two.enter("test", *TWO, "pass", "--psi", "11", "--sheet", "B-17", "--yes").code == 0
    assert two.enter("test", TWO[0], "pass", "--psi", "10", "--replaces", two.last(TWO[0])["id"], "--why", "misread").code == 0
    page = two.path(TWO[0])
    head, sheet, tail = page.read_text(encoding="utf-8").rpartition("    sheet: B-17\n")
    assert sheet
    page.write_text(head + tail, encoding="utf-8")
    assert "sheet" not in two.last(TWO[0])
    ran = two.run(void, "--sheet", "B-17", "--why", "never done", "--yes")
    assert ran.code == 0 and jobs(two, TWO[0]) == jobs(two, TWO[1]) == [], ran.err


def test_an_opening_that_later_work_rests_on_is_said_to_stay(two: Shop) -> None:
    assert two.enter("shave", *TWO, "--method", "flail", "--depth", "1", "--sheet", "B-17", "--yes").code == 0
    assert two.enter("char", TWO[0], "--level", "3", "--yes").code == 0
    ran = two.run(void, "--sheet", "B-17", "--why", "never done", "--yes")
    assert ran.code == 0 and jobs(two, TWO[0]) == ["open", "char"] and jobs(two, TWO[1]) == [], ran.err
    opened = next(event for event in two.data(TWO[0])["events"] if event["job"] == "open")
    assert f"{TWO[0]}  the open of {opened['date']} ({opened['id']}) stays in force: what came after needs it" in ran.err.splitlines(), ran.err


@pytest.mark.parametrize(
    "words", [("--replaces", "gqw00001"), ("--note", "x"), ("--photo", "a.jpg"), ("--sheet", "B-17"), ("--answers", "j3"), ("--before", "gqw00001")]
)
def test_a_void_drops_nothing_that_was_typed_with_it(two: Shop, words: tuple[str, str]) -> None:
    before = two.path(TWO[0]).read_bytes()
    ran = two.enter("void", TWO[0], "--of", two.last(TWO[0])["id"], "--why", "wrong", *words, "--yes")
    assert ran.code == 2 and f"{words[0]}: a void says which entry, and why" in ran.err, ran
    assert two.path(TWO[0]).read_bytes() == before


def test_entries_are_not_counted_as_casks(shop: Shop) -> None:
    casks = [f"TH-0046{n:02}" for n in range(20)]
    for cask in casks:
        shop.put(*READY, cask=cask)
    assert shop.enter("test", *casks, "pass", "--psi", "11", "--sheet", "B-17", "--yes").code == 0
    old = shop.last(casks[0])["id"]
    assert shop.enter("test", casks[0], "pass", "--psi", "10", "--replaces", old, "--why", "misread", "--sheet", "B-17").code == 0
    ran = shop.run(void, "--sheet", "B-17", "--why", "never done", "--yes")
    assert "  21 entries on 20 casks: void" in ran.err.splitlines() and "21 casks" not in ran.err, ran.err


def test_what_a_row_of_another_sheet_was_replaced_by_gives_that_back(two: Shop) -> None:
    assert two.enter("test", *TWO, "pass", "--psi", "11", "--sheet", "B-17", "--yes").code == 0
    old = two.last(TWO[0])["id"]
    assert two.enter("test", TWO[0], "pass", "--psi", "10", "--replaces", old, "--why", "misread", "--sheet", "C-1").code == 0
    assert two.run(void, "--sheet", "C-1", "--why", "11 it was").code == 0
    assert [one.id for one in two.cask(TWO[0]).events if one.job == "test" and one.id not in corrections(two.cask(TWO[0]).events).fallen] == [old]


@pytest.mark.parametrize("relied_on", [True, False])
def test_an_opening_goes_with_its_sheet_unless_other_work_needs_it(two: Shop, relied_on: bool) -> None:
    assert two.enter("shave", *TWO, "flail", "--sheet", "B-17", "--yes").code == 0
    if relied_on:
        assert two.enter("char", TWO[0], "--level", "3", "--sheet", "C-1").code == 0
    assert two.enter("test", TWO[1], "pass", "--psi", "11", "--sheet", "B-17").code == 0
    ran = two.run(void, "--sheet", "B-17", "--why", "not done", "--yes")
    assert ran.code == 0 and "no longer fits" not in ran.err, ran.err
    assert jobs(two, TWO[0]) == (["open", "char"] if relied_on else []) and jobs(two, TWO[1]) == []
    assert two.codes(TWO[0]) == two.codes(TWO[1]) == []


def test_a_sheet_of_voids_is_taken_back_by_its_own_name(two: Shop) -> None:
    assert two.enter("test", *TWO, "pass", "--psi", "11", "--sheet", "B-17", "--yes").code == 0
    assert two.run(void, "--sheet", "B-17", "--why", "gauge was broken", "--yes").code == 0
    run = two.last(TWO[0])["sheet"]
    assert "out of force already" in two.run(void, "--sheet", "B-17", "--why", "x", "--yes").err
    ran = two.run(void, "--sheet", run, "--why", "it was not", "--yes")
    assert ran.code == 0 and jobs(two, TWO[0]) == jobs(two, TWO[1]) == ["test"], ran.err


def test_several_sheets_that_end_alike_are_named(two: Shop) -> None:
    for name in ("monday-17", "tuesday-17"):
        assert two.enter("note", TWO[0], "--note", "x", "--sheet", name).code == 0
    ran = two.run(void, "--sheet", "y-17", "--why", "x")
    assert ran.code == 2 and "y-17 is the end or the beginning of 2 sheets: monday-17, tuesday-17: which one?" in ran.err
    assert "no standing entry bears the sheet -17" in two.run(void, "--sheet=-17", "--why", "x").err
    assert two.run(void, "--sheet", "TUES", "--why", "x").code == 0 and jobs(two, TWO[0]) == ["note"]
    for odd in ('o\'clock "7"', "a: b # c", "-17"):
        assert two.enter("note", TWO[1], f"--note={odd}", f"--sheet={odd}").code == 0
        assert two.run(void, f"--sheet={odd}", "--why", "x").code == 0, odd


def test_the_sheet_of_an_entry_is_shown_with_all_of_them_and_in_json(two: Shop) -> None:
    assert two.enter("test", *TWO, "pass", "--psi", "11", "--sheet", "B-17", "--yes").code == 0
    assert two.enter("drive", *TWO, "--sheet", "B-17", "--yes").code == 0
    shown = caskbook("show", TWO[0], "--all", "--records", str(two.root)).stdout.splitlines()
    at = next(n for n, line in enumerate(shown) if line.startswith(f"  {days_ago(0)}  drive"))
    assert shown[at + 1].strip() == "sheet B-17, as the entry below" and "test" in shown[at + 2] and "sheet" not in shown[at + 3]
    assert "B-17" not in caskbook("show", TWO[0], "--records", str(two.root)).stdout, "the card stays short"
    assert '"sheet": "B-17"' in caskbook("show", TWO[0], "--format", "json", "--records", str(two.root)).stdout


@pytest.mark.parametrize("command", [("void", CASK, "e0000002"), ("void", "--sheet", "B-17"), ("move-event", CASK, "e0000002", "--to", TWO[0]),
                                     ("move-event", "--sheet", "B-17", "--map", f"{CASK}={TWO[0]}")])  # fmt: skip
def test_the_reason_is_wanted_in_a_pipe(two: Shop, command: tuple[str, ...]) -> None:
    two.put(READY[0], {**READY[1], "sheet": "B-17"})
    before = two.path().read_bytes()
    ran = caskbook(*command, "--yes", "--records", str(two.root))
    assert ran.returncode == 2 and "the reason is needed: --why …" in ran.stderr and two.path().read_bytes() == before


@pytest.mark.thorough
def test_the_reason_is_asked_for_at_a_terminal_once_the_entry_is_told(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass"})
    shop.put(*READY, cask=TWO[0])
    for way, word in ((("void", CASK, "e0000003"), "void"), (("move-event", CASK, "e0000003", "--to", TWO[0]), "moved")):
        child = at_terminal(shop, *way)
        child.expect_exact("test: pass, 11 psi")
        child.expect_exact("why (the reason, which stays in the book): ")
        child.sendline("")
        child.expect_exact("why (the reason, which stays in the book): ")
        child.sendeof()
        child.expect_exact("nothing written")
        assert finished(child) == 1 and shop.last()["job"] == "test"
        child = at_terminal(shop, *way)
        child.expect_exact("why (")
        child.sendline("wrong cask")
        child.expect_exact("? [")
        child.sendline("y")
        assert finished(child) == 0 and (shop.last()["job"], shop.last()["why"]) == (word, "wrong cask")
        shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass"})
