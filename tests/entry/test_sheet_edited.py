"""A sheet that is read again after one row was changed, put in, taken out, moved, or given another cask or day: the book then stands as if
only the sheet as it is now had been read, or nothing is written and it is said which command puts the matter right."""

from __future__ import annotations

import re
import shlex
import tempfile
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from caskbook.cli.commands import correct
from entry.shop import Ran, Shop, days_ago
from entry.states import STATES

READY = STATES["ready"] or []
CASKS = [f"TH-{number:06d}" for number in range(4501, 4504)]
DAY, BEFORE = days_ago(2), days_ago(3)
HEAD = "date,job,cask,by,psi,result,leaks,hoops,level,method\n"
PASS, OTHER, FAIL, DRIVE = "test,{cask},kd,11,pass,,,", "test,{cask},kd,9,pass,,,", "test,{cask},kd,11,fail,joint-3,,", "drive,{cask},kd,,,,all,"
Rows = Sequence[tuple[date, str, str]]
"""(day, row, cask)."""


@pytest.fixture
def three(shop: Shop) -> Shop:
    return _filled(shop)


def _filled(shop: Shop) -> Shop:
    for cask in CASKS:
        shop.put(*READY, cask=cask)
    return shop


def enter(shop: Shop, rows: Rows, *words: str, name: str = "tuesday.csv") -> Ran:
    path = shop.root.parent / name
    path.write_text(HEAD + "".join(f"{day},{row.format(cask=cask)}\n" for day, row, cask in rows), encoding="utf-8")
    return shop.enter("sheet", str(path), "--yes", *words)


def on_one(*rows: str) -> Rows:
    return [(DAY, row, CASKS[0]) for row in rows]


def stands(shop: Shop, cask: str = CASKS[0]) -> list[tuple[Any, ...]]:
    """What stands on a cask since it came, in the order of the work."""
    here = {event.id for event in shop.ledger.life_of(shop.cask(cask), shop.today).events}
    found = [one for one in shop.data(cask)["events"] if one["id"] in here and one["job"] not in ("void", "moved", "receive", "examine")]
    return [(one["date"], one["job"], one.get("result"), one.get("psi"), one.get("level")) for one in found]


def kept(shop: Shop) -> list[bytes]:
    return [path.read_bytes() for path in sorted(shop.root.rglob("*.yaml"))]


def paste(shop: Shop, told: str) -> int:
    """Run the commands of `void` that a refusal names, in its order; how many there were."""
    commands = dict.fromkeys(re.findall(r"caskbook (void \S+ \S+ --why '[^']*')", told))
    for command in commands:
        ran = shop.run(correct.void, *shlex.split(command)[1:], "--by", "kd", "--yes")
        assert ran.code == 0, ran.err
    return len(commands)


def book_of(shop: Shop) -> dict[str, tuple[list[tuple[Any, ...]], list[str]]]:
    """Cask → what stands, and what the check finds; a thing done twice is a finding only where nobody said so."""
    return {cask: (stands(shop, cask), [code for code in shop.codes(cask) if code != "entered-twice"]) for cask in CASKS}


def read_alone(rows: Rows) -> dict[str, tuple[list[tuple[Any, ...]], list[str]]]:
    with tempfile.TemporaryDirectory() as folder:
        shop = _filled(Shop(Path(folder)))
        ran = enter(shop, rows)
        assert ran.code == 0, ran.err
        return book_of(shop)


def lawful(shop: Shop, rows: Rows) -> int:
    """Read an edited sheet, do what is asked for, and read it again; how many refusals there were."""
    refused, twice = 0, tuple[str, ...]()
    for _ in range(4):
        before = kept(shop)
        ran = enter(shop, rows, *twice)
        told = re.search(r"no row of it says|that no row says", ran.err)
        if ran.code == 0 and not told:
            break
        assert kept(shop) == before, "what is asked about is not written"
        refused += 1
        if paste(shop, ran.err) == 0:
            assert "stands there already" in ran.err and not twice, ran.err  # The house is against the same thing twice, and says so.
            twice = ("--anyway", "--why", "done twice")
    assert book_of(shop) == read_alone(rows), ran.err
    before = kept(shop)
    again = enter(shop, rows)
    assert again.code == 0 and "nothing to write" in again.err and "no row" not in again.err and kept(shop) == before, again.err
    return refused


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("first", "then"),
    [
        ([FAIL, DRIVE, FAIL], [PASS, DRIVE, FAIL]),
        ([PASS, DRIVE, PASS], [FAIL, DRIVE, PASS]),
        ([FAIL, DRIVE, FAIL], [FAIL, DRIVE, PASS]),
        ([DRIVE, FAIL], [PASS, DRIVE, FAIL]),
        ([PASS, DRIVE], [PASS, FAIL, DRIVE]),
        ([PASS, DRIVE], [PASS, DRIVE, FAIL]),
        ([PASS, FAIL], [FAIL, PASS]),
        ([PASS, DRIVE, FAIL], [FAIL, PASS, DRIVE]),
        ([DRIVE, PASS], [PASS, DRIVE]),
    ],
)
def test_the_order_of_the_work_is_that_of_the_sheet(three: Shop, first: list[str], then: list[str]) -> None:
    assert enter(three, on_one(*first)).code == 0
    assert lawful(three, on_one(*then)) == 0


