"""What is told and asked before an entry is written: long past days, berths, what is due on a cask to be filled, figures in
other units."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from caskbook.entry.berths import deal, is_one_place
from caskbook.entry.doubts import day_doubt
from entry.shop import CASK, HOUSE, Shop, days_ago
from entry.states import STATES

ROW = [f"TH-00500{n}" for n in range(1, 5)]
STORES = HOUSE + "stores: {W1: warehouse 1, Y: yard}\n"


@pytest.fixture
def row(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """Four ready casks in a house that names its stores."""
    monkeypatch.setenv("CASKBOOK_BY", "ab")
    monkeypatch.chdir(tmp_path)
    shop = Shop(tmp_path, STORES)
    for cask in ROW:
        shop.put(*(STATES["ready"] or []), cask=cask)
    return shop


def at_terminal(monkeypatch: pytest.MonkeyPatch, *answers: str) -> list[str]:
    """Answer on a terminal what is asked, in order; the questions are gathered."""
    left, asked = list(answers), list[str]()

    def answer(prompt: str) -> str:
        asked.append(prompt)
        return left.pop(0)

    monkeypatch.setattr("caskbook.cli.entering.ask.on_terminal", lambda: True)
    monkeypatch.setattr("caskbook.cli.entering.ask.answer", answer)
    return asked


# Berths


def test_berths_are_dealt_out_in_order(row: Shop) -> None:
    ran = row.enter("move", "TH-005001..005004", "--berth", "W1/05/1..4", "--yes")
    assert ran.code == 0, ran.err
    assert [row.facts(cask).berth for cask in ROW] == ["W1/05/1", "W1/05/2", "W1/05/3", "W1/05/4"]


@pytest.mark.parametrize("text", ["W1/05/09..12", "W1/05/09..W1/05/12", "W1/05/09, W1/05/10, W1/05/11; W1/05/12", "W1/05/09..10,W1/05/11..12"])
def test_ranges_and_lists_of_berths(text: str) -> None:
    assert list(deal(text, ROW).values()) == ["W1/05/09", "W1/05/10", "W1/05/11", "W1/05/12"]


@pytest.mark.thorough
@pytest.mark.parametrize(("text", "told"), [
    ("W1/05/1..3", "3 berths for 4 casks"), ("W1/05/1,W1/05/2", "2 berths for 4 casks"), ("W1/05/4..1", "runs backwards"),
    ("W1/05/1..x", "no range of berths"), ("W1/05/1..W2/05/4", "no range of berths"), ("W1/1,W1/1,W1/2,W1/3", "named twice"), ("W1/1..999999", "at most"),
])  # fmt: skip
def test_berths_that_do_not_go_out(row: Shop, text: str, told: str) -> None:
    ran = row.enter("move", "TH-005001..005004", "--berth", text, "--yes")
    assert ran.code == 2 and told in ran.err and row.facts(ROW[0]).berth is None


@pytest.mark.parametrize("text", ["Y2", "Y2, by the gate", "old store"])
def test_one_berth_or_words_are_for_all(text: str) -> None:
    assert deal(text, ROW) == {}


@pytest.mark.thorough
def test_receive_fill_and_found_take_dealt_berths_too(row: Shop) -> None:
    ran = row.enter("receive", "TH-006001..006002", "accept", "--type", "barrel", "--berth", "W1/07/1..2", "--yes")
    assert ran.code == 0, ran.err
    assert row.facts("TH-006002").berth == "W1/07/2"
    ran = row.enter("fill", "TH-005001..005002", "--spirit", "malt", "--litres", "190", "--abv", "63.5", "--temp", "14", "--berth", "W1/08/1..2", "--yes")
    assert ran.code == 0, ran.err
    assert row.facts("TH-005002").berth == "W1/08/2"
    row.enter("missing", "TH-005003", "--yes")
    ran = row.enter("found", "TH-005003", "--berth", "W1/08/1")
    assert ran.code == 1 and "W1/08/1: TH-005001 stands there" in ran.err


@pytest.mark.thorough
def test_a_taken_berth_is_told_and_asked_about(row: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    assert row.enter("move", ROW[0], "--berth", "W1/05/1").code == 0
    ran = row.enter("move", ROW[1], "--berth", "W1/05/1")
    assert ran.code == 1 and "W1/05/1: TH-005001 stands there (barrel, ready)" in ran.err and "add --yes" in ran.err
    assert row.facts(ROW[1]).berth is None
    asked = at_terminal(monkeypatch, "n")
    assert row.enter("move", ROW[1], "--berth", "W1/05/1").code == 1 and row.facts(ROW[1]).berth is None
    assert "right" in asked[0]
    at_terminal(monkeypatch, "y", "")
    assert row.enter("move", ROW[1], "--berth", "W1/05/1").code == 0 and row.facts(ROW[1]).berth == "W1/05/1"


@pytest.mark.thorough
def test_a_berth_is_free_once_its_cask_has_gone(row: Shop) -> None:
    for cask, job in ((ROW[0], ["move", "--berth", "Y2"]), (ROW[1], ["dispose", "sold"]), (ROW[2], ["send", "--to", "shop-north", "--why", "x"])):
        assert row.enter("move", cask, "--berth", "W1/05/1", "--yes").code == 0
        assert row.enter(job[0], cask, *job[1:], "--yes").code == 0
    ran = row.enter("move", ROW[3], "--berth", "W1/05/1")
    assert ran.code == 0 and "stands there" not in ran.err, ran.err


def test_two_casks_may_change_places_in_one_run(row: Shop) -> None:
    assert row.enter("move", "TH-005001..005002", "--berth", "W1/05/1..2", "--yes").code == 0
    ran = row.enter("move", "TH-005001..005002", "--berth", "W1/05/2,W1/05/1", "--yes")
    assert ran.code == 0 and "stands there" not in ran.err, ran.err


def test_a_yard_holds_many_and_one_place_does_not(row: Shop) -> None:
    assert not is_one_place("Y2") and not is_one_place("W3/07") and is_one_place("W3/07/2")
    ran = row.enter("move", "TH-005001..005004", "--berth", "Y2", "--yes")
    assert ran.code == 0 and "Y2:" not in ran.err
    ran = row.enter("move", "TH-005001..005003", "--berth", "W1/05/1", "--yes")
    assert ran.code == 0 and "3 casks in one place" in ran.err


def test_a_strange_store_is_told(row: Shop) -> None:
    ran = row.enter("move", ROW[0], "--berth", "Q7/1")
    assert ran.code == 0 and "Q7/1: no store of the house begins so (W1, Y)" in ran.err
    ran = row.enter("move", ROW[0], "--berth", "W10/05")
    assert ran.code == 0 and "W10/05: no store of the house begins so (W1, Y)" in ran.err


@pytest.mark.thorough
def test_the_index_tells_of_a_taken_berth_and_of_a_move_since(row: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    from caskbook.index import bearing_files

    subprocess.run(["git", "init", "-q", str(row.root)], check=True)
    assert row.enter("move", ROW[0], "--berth", "W1/05/1").code == 0
    from commands import caskbook

    assert caskbook("due", "--records", str(row.root)).returncode == 0
    monkeypatch.setattr(bearing_files, "files_with", lambda *given: pytest.fail("every file was searched"))
    assert "TH-005001 stands there" in row.enter("move", ROW[1], "--berth", "W1/05/1", "--dry-run").err
    assert row.enter("move", ROW[0], "--berth", "W1/05/3").code == 0
    assert "stands there" not in row.enter("move", ROW[1], "--berth", "W1/05/1", "--dry-run").err
    assert "TH-005001 stands there" in row.enter("move", ROW[1], "--berth", "W1/05/3", "--dry-run").err


@pytest.mark.thorough
def test_the_installed_program_asks_in_a_real_repository(row: Shop) -> None:
    program = Path(sys.executable).parent / "caskbook"

    def ran(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run([str(program), *words, "--by", "ab"], cwd=row.root, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)

    subprocess.run(["git", "init", "-q", "."], cwd=row.root, check=True)
    assert ran("enter", "move", "TH-005001..005003", "--berth", "W1/05/1..3", "--yes").returncode == 0
    refused = ran("enter", "move", "TH-005004", "--berth", "W1/05/2")
    assert refused.returncode == 1 and "W1/05/2: TH-005002 stands there" in refused.stderr and not refused.stdout
    assert ran("enter", "move", "TH-005004", "--berth", "W1/05/2", "--yes").returncode == 0 and row.facts(ROW[3]).berth == "W1/05/2"
    day = days_ago(39)
    late = ran("enter", "note", "TH-005001", "--note", "x", "--date", day.isoformat())
    assert late.returncode == 1 and f"{day:%a} {day}, 39 days back" in late.stderr


# Days


def test_a_day_long_past_is_asked_about(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.put({"date": days_ago(400), "job": "receive", "verdict": "accept"})
    before = shop.path().read_bytes()
    day = days_ago(60)
    ran = shop.enter("note", CASK, "--note", "x", "--date", day.isoformat())
    assert ran.code == 1 and f"{day:%a} {day}, 60 days back" in ran.err and "--yes" in ran.err and shop.path().read_bytes() == before
    asked = at_terminal(monkeypatch, "n")
    assert shop.enter("note", CASK, "--note", "x", "--date", day.isoformat()).code == 1 and len(asked) == 1
    assert shop.path().read_bytes() == before
    at_terminal(monkeypatch, "y", "y")
    assert shop.enter("note", CASK, "--note", "x", "--date", day.isoformat()).code == 0
    monkeypatch.undo()
    ran = shop.run(_enter, "note", CASK, "--note", "y", "--date", day.isoformat(), "--by", "ab", "--yes")
    assert ran.code == 0 and "60 days back" in ran.err


def _enter(words: list[str]) -> int:
    from caskbook.cli.commands.enter import run

    return run(words)


def test_thirty_days_back_are_plain_and_a_replacement_takes_its_day(shop: Shop) -> None:
    shop.put({"date": days_ago(400), "job": "receive", "verdict": "accept"}, {"date": days_ago(300), "job": "note", "note": "x"})
    ran = shop.enter("note", CASK, "--note", "x", "--date", days_ago(30).isoformat())
    assert ran.code == 0 and "back" not in ran.err
    ran = shop.enter("note", CASK, "--note", "z", "--replaces", "e0000002", "--why", "misread")
    assert ran.code == 0 and "days back" not in ran.err


@pytest.mark.parametrize(("day", "said"), [
    (date(2025, 1, 10), "Fri 2025-01-10, 369 days back: did you mean 2026-01-10?"), (date(2025, 11, 30), "Sun 2025-11-30, 45 days back"),
    (date(2024, 2, 29), "Thu 2024-02-29, 685 days back"), (date(2025, 12, 15), None), (date(2026, 1, 14), None),
    (date(2025, 1, 20), "Mon 2025-01-20, 359 days back"),
])  # fmt: skip
def test_a_year_off(day: date, said: str | None) -> None:
    assert day_doubt(day, date(2026, 1, 14)) == said


def test_a_sheet_of_another_year_is_asked_about(shop: Shop, tmp_path: Path) -> None:
    shop.put({"date": days_ago(500), "job": "receive", "verdict": "accept"})
    sheet = tmp_path / "day.csv"
    sheet.write_text(f"date,job,cask,by,note\n{days_ago(370)},note,{CASK},ab,x\n")
    ran = shop.enter("sheet", str(sheet))
    assert ran.code == 1 and "370 days back" in ran.err
    assert shop.enter("sheet", str(sheet), "--yes").code == 0


def test_a_scan_of_a_long_past_day_writes_nothing_without_yes(shop: Shop) -> None:
    shop.put({"date": days_ago(400), "job": "receive", "verdict": "accept"})
    ran = shop.enter("scan", "note", "--note", "x", "--date", days_ago(60).isoformat())
    assert ran.code == 1 and "60 days back" in ran.err


# What is due on a cask to be filled


def _filled(times: int) -> list[dict[str, object]]:
    events: list[dict[str, object]] = [{"date": date(2012, 1, 1), "job": "receive", "verdict": "accept"}]
    for n in range(times):
        events.append({"date": date(2012 + 2 * n, 2, 1), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "temp_c": 14})
        events.append({"date": date(2013 + 2 * n, 6, 1), "job": "empty", "litres": 180, "abv": 61, "temp_c": 14, "why": "drawn"})
        events.append({"date": date(2013 + 2 * n, 6, 2), "job": "examine", "verdict": "sound"})
    return [*events, {"date": days_ago(3), "job": "examine", "verdict": "sound"}]


FILL = ("fill", CASK, "--spirit", "malt", "--litres", "190", "--abv", "63.5", "--temp", "14")


@pytest.mark.parametrize(("fills", "told"), [
    (5, "re-char is due: 5 fills since char"), (4, "re-char is due at emptying: 5 fills since char"), (2, ""),
])  # fmt: skip
def test_a_fill_of_a_cask_due_for_rechar_says_so_and_asks_nothing(shop: Shop, fills: int, told: str) -> None:
    shop.put(*_filled(fills), prior=[], charred="2012-01-01")
    ran = shop.enter(*FILL)
    assert ran.code == 0, ran.err
    lines = [line for line in ran.err.splitlines() if "re-char" in line]
    assert (len(lines) == 1 and told in lines[0] and "house limit 5" in lines[0]) if told else not lines
    assert shop.last()["job"] == "fill"


def test_a_retirement_proposed_is_told_before_a_fill(shop: Shop) -> None:
    (shop.root / "house.yaml").write_text(HOUSE + "due: {retire: {points: 1}}\n", encoding="utf-8")
    shop.put(*(STATES["ready"] or []), made=1960, charred=1975)
    ran = shop.enter(*FILL, "--dry-run")
    assert ran.code == 0 and "retire is due: " in ran.err


def test_a_wine_cask_not_nosed_is_told_before_a_fill(shop: Shop) -> None:
    shop.put(*(STATES["ready"] or []), prior=[{"contents": "oloroso", "fills": 1}])
    ran = shop.enter(*FILL, "--dry-run", "--anyway", "--why", "nosed, not written down")
    assert ran.code == 0 and "nose is due: " in ran.err


# Units


@pytest.mark.parametrize(("job", "words", "kept", "echoes"), [
    ("fill", "--spirit malt --litres 50USgal --abv 125USproof --temp 60°F", {"litres": 189.27, "abv": 62.55, "temp_c": 15.56},
     ["50 USgal = 189.27 L", "125 USproof = 62.55 % vol at 20 °C (62.5 at 60 °F)", "60 °F = 15.56 °C"]),
    ("fill", "--spirit malt --litres 40UKgal --abv 111UKproof --temp 60F", {"litres": 181.84, "abv": 63.43, "temp_c": 15.56},
     ["40 UKgal = 181.84 L", "111 UKproof = 63.43 % vol"]),
    ("regauge", "meter --litres 48USgal --abv 120USproof --temp 69F", {"litres": 181.7, "abv": 60.05, "temp_c": 20.56}, ["48 USgal = 181.7 L", "69 F = 20.56 °C"]),
    ("empty", "--litres 46USgal --abv 118USproof --temp 60°F --why drawn", {"litres": 174.13, "abv": 59.06, "temp_c": 15.56}, ["118 USproof = 59.06 % vol at 20 °C (59 at 60 °F)"]),
])  # fmt: skip
def test_other_units_are_echoed_and_kept_right(shop: Shop, job: str, words: str, kept: dict[str, float], echoes: list[str]) -> None:
    shop.put(*(STATES["filled" if job != "fill" else "ready"] or []))
    ran = shop.enter(job, CASK, *words.split())
    assert ran.code == 0, ran.err
    assert {key: shop.last()[key] for key in kept} == kept
    for echo in echoes:
        assert echo in ran.err


@pytest.mark.parametrize(("job", "words", "told"), [
    ("fill", "--spirit malt --litres 190 --abv 63 --temp 12 --at-20", "--temp with --at-20"),
    ("rack", "--to TH-009999 --litres 190 --abv 63 --temp 12 --at-20 --why x", "--temp with --at-20"),
])  # fmt: skip
def test_figures_that_contradict_are_refused(shop: Shop, job: str, words: str, told: str) -> None:
    shop.put(*(STATES["filled" if job == "rack" else "ready"] or []))
    shop.put(*(STATES["ready"] or []), cask="TH-009999")
    ran = shop.enter(job, CASK, *words.split())
    assert ran.code == 2 and told in ran.err and "leave" in ran.err


def test_a_dip_typed_both_ways_must_add_up(shop: Shop) -> None:
    shop.put(*(STATES["filled"] or []), {"date": days_ago(9), "job": "measure", "dims_mm": {"bung": 660, "head": 560, "length": 840}})
    ran = shop.enter("regauge", CASK, "dip", "--wet", "400", "--dry", "300", "--abv", "60")
    assert ran.code == 2 and "--wet with --dry: together 700 mm, and the bung diameter is 660 mm" in ran.err
    assert shop.enter("regauge", CASK, "dip", "--wet", "400", "--dry", "260", "--abv", "60", "--temp", "12").code == 0


# Racking

RACK = ("rack", CASK, "--to", "TH-009999", "--litres", "150", "--abv", "60", "--temp", "12", "--why", "to marry")


def test_racking_without_a_terminal_tells_what_is_emptied(shop: Shop) -> None:
    shop.put(*(STATES["filled"] or []))
    shop.put(*(STATES["ready"] or []), cask="TH-009999")
    ran = shop.enter(*RACK, "--yes")
    assert ran.code == 0 and f"nothing left: {CASK} is emptied" in ran.err and "--left" in ran.err
    assert shop.facts().contents == "empty"


@pytest.mark.parametrize(("left", "contents"), [("0", "empty"), ("35", "spirit")])
def test_racking_on_a_terminal_asks_what_is_left(shop: Shop, monkeypatch: pytest.MonkeyPatch, left: str, contents: str) -> None:
    shop.put(*(STATES["filled"] or []))
    shop.put(*(STATES["ready"] or []), cask="TH-009999")
    asked = at_terminal(monkeypatch, "much", left)
    ran = shop.enter(*RACK, "--yes")
    assert ran.code == 0, ran.err
    assert f"litres left in {CASK}" in asked[0] and len(asked) == 2
    assert shop.facts().contents == contents


def test_a_temperature_put_right_does_not_carry_its_contrary_over(shop: Shop) -> None:
    shop.put(*(STATES["ready"] or []), {"date": days_ago(5), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "at_20": True})
    ran = shop.enter("fill", CASK, "--temp", "12", "--replaces", "e0000003", "--why", "was not brought to 20")
    assert ran.code == 0, ran.err
    assert shop.last()["temp_c"] == 12 and "at_20" not in shop.last()


# Looks


LEAKING = [*(STATES["filled"] or []), {"date": days_ago(8), "job": "leak", "at": "joint-3", "severity": "drip", "id": "f0000001"}]
AT_20 = f"{CASK}  no leak is open at joint-20 on "
LOOKS = [
    (["dry", "--at", "joint-20"], AT_20, "; open: joint-3 (drip); this look closes none"),
    (["dry", "--at", "joint-3"], "", ""),
    (["dry", "--of", "joint-3"], "", ""),
    (["dry"], "", ""),
    (["drip"], "", ""),
]


@pytest.mark.thorough
@pytest.mark.parametrize(("words", "told", "end"), LOOKS, ids=lambda value: " ".join(value) if isinstance(value, list) else "")
def test_a_look_where_no_leak_is_open_is_asked_about(row: Shop, monkeypatch: pytest.MonkeyPatch, words: list[str], told: str, end: str) -> None:
    row.put(*LEAKING)
    ran = row.enter("look", CASK, *words, "--yes", "--dry-run")
    assert ran.code == 0 and (told in ran.err and end in ran.err if told else "no leak is open" not in ran.err), ran.err
    if told:
        asked = at_terminal(monkeypatch, "n")
        assert row.enter("look", CASK, *words).code == 1 and len(asked) == 1 and row.last()["job"] == "leak"


def test_a_wet_look_where_no_leak_is_open_is_refused_and_says_how_one_is_entered(row: Shop) -> None:
    row.put(*(STATES["filled"] or []))
    ran = row.enter("look", CASK, "weep", "--yes")
    assert ran.code == 1 and "`seen` is weep: no leak is open\n  enter the leak with `leak`" in ran.err and row.last()["job"] == "fill"
    assert "no leak" not in row.enter("look", CASK, "dry", "--yes", "--dry-run").err
    row.put(*LEAKING)
    ran = row.enter("look", CASK, "weep", "--at", "joint-20", "--yes")
    assert ran.code == 1 and "`seen` is weep: no leak at joint-20 is open; open: joint-3 (drip)" in ran.err
    assert row.enter("look", CASK, "weep", "--at", "joint-20", "--yes", "--anyway", "--why", "seen so").code == 0


def test_a_look_that_names_a_leak_put_right_means_what_stands_in_its_place(row: Shop) -> None:
    row.put(*LEAKING, {"date": days_ago(4), "job": "look", "seen": "run", "of": "f0000001"})
    assert row.enter("leak", CASK, "--at", "joint-4", "--severity", "drip", "--replaces", "f0000001", "--why", "wrong joint", "--yes").code == 0
    assert [(leak["at"], leak["severity"]) for leak in row.facts().open_leaks] == [("joint-4", "run")]
    assert row.enter("look", CASK, "dry", "--of", "f0000001", "--yes").code == 0 and row.facts().open_leaks == []


def test_a_leak_under_the_other_number_is_open_for_a_look(row: Shop) -> None:
    row.put(*LEAKING, cask="TH-005001")
    row.put(*(STATES["filled"] or [])[:1], {"date": days_ago(2), "job": "same-as", "of": "TH-005001", "why": "two stencils", "id": "gzzzzzz0"})
    ran = row.enter("look", CASK, "dry", "--at", "joint-3", "--yes")
    assert ran.code == 0 and "no leak is open" not in ran.err, ran.err


@pytest.mark.parametrize(
    ("words", "between"),
    [(("look", ROW[0], "dry"), ("look", ROW[0], "dry", "--at", "stave-4")), (("note", ROW[0], "--note", "seen"), ("note", ROW[0], "--note", "other"))],
)
def test_the_same_look_or_note_just_behind_itself_is_against_the_rules_as_in_a_check(row: Shop, words: tuple[str, ...], between: tuple[str, ...]) -> None:
    row.put(*(STATES["filled"] or []), cask=ROW[0])
    assert row.enter(*words, "--yes").code == 0
    ran = row.enter(*words, "--yes")
    assert ran.code != 0 and "stands there already" in ran.err
    assert row.enter(*between, "--yes").code == 0 and row.enter(*words, "--yes").code == 0, "behind another one it may have been seen again"
    assert "entered-twice" not in row.codes(ROW[0])
    assert row.enter(*words, "--anyway", "--why", "seen twice", "--yes").code == 0