@pytest.mark.thorough
def test_a_row_put_in_is_said_and_known_under_another_name(three: Shop) -> None:
    assert enter(three, on_one(DRIVE, FAIL)).code == 0
    ran = enter(three, on_one(PASS, DRIVE, FAIL))
    assert ran.code == 0 and f"row 2: put in before the drive ({three.data(CASKS[0])['events'][-2]['id']})" in ran.err, ran.err
    before = kept(three)
    assert "in the book already: 3 entries" in enter(three, on_one(PASS, DRIVE, FAIL), name="copy.csv").err and kept(three) == before


def test_two_benches_that_read_an_edited_sheet_write_the_same_bytes(three: Shop, tmp_path: Path) -> None:
    other = _filled(Shop(tmp_path / "other"))
    for shop in (three, other):
        assert enter(shop, on_one(DRIVE, FAIL)).code == 0 == enter(shop, on_one(PASS, DRIVE, OTHER, FAIL)).code
    assert kept(three) == kept(other)


@pytest.mark.thorough
@pytest.mark.parametrize("more", [[], [(DAY, DRIVE, CASKS[2])]])
def test_a_row_whose_cask_is_put_right_is_refused_until_the_old_entry_is_out(three: Shop, more: Rows) -> None:
    assert enter(three, [(DAY, PASS, CASKS[0]), *more]).code == 0
    old = three.last(CASKS[0])["id"]
    ran = enter(three, [(DAY, PASS, CASKS[1]), *more])
    assert ran.code == 1 and "row 2: " in ran.err and f"a test ({old}) on {CASKS[0]}" in ran.err and f"caskbook void {CASKS[0]} {old}" in ran.err
    assert lawful(three, [(DAY, PASS, CASKS[1]), *more]) == 1


@pytest.mark.thorough
@pytest.mark.parametrize("name", ["0412.csv", "no.csv", "yard 3: east.csv", "Größe.csv"])
def test_so_is_one_of_a_sheet_whose_name_is_quoted_in_the_book(three: Shop, name: str) -> None:
    assert enter(three, [(DAY, PASS, CASKS[0])], name=name).code == 0
    before = kept(three)
    ran = enter(three, [(DAY, PASS, CASKS[1])], name=name)
    assert ran.code == 1 and f"a test ({three.last(CASKS[0])['id']}) on {CASKS[0]}" in ran.err and kept(three) == before, ran.err


def test_a_row_put_right_by_moving_its_entry_is_known(three: Shop) -> None:
    assert enter(three, [(DAY, PASS, CASKS[0])]).code == 0
    words = (CASKS[0], three.last(CASKS[0])["id"], "--to", CASKS[1], "--why", "misread", "--by", "kd", "--yes")
    assert three.run(correct.move_event, *words).code == 0
    before = kept(three)
    for cask in CASKS[:2]:
        ran = enter(three, [(DAY, PASS, cask)])
        assert ran.code == 0 and "nothing to write" in ran.err and kept(three) == before, ran.err
    ran = enter(three, [(DAY, FAIL, CASKS[1])])
    assert ran.code == 1 and "was put right by hand" in ran.err and "--replaces" in ran.err and kept(three) == before, ran.err


def test_the_only_row_of_a_cask_taken_out_is_told(three: Shop) -> None:
    assert enter(three, [(DAY, PASS, CASKS[0]), (DAY, PASS, CASKS[1])]).code == 0
    assert lawful(three, [(DAY, PASS, CASKS[1])]) == 1


@pytest.mark.thorough
def test_a_row_whose_day_is_put_right_brings_nothing_back(three: Shop) -> None:
    """What a row wrote, changed once and then given another day, stands nowhere any more, nor what that had replaced."""
    char = "char,{cask},kd,,,,,{level}"
    at = [(day, char.replace("{level}", level), CASKS[0]) for day, level in ((DAY, "3"), (DAY, "4"), (BEFORE, "4"))]
    assert enter(three, at[:1]).code == 0 == enter(three, at[1:2]).code
    ran = enter(three, at[2:])
    assert ran.code == 1 and ran.err.count("caskbook void") == 2, ran.err
    assert lawful(three, at[2:]) == 1
    assert [(one[0], one[1], one[4]) for one in stands(three)] == [(BEFORE, "open", None), (BEFORE, "char", 4)]


def test_another_sheet_of_the_same_name_is_read_under_a_name_of_its_own(three: Shop) -> None:
    assert enter(three, [(BEFORE, PASS, CASKS[0])]).code == 0
    ran = enter(three, [(DAY, PASS, CASKS[0])])
    assert ran.code == 1 and "another sheet of the name tuesday? --sheet" in ran.err, ran.err
    assert enter(three, [(DAY, PASS, CASKS[0])], "--sheet", "tuesday-2").code == 0 and len(stands(three)) == 2


def test_a_sheet_of_which_every_row_was_changed_may_be_another(three: Shop) -> None:
    hint = "if this is another sheet of the name tuesday, say --sheet with a name of its own"
    assert enter(three, on_one(PASS, DRIVE)).code == 0
    assert hint not in enter(three, on_one(FAIL, DRIVE), "--dry-run").err
    assert hint in enter(three, on_one(FAIL, DRIVE.replace("all", "A-1")), "--dry-run").err


def test_what_was_typed_by_hand_under_the_sheets_name_is_not_replaced(three: Shop) -> None:
    common = ("--by", "kd", "--date", DAY.isoformat(), "--sheet", "tuesday", "--yes")
    assert three.enter("test", CASKS[0], "fail", "--leaks", "joint-3", "--psi", "11", *common).code == 0
    assert three.enter("drive", CASKS[0], *common).code == 0
    ran = enter(three, on_one(PASS))
    assert ran.code == 0 and "changed since" not in ran.err and [one[1:3] for one in stands(three)] == [("test", "fail"), ("drive", None), ("test", "pass")]
    assert "in the book already: 1 entry" in enter(three, on_one(PASS)).err


def test_a_row_put_right_by_hand_and_on_the_sheet_is_known(three: Shop) -> None:
    assert enter(three, on_one(PASS)).code == 0
    old = three.last(CASKS[0])["id"]
    assert three.enter("test", CASKS[0], "pass", "--psi", "9", "--replaces", old, "--why", "gauge", "--by", "kd", "--yes").code == 0
    before = kept(three)
    ran = enter(three, on_one(OTHER))
    assert ran.code == 0 and "in the book already: 1 entry" in ran.err and kept(three) == before, ran.err
    ran = enter(three, on_one(FAIL))
    assert ran.code == 1 and f"was put right by hand: {three.last(CASKS[0])['id']}" in ran.err and kept(three) == before, ran.err


def test_rows_that_come_after_those_of_another_sheet_are_said_to(three: Shop) -> None:
    assert enter(three, on_one(FAIL), name="afternoon.csv").code == 0
    assert "has entries of that day in the book already: these rows come after them" in enter(three, on_one(PASS), name="morning.csv").err


def test_a_row_put_in_that_another_sheet_wrote_at_another_place_replaces_nothing(three: Shop) -> None:
    assert enter(three, on_one(DRIVE)).code == 0 == enter(three, on_one(PASS), name="afternoon.csv").code
    before, theirs = kept(three), three.last(CASKS[0])["id"]
    ran = enter(three, on_one(PASS, DRIVE))
    assert ran.code == 1 and f"({theirs}) of that day that reads like this row, at another place of the day, and not by this sheet" in ran.err, ran.err
    assert kept(three) == before


@pytest.mark.thorough
def test_a_replacement_that_was_voided_by_hand_still_tells_of_the_changed_day(three: Shop) -> None:
    char = "char,{cask},kd,,,,,"
    assert enter(three, on_one(char + "3")).code == 0 == enter(three, on_one(char + "4")).code
    again = three.last(CASKS[0])["id"]
    assert three.run(correct.void, CASKS[0], again, "--why", "the day", "--by", "kd", "--yes").code == 0
    assert enter(three, [(BEFORE, char + "4", CASKS[0])]).code == 1
    assert lawful(three, [(BEFORE, char + "4", CASKS[0])]) == 1


@pytest.mark.thorough
@pytest.mark.parametrize("word", ["next", "next:2", "TH-next", "-"])
def test_a_word_that_means_another_cask_each_time_is_refused(shop: Shop, word: str) -> None:
    assert lorry(shop, LORRY).code == 0
    ran = lorry(shop, LORRY.replace("TH-006100", word))
    assert ran.code == 1 and f"row 2: `{word}` would be another cask when the sheet is read again: write the number itself" in ran.err, ran.err


@pytest.mark.parametrize("tick", ["[ ]", "☐", "nein"])
def test_an_empty_box_is_no_tick(three: Shop, tick: str) -> None:
    path = three.root.parent / "cards.csv"
    path.write_text(f"job,cask,tick\ndrive,{CASKS[0]},{tick}\ndrive,{CASKS[1]},x\n", encoding="utf-8")
    ran = three.enter("sheet", str(path), "--by", "kd", "--date", DAY.isoformat(), "--yes")
    assert ran.code == 0 and "skipped: 1 row" in ran.err and (stands(three, CASKS[0]), len(stands(three, CASKS[1]))) == ([], 1), ran.err


def test_a_row_added_that_replaces_what_a_row_above_wrote(three: Shop) -> None:
    head = "date,job,cask,by,psi,result,leaks,replaces,why\n"
    path = three.root.parent / "tuesday.csv"
    path.write_text(head + f"{DAY},test,{CASKS[0]},kd,11,pass,,,\n", encoding="utf-8")
    assert three.enter("sheet", str(path), "--yes").code == 0
    old = three.last(CASKS[0])["id"]
    path.write_text(path.read_text() + f"{DAY},test,{CASKS[0]},kd,11,fail,joint-3,{old},misread\n", encoding="utf-8")
    assert three.enter("sheet", str(path), "--yes").code == 0 and [one[2] for one in stands(three)] == ["fail"]
    before = kept(three)
    ran = three.enter("sheet", str(path), "--yes")
    assert ran.code == 0 and "nothing to write" in ran.err and kept(three) == before, ran.err
    path.write_text(path.read_text() + f"{DAY},test,{CASKS[0]},kd,11,pass,,,\n", encoding="utf-8")
    assert three.enter("sheet", str(path), "--yes").code == 0 and [one[2] for one in stands(three)] == ["fail", "pass"]


def test_rows_alike_are_known_under_another_name_after_an_edit(three: Shop) -> None:
    assert enter(three, on_one(FAIL, DRIVE, FAIL)).code == 0 == enter(three, on_one(PASS, DRIVE, FAIL)).code
    before = kept(three)
    ran = enter(three, on_one(PASS, DRIVE, FAIL), name="copy.csv")
    assert ran.code == 0 and "in the book already: 3 entries" in ran.err and kept(three) == before, ran.err


def test_a_row_that_cannot_be_read_leaves_nothing_behind(three: Shop) -> None:
    assert enter(three, [(DAY, PASS, CASKS[0]), (DAY, PASS, CASKS[1])]).code == 0
    ran = enter(three, [(DAY, PASS.replace("11", "eleven"), CASKS[0]), (DAY, FAIL, CASKS[1])])
    assert ran.code == 1 and "eleven" in ran.err and "void" not in ran.err, ran.err


SHAVE, CHAR = "shave,{cask},kd,,,,,,flail", "char,{cask},kd,,,,,3,"


@pytest.mark.thorough
def test_an_opening_that_a_row_put_in_has_made_too_many_is_put_out_first(three: Shop) -> None:
    assert enter(three, on_one(CHAR)).code == 0
    opening = next(one["id"] for one in three.data(CASKS[0])["events"] if one["job"] == "open")
    ran = enter(three, on_one(SHAVE, CHAR))
    assert ran.code == 1 and f"the open ({opening}) written for a row behind it is one too many with this row" in ran.err, ran.err
    for command in re.findall(r"caskbook (void \S+ \S+ --why '[^']*')", ran.err):
        assert three.run(correct.void, *shlex.split(command)[1:], "--by", "kd", "--yes").code == 0
    assert lawful(three, on_one(SHAVE, CHAR)) == 0


@pytest.mark.thorough
def test_a_closing_that_a_row_put_in_wants_is_named(three: Shop) -> None:
    assert enter(three, on_one(DRIVE, PASS)).code == 0
    ran = enter(three, on_one(CHAR, DRIVE, PASS))
    command = re.search(r"caskbook enter (close \S+ --heads both --before \S+)", ran.err)
    assert ran.code == 0 and command is not None, ran.err
    assert three.enter(*command[1].split(), "--by", "kd", "--yes").code == 0
    assert lawful(three, on_one(CHAR, DRIVE, PASS)) == 0


@pytest.mark.thorough
def test_an_opening_goes_with_the_last_job_that_needs_it(three: Shop) -> None:
    assert enter(three, [(DAY, SHAVE, CASKS[0]), (DAY, CHAR, CASKS[0]), (DAY, DRIVE, CASKS[1])]).code == 0
    assert lawful(three, [(DAY, DRIVE, CASKS[1])]) == 1 and stands(three) == []


ARRIVAL = "date,job,cask,by,verdict,type,capacity,charred,prior,berth\n"
LORRY = "{day},receive,TH-006100,ab,accept,barrel,200,2016,bourbon 1,\n"


def lorry(shop: Shop, row: str, name: str = "lorry.csv") -> Ran:
    path = shop.root.parent / name
    path.write_text(ARRIVAL + row.format(day=DAY), encoding="utf-8")
    return shop.enter("sheet", str(path), "--yes")


def test_what_a_receipt_says_of_the_cask_is_held_against_its_head(shop: Shop) -> None:
    assert lorry(shop, LORRY).code == 0
    other = LORRY.replace("barrel,200,2016,bourbon 1", "hogshead,250,2016,bourbon 1")
    before = kept(shop)
    for name in ("lorry.csv", "evening.csv"):
        ran = lorry(shop, other, name)
        assert ran.code == 1 and "row 2: TH-006100" in ran.err and "caskbook enter correct TH-006100 --type hogshead --capacity 250 --why" in ran.err, ran.err
        assert kept(shop) == before
    assert shop.enter("correct", "TH-006100", "--type", "hogshead", "--capacity", "250", "--why", "misread", "--by", "ab", "--yes").code == 0
    before = kept(shop)
    for row in (other, LORRY):
        ran = lorry(shop, row)
        assert ran.code == 0 and "nothing to write" in ran.err and kept(shop) == before, ran.err


def test_a_cell_of_the_head_that_was_cleared_is_told(shop: Shop) -> None:
    assert lorry(shop, LORRY).code == 0
    ran = lorry(shop, LORRY.replace("2016", ""))
    assert ran.code == 0 and "row 2: the row no longer says what the book says of TH-006100: charred 2016" in ran.err, ran.err


def test_a_receipt_changed_in_its_own_words_is_replaced(shop: Shop) -> None:
    assert lorry(shop, LORRY).code == 0
    ran = lorry(shop, LORRY.replace(",\n", ",Y/1\n"))
    assert ran.code == 0 and "changed since this sheet was entered" in ran.err and shop.facts("TH-006100").berth == "Y/1", ran.err
    ran = lorry(shop, LORRY.replace(",\n", ",Y/1\n"))
    assert ran.code == 0 and "nothing to write" in ran.err


def _edits(rows: Rows) -> Iterator[Rows]:
    """The sheet with one row changed, put in, taken out, moved, or given another cask or day."""
    others = (PASS, FAIL, DRIVE)
    for at, (day, row, cask) in enumerate(rows):
        around = (list(rows[:at]), list(rows[at + 1 :]))
        changed = [(day, other, cask) for other in others if other != row] + [(day, row, CASKS[1]), (BEFORE, row, cask)]
        yield from ([*around[0], one, *around[1]] for one in changed)
        yield from ([*around[0], (day, other, cask), *rows[at:]] for other in others)
        if len(rows) > 1:
            yield [*around[0], *around[1]]
        yield from ([*rest[:to], rows[at], *rest[to:]] for rest in ([*around[0], *around[1]],) for to in range(len(rows)) if to != at)


SHEETS = [
    on_one(FAIL, DRIVE, FAIL),
    on_one(PASS, PASS, FAIL),
    [(DAY, DRIVE, CASKS[0]), (DAY, PASS, CASKS[0]), (DAY, PASS, CASKS[1])],
    [(BEFORE, DRIVE, CASKS[0]), (DAY, DRIVE, CASKS[0]), (DAY, FAIL, CASKS[0])],
]


@pytest.mark.parametrize("number", [pytest.param(at, marks=pytest.mark.thorough if at == 2 else pytest.mark.slow) for at in range(len(SHEETS))])
def test_one_edit_ends_in_the_book_of_the_edited_sheet(tmp_path: Path, number: int) -> None:
    """Every edit of one row, one after the other."""
    for count, rows in enumerate(_edits(SHEETS[number])):
        shop = _filled(Shop(tmp_path / str(count)))
        assert enter(shop, SHEETS[number]).code == 0
        lawful(shop, rows)
