"""void, move-event, undo, stamp."""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from entry.conftest import shop as shop
from entry.shop import CASK, Shop, days_ago
from entry.states import STATES

from caskbook.cli.commands import correct
from caskbook.model.jobs import JOBS

READY = STATES["ready"] or []
FILLED = STATES["filled"] or []


def git(root: Path, *words: str) -> str:
    return subprocess.run(["git", "-C", str(root), "-c", "user.name=x", "-c", "user.email=x@y", *words], check=True, capture_output=True, text=True).stdout


@pytest.mark.thorough
def test_void_by_the_beginning_of_an_id(shop: Shop) -> None:
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass", "id": "gtest000"})
    ran = shop.run(correct.void, CASK, "gte", "--why", "wrong cask")
    assert ran.code == 0, ran.err
    assert shop.last()["of"] == "gtest000" and shop.last()["date"] == shop.today and shop.facts().last_test is None
    assert "out of force already" in shop.run(correct.void, CASK, "gtest000", "--why", "x").err
    assert shop.run(correct.void, CASK, shop.last()["id"], "--why", "right after all").code == 0
    assert shop.facts().last_test is not None


@pytest.mark.parametrize(
    ("words", "told"), [(["TH-004217", "e", "--why", "x"], "begins 2 entries"), (["TH-004217", "zz", "--why", "x"], "has no entry zz"), (["TH-004217", "e0000001"], "--why"),
                        (["TH-999999", "e", "--why", "x"], "not in the book"), (["--why", "x"], "which entry"), (["--sheet", "S-1", "--why", "x"], "no standing entry"),
                        (["TH-004217", "e", "--wy", "x"], "no option")],
)  # fmt: skip
def test_void_refused(shop: Shop, words: list[str], told: str) -> None:
    shop.put(*READY)
    ran = shop.run(correct.void, *words)
    assert ran.code == 2 and told in ran.err


def test_a_void_takes_the_open_that_was_written_with_it(shop: Shop) -> None:
    shop.put(*READY)
    shop.enter("shave", CASK, "flail")
    shave = shop.last()["id"]
    ran = shop.run(correct.void, CASK, shave, "--why", "wrong cask")
    assert ran.code == 0, ran.err
    assert [event["job"] for event in shop.data()["events"][-2:]] == ["void", "void"] and shop.facts().form == "whole"


def test_but_not_an_open_that_another_job_needs(shop: Shop) -> None:
    shop.put(*READY)
    shop.enter("shave+char", CASK, "flail", "--level", "3")
    shave = shop.data()["events"][-2]["id"]
    assert shop.run(correct.void, CASK, shave, "--why", "not done").code == 0
    assert shop.data()["events"][-1]["of"] == shave and shop.data()["events"][-2]["job"] == "char" and shop.facts().form == "open"
    assert shop.codes() == []


@pytest.mark.thorough
def test_a_void_of_a_rack_writes_all_its_files(shop: Shop) -> None:
    for cask in ("TH-004501", "TH-004502"):
        shop.put(*FILLED, cask=cask)
    shop.put(*READY, cask="TH-006100", type="butt", capacity_l=500)
    assert shop.enter("rack", "TH-004501..004502", "--to", "TH-006100", "--litres", "90", "--abv", "60", "--why", "x", "--yes").code == 0
    rack = shop.last("TH-004501")["id"]
    ran = shop.run(correct.void, "TH-004502", rack, "--why", "not done", "--yes")
    assert ran.code == 0
    told = {line.split()[0]: line for line in ran.err.splitlines() if "rack-" in line}
    assert "(" not in told["TH-004502"] and all(told[cask].endswith(" on TH-004502)") for cask in ("TH-004501", "TH-006100"))
    assert {shop.last(cask)["job"] for cask in ("TH-004501", "TH-004502", "TH-006100")} == {"void"}
    assert [shop.facts(cask).state for cask in ("TH-004501", "TH-006100")] == ["filled", "ready"]


def test_a_void_that_makes_later_entries_impossible_is_written_and_they_are_listed(shop: Shop) -> None:
    shop.put(*FILLED, {"date": days_ago(3), "job": "sample", "ml": 100})
    ran = shop.run(correct.void, CASK, "e0000003", "--why", "never filled")
    assert ran.code == 0 and "a later entry no longer fits: sample on an empty cask" in ran.err


def test_void_of_a_sheet(shop: Shop) -> None:
    casks = ["TH-004501", "TH-004502"]
    for cask in (*casks, CASK):
        shop.put(*READY, cask=cask)
    shop.enter("test", *casks, "pass", "--psi", "11", "--sheet", "B-17", "--yes")
    ran = shop.run(correct.void, "--sheet", "B-17", "--why", "whole sheet wrong", "--yes")
    assert ran.code == 0, ran.err
    assert all(shop.last(cask)["job"] == "void" for cask in casks) and shop.last()["job"] == "examine"


def test_move_event_to_the_cask_it_belongs_to(shop: Shop) -> None:
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass"})
    shop.put(*READY, cask="TH-004271")
    ran = shop.run(correct.move_event, CASK, "e0000003", "--to", "TH-004271", "--why", "misread", "--yes")
    assert ran.code == 0, ran.err
    copy, moved = shop.last("TH-004271"), shop.last()
    assert (copy["job"], copy["date"], copy["moved_from"], copy["psi"]) == ("test", days_ago(5), f"{CASK}/e0000003", 11) and copy["id"] != "e0000003"
    assert (moved["job"], moved["of"], moved["to"], moved["why"]) == ("moved", "e0000003", "TH-004271", "misread")
    assert shop.facts().last_test is None and shop.facts("TH-004271").last_test is not None
    assert "not in the book" in shop.run(correct.move_event, CASK, "e0000002", "--to", "TH-009999", "--why", "x").err


def test_a_filling_that_is_moved_is_no_half_move_to_the_run_that_moves_it(shop: Shop) -> None:
    """Both files of the run count as they will stand, also where another move of the same casks was only half written before."""
    for cask in (CASK, "TH-004218"):
        shop.put(*READY, cask=cask)
    assert shop.enter("fill", CASK, "--spirit", "malt", "--litres", "190", "--abv", "63", "--at-20", "--yes").code == 0
    filled = shop.last()["id"]
    ran = shop.run(correct.move_event, CASK, filled, "--to", "TH-004218", "--why", "misread", "--yes")
    assert ran.code == 0 and "nobody can tell" not in ran.err, ran.err
    copy = shop.last("TH-004218")
    shop.path("TH-004218").write_text(shop.path("TH-004218").read_text(encoding="utf-8").partition(f"  - id: {copy['id']}")[0], encoding="utf-8")
    half = shop.enter("fill", "TH-004218", "--spirit", "malt", "--litres", "190", "--abv", "63", "--at-20", "--yes", "--dry-run")
    assert f"entry {filled} of {CASK}, moved to TH-004218 and not written there" in half.err


def test_a_copy_that_cannot_be_is_refused(shop: Shop) -> None:
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass"})
    shop.put(*FILLED, cask="TH-004271")
    ran = shop.run(correct.move_event, CASK, "e0000003", "--to", "TH-004271", "--why", "misread", "--yes")
    assert ran.code == 1 and "test needs it empty" in ran.err and len(shop.data()["events"]) == 3


OTHER = "TH-004271"


def moved_test(shop: Shop, *more: dict[str, Any], cask: str = OTHER) -> str:
    """A test is moved from CASK to another; the id of the `moved`."""
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass"}, *more)
    shop.put(*READY, cask=cask)
    assert shop.run(correct.move_event, CASK, "e0000003", "--to", cask, "--why", "misread", "--yes").code == 0
    return next(str(event["id"]) for event in shop.data()["events"] if event["job"] == "moved")


def test_a_void_of_a_move_puts_its_copy_out_as_well(shop: Shop) -> None:
    moved = moved_test(shop)
    ran = shop.run(correct.void, CASK, moved, "--why", "it was right", "--yes")
    assert ran.code == 0 and f"{OTHER}  {days_ago(5)} test" in ran.err and f"(the copy of what was moved from {CASK})" in ran.err
    assert shop.last(OTHER)["job"] == "void" and shop.last(OTHER)["sheet"] == shop.last()["sheet"]
    assert "to take back the move" not in ran.err
    assert shop.facts().last_test is not None and shop.facts(OTHER).last_test is None and shop.codes() == shop.codes(OTHER) == []


def test_a_void_of_a_copy_says_that_the_job_counts_nowhere(shop: Shop) -> None:
    moved = moved_test(shop)
    ran = shop.run(correct.void, OTHER, shop.last(OTHER)["id"], "--why", "not done", "--yes")
    assert ran.code == 0 and f"{OTHER}  its test stands on {CASK} no more either; to take back the move: caskbook void {CASK} {moved}\n" in ran.err
    assert shop.facts().last_test is None and shop.facts(OTHER).last_test is None


@pytest.mark.thorough
def test_a_void_of_a_move_finds_what_replaced_the_copy_and_where_it_was_moved_on(shop: Shop) -> None:
    moved, third = moved_test(shop), "TH-004272"
    shop.put(*READY, cask=third)
    copy = shop.last(OTHER)["id"]
    assert shop.enter("test", OTHER, "pass", "--psi", "10", "--replaces", copy, "--why", "10 it was", "--date", days_ago(5).isoformat(), "--yes").code == 0
    assert "out of force already" in shop.run(correct.move_event, OTHER, copy, "--to", third, "--why", "x", "--yes").err
    replaced = next(event["id"] for event in shop.data(OTHER)["events"] if event.get("replaces"))
    assert shop.run(correct.move_event, OTHER, replaced, "--to", third, "--why", "misread again", "--yes").code == 0
    assert shop.run(correct.void, CASK, moved, "--why", "it was right", "--yes").code == 0
    assert [shop.facts(cask).last_test is not None for cask in (CASK, OTHER, third)] == [True, False, False]


@pytest.mark.thorough
@pytest.mark.parametrize("way", ["sheet", "run", "enter"])
def test_no_way_of_voiding_takes_back_half_a_move(shop: Shop, way: str, tmp_path: Path) -> None:
    moved = moved_test(shop)
    sheet = tmp_path / "sheet.csv"
    sheet.write_text(f"cask,job,of,why\n{CASK},void,{moved},wrong\n", encoding="utf-8")
    ran = {
        "sheet": lambda: shop.enter("sheet", str(sheet), "--by", "ab", "--yes"),
        "run": lambda: shop.run(correct.void, "--sheet", shop.last()["sheet"], CASK, "--why", "x", "--yes"),
        "enter": lambda: shop.enter("void", CASK, "--of", moved, "--why", "x", "--yes"),
    }[way]()
    there = [shop.facts(cask).last_test is not None for cask in (CASK, OTHER)]
    assert there == [way != "sheet", way == "sheet"] and shop.codes() == shop.codes(OTHER) == []
    assert way != "sheet" or (ran.code == 1 and not ran.out and f"caskbook void {CASK} {moved}" in ran.err), ran.err


@pytest.mark.thorough
def test_a_move_takes_the_open_that_was_written_with_it_and_a_void_of_it_gives_it_back(shop: Shop) -> None:
    shop.put(*READY)
    shop.put(*READY, cask=OTHER)
    shop.enter("char", CASK, "--level", "3")
    assert shop.run(correct.move_event, CASK, shop.last()["id"], "--to", OTHER, "--why", "misread", "--yes").code == 0
    assert (shop.facts().form, shop.facts(OTHER).form) == ("whole", "open")
    moved = next(event["id"] for event in shop.data()["events"] if event["job"] == "moved")
    assert shop.run(correct.void, CASK, moved, "--why", "it was right", "--yes").code == 0
    assert (shop.facts().form, shop.facts(OTHER).form) == ("open", "whole") and shop.codes() == shop.codes(OTHER) == []


def test_a_void_of_a_void_gives_the_open_back_that_went_with_it(shop: Shop) -> None:
    shop.put(*READY)
    shop.enter("char", CASK, "--level", "3")
    shop.run(correct.void, CASK, shop.last()["id"], "--why", "wrong cask")
    of_char = next(
        event["id"]
        for event in shop.data()["events"]
        if event["job"] == "void" and any(one["id"] == event["of"] and one["job"] == "char" for one in shop.data()["events"])
    )
    ran = shop.run(correct.void, CASK, of_char, "--why", "right after all")
    assert ran.code == 0 and "no longer fits" not in ran.err and shop.facts().form == "open" and shop.codes() == []


@pytest.mark.thorough
@pytest.mark.parametrize("how", ["void", "move"])
def test_what_was_replaced_takes_the_open_along_that_was_written_with_the_first(shop: Shop, how: str) -> None:
    shop.put(*READY)
    shop.put(*READY, cask=OTHER)
    shop.enter("char", CASK, "--level", "3")
    assert shop.enter("char", CASK, "--level", "4", "--replaces", shop.last()["id"], "--why", "4 it was", "--yes").code == 0
    second = next(event["id"] for event in shop.data()["events"] if event.get("replaces"))
    if how == "move":
        assert shop.run(correct.move_event, CASK, second, "--to", OTHER, "--why", "misread", "--yes").code == 0
        assert shop.facts().form == "whole" and shop.facts(OTHER).form == "open"
    else:
        assert shop.run(correct.void, CASK, second, "--why", "3 after all", "--yes").code == 0
        assert shop.facts().form == "open" and shop.codes() == []


LEAK = {"date": days_ago(8), "job": "leak", "severity": "run", "at": "joint-1"}
WEEP = {**LEAK, "severity": "weep", "at": "joint-9", "id": "f0000009"}


@pytest.mark.thorough
@pytest.mark.parametrize("job", ["peg", "drive", "hoop"])
def test_what_stops_a_leak_stops_the_one_at_its_place_on_the_cask_it_is_moved_to(shop: Shop, job: str) -> None:
    own: dict[str, dict[str, Any]] = {"peg": {"at": "joint-8", "kind": "wax"}, "drive": {}, "hoop": {"hoops": ["A-1"], "from": "new"}}
    naming = {**own[job], "closes": "f0000009"}
    shop.put(*FILLED, WEEP, {"date": days_ago(7), "job": job, "id": "g0000001", **naming})
    shop.put(*FILLED, LEAK, {**WEEP, "id": "f0000010"}, cask=OTHER)
    assert shop.run(correct.move_event, CASK, "g0000001", "--to", OTHER, "--why", "misread", "--yes").code == 0
    assert shop.last(OTHER)["closes"] == "f0000010"
    assert [leak["at"] for leak in shop.facts(OTHER).open_leaks] == ["joint-1"] and [leak["at"] for leak in shop.facts().open_leaks] == ["joint-9"]


def test_what_is_moved_after_what_it_names_names_the_copy(shop: Shop) -> None:
    shop.put(*FILLED, WEEP, {"date": days_ago(7), "job": "drive", "id": "g0000001", "closes": "f0000009"})
    shop.put(*FILLED, LEAK, cask=OTHER)
    before = shop.path(OTHER).read_bytes()
    ran = shop.run(correct.move_event, CASK, "g0000001", "--to", OTHER, "--why", "misread", "--yes")
    assert ran.code == 2 and f"and {OTHER} has none such: void the entry on {CASK}" in ran.err and shop.path(OTHER).read_bytes() == before
    for one in ("f0000009", "g0000001"):
        assert shop.run(correct.move_event, CASK, one, "--to", OTHER, "--why", "misread", "--yes").code == 0
    assert [leak["at"] for leak in shop.facts(OTHER).open_leaks] == ["joint-1"] and shop.facts().open_leaks == []


def test_an_answer_is_of_the_same_place_on_the_cask_it_is_moved_to(shop: Shop) -> None:
    arrival = {**READY[0], "findings": [{"at": "joint-3", "defect": "open", "severity": 1}]}
    shop.put(arrival, {"date": days_ago(7), "job": "treat", "method": "air", "for": "residue", "id": "g0000001", "answers": ["e0000001/joint-3"]})
    shop.put(arrival | {"id": "e0000007"}, cask=OTHER)
    assert shop.run(correct.move_event, CASK, "g0000001", "--to", OTHER, "--why", "misread", "--yes").code == 0
    assert shop.last(OTHER)["answers"] == ["e0000007/joint-3"] and shop.facts(OTHER).open_defects == []


def test_every_field_that_names_an_entry_of_its_cask_is_known_to_a_move() -> None:
    named = {
        name
        for model in JOBS.values()
        for name, field in model.model_fields.items()
        if any(word in str(field.annotation) + str(field.metadata) for word in ("'event'", "'answer'"))
    }
    assert named - {"id", "replaces"} == {"of", "closes", "answers"}


@pytest.mark.thorough
@pytest.mark.parametrize("newest", [True, False])
def test_undo_takes_out_just_the_lines_of_the_last_run(shop: Shop, newest: bool) -> None:
    git(shop.root.parent, "init", "-q")
    path = shop.put(*READY)
    before = path.read_bytes()
    shop.enter("shave", CASK, "flail", *([] if newest else ["--date", days_ago(10).isoformat()]))
    assert path.read_bytes() != before
    ran = shop.run(correct.undo)
    assert ran.code == 0 and path.read_bytes() == before, ran.err
    assert "no run to take back" in shop.run(correct.undo).err


@pytest.mark.thorough
def test_undo_of_a_new_cask_takes_its_file(shop: Shop) -> None:
    git(shop.root.parent, "init", "-q")
    shop.enter("receive", "TH-009001..009002", "accept", "--type", "barrel", "--yes")
    assert shop.run(correct.undo, "--yes").code == 0
    assert not shop.path("TH-009001").exists() and not shop.path("TH-009002").exists()


@pytest.mark.thorough
def test_undo_and_void_of_many_name_the_first_ten_and_the_count(shop: Shop) -> None:
    git(shop.root.parent, "init", "-q")
    shop.enter("receive", "TH-009001..009012", "accept", "--type", "barrel", "--yes")
    ran = shop.run(correct.undo, "--yes")
    assert len(ran.err.splitlines()) == 11 and ran.err.endswith("… and 2 more, 12 casks in all\n") and ran.out == "12 casks undone\n"
    shop.enter("receive", "TH-009001..009012", "accept", "--type", "barrel", "--sheet", "S", "--yes")
    ran = shop.run(correct.void, "--sheet", "S", "--why", "x", "--dry-run")
    assert ran.err.count(" receive: ") == 10 and "… and 2 more, 12 entries in all" in ran.err


def test_undo_restores_an_empty_list(shop: Shop) -> None:
    git(shop.root.parent, "init", "-q")
    path = shop.put()
    before = path.read_bytes()
    assert shop.enter("receive", CASK, "accept").code == 0
    assert shop.run(correct.undo).code == 0 and path.read_bytes() == before


@pytest.mark.thorough
def test_what_landed_gets_a_void(shop: Shop) -> None:
    root = shop.root.parent
    git(root, "init", "-q")
    shop.put(*READY)
    shop.enter("note", CASK, "--note", "x")
    note = shop.last()["id"]
    git(root, "add", "-A")
    git(root, "commit", "-qm", "x")
    ran = shop.run(correct.undo)
    assert ran.code == 0 and "already landed" in ran.err
    assert (shop.last()["job"], shop.last()["of"], shop.last()["why"]) == ("void", note, "taken back")
    assert not [line for line in git(root, "diff").splitlines() if line.startswith("-") and not line.startswith("---")]


def test_without_git_what_is_on_disk_has_landed(shop: Shop) -> None:
    shop.put(*READY)
    shop.enter("note", CASK, "--note", "x")
    ran = shop.run(correct.undo)
    assert ran.code == 0 and shop.last()["job"] == "void"
    assert "landed" not in ran.err and ran.err.startswith("no git here tells who has it already: not taken out, but put out of force\n"), ran.err


def test_undo_is_refused_where_the_file_went_on(shop: Shop) -> None:
    git(shop.root.parent, "init", "-q")
    path = shop.put(*READY)
    shop.enter("note", CASK, "--note", "x")
    path.write_text(path.read_text().replace("note: x", "note: y\n    sheet: s").replace("id: " + shop.last()["id"], "id: gggggggg"), encoding="utf-8")
    assert shop.run(correct.undo).code == 2


def test_stamp_of_a_file_that_cannot_be_read_says_what_is_wrong_with_it(shop: Shop) -> None:
    path = shop.put(*(STATES["filled"] or []))
    path.write_text(path.read_text() + "# " + "x" * 1_000_000 + "\n")
    done = caskbook("stamp", str(path))
    assert done.returncode != 0 and "expected at most 1000000" in done.stderr and "no list" not in done.stderr


def test_stamp_gives_ids_and_touches_nothing_else(shop: Shop) -> None:
    path = shop.put(*READY)
    hand = "  # by hand\n  - date: 2026-01-05   # Monday\n    job: note\n    note: one\n  - {date: 2026-01-05, job: note, note: two}\n"
    path.write_text(path.read_text() + hand, encoding="utf-8")
    before = path.read_text().splitlines()
    assert correct.stamp(["--dry-run", str(path)]) == 0 and path.read_text().splitlines() == before
    assert correct.stamp([str(path)]) == 0
    first, second = shop.data()["events"][-2:]
    assert first["id"] < second["id"] and first["note"] == "one"
    after = path.read_text().splitlines()
    assert [line for line in before if "two}" not in line] == [line for line in after if "two}" not in line and f"id: {first['id']}" not in line]
    assert correct.stamp([str(path)]) == 0 and path.read_text().splitlines() == after


@pytest.mark.parametrize("quoted", [(True, False), (False, True), (True, True)])
def test_stamp_takes_a_day_in_quotes_as_that_day(shop: Shop, quoted: tuple[bool, bool]) -> None:
    path = shop.put(*READY)
    one, two = ('"2026-01-05"' if each else "2026-01-05" for each in quoted)
    landed = (
        f"  - {{date: {one}, job: note, note: one}}\n  - {{date: {two}, job: note, note: two, id: g0000002}}\n  - {{date: {one}, job: note, note: three}}\n"
    )
    path.write_text(path.read_text() + landed, encoding="utf-8")
    assert correct.stamp([str(path)]) == 0
    ids = [event["id"] for event in shop.data()["events"][-3:]]
    assert ids == sorted(ids) and ids[1] == "g0000002"


@pytest.mark.parametrize("command", ["void", "move_event", "undo", "stamp"])
def test_help(shop: Shop, command: str) -> None:
    ran = shop.run(lambda _: getattr(correct, command)(["--help"]))
    assert ran.code == 0 and command.replace("_", "-") in ran.out


@pytest.mark.thorough
@pytest.mark.parametrize("by_hand", ["    minutes: 5\n", "    note: seen twice\n", "    # twice\n", "  # above"])
def test_undo_leaves_what_somebody_wrote_into_the_entry(shop: Shop, by_hand: str) -> None:
    git(shop.root.parent, "init", "-q")
    shop.put(*READY)
    shop.enter("shave", CASK, "flail")
    text = shop.path().read_text()
    if by_hand == "  # above":
        head, dash, last = text.rpartition("  - id:")
        text = f"{head}  # above\n{dash}{last}"
    else:
        text += by_hand
    shop.path().write_text(text)
    ran = shop.run(correct.undo, "--yes")
    assert ran.code != 0 and shop.path().read_text() == text
    assert len(ran.err.splitlines()) == 1 and "changed by hand" in ran.err and "caskbook void TH-" in ran.err


def test_undo_leaves_a_new_file_that_somebody_wrote_into(shop: Shop) -> None:
    git(shop.root.parent, "init", "-q")
    shop.enter("receive", "TH-004777", "accept", "--type", "barrel", "--yes")
    path = shop.path("TH-004777")
    path.write_text("# by hand\n" + path.read_text())
    assert shop.run(correct.undo, "--yes").code != 0 and path.exists()


def test_a_look_at_one_leak_is_a_look_at_its_place_on_the_right_cask(shop: Shop) -> None:
    """Without a place it would mean every open leak there."""
    leaks = [{"date": days_ago(9), "job": "leak", "at": at, "severity": "run", "id": f"gke0000{n}"} for n, at in enumerate(("joint-9", "joint-3"), 1)]
    shop.put(*FILLED, leaks[0], {"date": days_ago(5), "job": "look", "of": "gke00001", "seen": "dry", "id": "gkk00001"})
    shop.put(*FILLED, *leaks, cask=OTHER)
    ran = shop.run(correct.move_event, CASK, "gkk00001", "--to", OTHER, "--why", "wrong cask", "--yes")
    assert ran.code == 0, ran.err
    assert shop.last(OTHER)["at"] == "joint-9" and [leak["at"] for leak in shop.facts(OTHER).open_leaks] == ["joint-3"]
    assert [leak["at"] for leak in shop.facts().open_leaks] == ["joint-9"]


@pytest.mark.parametrize("job", ["look", "drive"])
def test_what_names_an_entry_that_goes_to_another_cask_is_told(shop: Shop, job: str) -> None:
    leak = {"date": days_ago(6), "job": "leak", "at": "joint-4", "severity": "weep", "id": "gqw00001"}
    look: dict[str, Any] = {"seen": "dry", "closed_as": "took-up", "of": "gqw00001"} if job == "look" else {"answers": ["gqw00001"]}
    shop.put(*FILLED, leak, {"date": days_ago(5), "job": job, "id": "gqw00002", **look})
    shop.put(*FILLED, cask=OTHER)
    told = f"{CASK}  the {job} of {days_ago(5)} (gqw00002) names gqw00001, which counts here no more"
    ran = shop.run(correct.move_event, CASK, "gqw00001", "--to", OTHER, "--why", "misread", "--dry-run")
    assert ran.code == 0 and told in ran.err, ran.err
    assert told in shop.run(correct.void, CASK, "gqw00001", "--why", "no leak", "--dry-run").err
    again = shop.enter("leak", CASK, "joint-5", "weep", "--replaces", "gqw00001", "--why", "misread", "--date", days_ago(6).isoformat(), "--dry-run")
    assert again.code == 0 and "counts here no more" not in again.err, again.err


def test_a_grade_that_names_a_fill_is_not_moved_to_another_one(shop: Shop) -> None:
    fill = FILLED[2] | {"id": "gf000001"}
    shop.put(*FILLED[:2], fill, {"date": days_ago(5), "job": "grade", "of": "gf000001", "grade": "A", "id": "ggrade01"})
    shop.put(*FILLED, cask=OTHER)
    before = shop.path(OTHER).read_bytes()
    ran = shop.run(correct.move_event, CASK, "ggrade01", "--to", OTHER, "--why", "wrong cask", "--yes")
    assert ran.code == 2 and "enter it anew" in ran.err and shop.path(OTHER).read_bytes() == before, ran.err


@pytest.mark.thorough
def test_a_job_that_is_moved_takes_its_opening_out(shop: Shop) -> None:
    for cask in (CASK, OTHER):
        shop.put(*READY, cask=cask)
    shop.enter("char", CASK, "--level", "3", "--date", days_ago(2).isoformat(), "--yes")
    ran = shop.run(correct.move_event, CASK, shop.last()["id"], "--to", OTHER, "--why", "wrong cask", "--yes")
    assert ran.code == 0, ran.err
    assert (shop.facts().form, shop.facts().state, shop.facts(OTHER).form, shop.facts(OTHER).char_count) == ("whole", "ready", "open", 2)
    assert shop.codes() == shop.codes(OTHER) == []


def test_an_opening_that_another_job_needs_stays(shop: Shop) -> None:
    for cask in (CASK, OTHER):
        shop.put(*READY, cask=cask)
    shop.enter("shave+char", CASK, "flail", "--level", "3", "--date", days_ago(2).isoformat(), "--yes")
    shave = next(event["id"] for event in shop.data()["events"] if event["job"] == "shave")
    assert shop.run(correct.move_event, CASK, shave, "--to", OTHER, "--why", "wrong cask", "--yes").code == 0
    assert shop.facts().form == "open" and shop.codes() == []


def test_a_move_is_put_out_with_its_copy(shop: Shop) -> None:
    """Else the job would stand in both casks."""
    for cask in (CASK, OTHER):
        shop.put(*READY, cask=cask)
    shop.enter("test", CASK, "pass", "--psi", "11", "--date", days_ago(2).isoformat(), "--yes")
    assert shop.run(correct.move_event, CASK, shop.last()["id"], "--to", OTHER, "--why", "wrong cask", "--yes").code == 0
    ran = shop.run(correct.void, CASK, shop.last()["id"], "--why", "right cask after all", "--yes")
    assert ran.code == 0, ran.err
    assert shop.facts().last_test is not None and shop.facts(OTHER).last_test is None and shop.codes() == shop.codes(OTHER) == []


@pytest.mark.parametrize(("wrong", "right", "field"), [
    ({"job": "examine", "verdict": "repair", "findings": [{"at": "stave-1", "defect": "cracked", "severity": 2}]}, ("examine", "sound"), "findings"),
    ({"job": "nose", "verdict": "fault", "faults": ["musty"]}, ("nose", "clean"), "faults"),
    ({"job": "test", "psi": 11, "result": "fail", "leaks": [{"at": "joint-1"}]}, ("test", "pass"), "leaks"),
])  # fmt: skip
def test_a_verdict_put_right_takes_nothing_over_that_it_denies(shop: Shop, wrong: dict[str, object], right: tuple[str, str], field: str) -> None:
    shop.put(*READY, {**wrong, "date": days_ago(5), "id": "gwr00001"})
    ran = shop.enter(right[0], CASK, right[1], "--replaces", "gwr00001", "--why", "misread", "--yes")
    assert ran.code == 0 and field not in shop.last() and shop.last()["replaces"] == "gwr00001", ran.err
    assert shop.last().get("psi") == wrong.get("psi")


def test_undo_takes_no_older_run_for_one_of_which_no_note_could_be_made(shop: Shop) -> None:
    shop.put(*READY)
    assert shop.enter("note", CASK, "--note", "first", "--by", "ab", "--yes").code == 0
    (shop.root / ".caskbook" / ".last-run.json.tmp").mkdir()
    assert shop.enter("note", CASK, "--note", "second", "--by", "ab", "--yes").code == 0
    before = shop.path().read_bytes()
    ran = shop.run(correct.undo)
    assert ran.code == 2 and "no run to take back" in ran.err and shop.path().read_bytes() == before, ran


@pytest.mark.thorough
@pytest.mark.parametrize("times", [1, 2])
def test_a_void_of_a_move_puts_out_what_the_copy_was_replaced_by_and_the_copy(shop: Shop, times: int) -> None:
    """A void of the replacement alone would give the copy back, beside the entry that stands again where it came from."""
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass", "id": "gtest000"})
    shop.put(*READY, cask="TH-004218")
    assert shop.run(correct.move_event, CASK, "gtest000", "--to", "TH-004218", "--why", "misread", "--yes").code == 0
    moved, copy = shop.last()["id"], next(event["id"] for event in shop.data("TH-004218")["events"] if "moved_from" in event)
    for n in range(times):
        ran = shop.enter("test", "TH-004218", "pass", "--psi", f"{10 - n}", "--replaces", copy, "--why", "misread", "--by", "ab", "--yes")
        assert ran.code == 0, ran.err
        copy = next(event["id"] for event in shop.data("TH-004218")["events"] if event.get("replaces") == copy)
    ran = shop.run(correct.void, CASK, moved, "--why", "it was this one", "--yes")
    assert ran.code == 0 and shop.facts().last_test is not None, ran.err
    out = {event["of"] for event in shop.data("TH-004218")["events"] if event["job"] == "void"}
    assert out == {event["id"] for event in shop.data("TH-004218")["events"] if event["date"] == days_ago(5) and event["job"] == "test"}
    assert not [code for cask in (CASK, "TH-004218") for code in shop.codes(cask) if "copy" in code or "original" in code]


def test_what_was_replaced_twice_over_is_not_replaced_a_second_time(shop: Shop) -> None:
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass", "id": "g0000001"})
    words = ("--why", "misread", "--date", days_ago(5).isoformat(), "--yes")
    first = "g0000001"
    for psi in ("10", "9"):
        assert shop.enter("test", CASK, "pass", "--psi", psi, "--replaces", first, *words).code == 0
        first = max(str(event["id"]) for event in shop.data()["events"] if event.get("replaces"))
    before = shop.path().read_bytes()
    ran = shop.enter("test", CASK, "pass", "--psi", "8", "--replaces", "g0000001", *words)
    assert ran.code == 2 and f"g0000001 was already replaced by {first}: replace that one" in ran.err and shop.path().read_bytes() == before


@pytest.mark.parametrize("wrong", [0, 1])
def test_either_of_two_replacements_of_one_entry_can_be_voided(shop: Shop, wrong: int) -> None:
    test = {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass"}
    pair = [{**test, "psi": 9 + n, "id": f"g000000{n + 2}", "replaces": "g0000001", "why": "misread"} for n in range(2)]
    shop.put(*READY, {**test, "id": "g0000001"}, *pair)
    assert shop.codes() == ["replaced-twice"]
    ran = shop.run(correct.void, CASK, f"g000000{wrong + 2}", "--why", "the other is right", "--yes")
    last = shop.facts().last_test
    assert ran.code == 0 and shop.codes() == [] and last is not None and last["psi"] == 10 - wrong, ran.err


@pytest.mark.thorough
@pytest.mark.parametrize("way", ["typed", "sheet"])
@pytest.mark.parametrize("out", ["void", "moved"])
def test_what_is_out_of_force_is_not_replaced(shop: Shop, out: str, way: str, tmp_path: Path) -> None:
    moved_test(shop) if out == "moved" else shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass"})
    assert out == "moved" or shop.run(correct.void, CASK, "e0000003", "--why", "not done", "--yes").code == 0
    before, day = shop.path().read_bytes(), days_ago(5).isoformat()
    sheet = tmp_path / "sheet.csv"
    sheet.write_text(f"cask,job,result,psi,date,replaces,why\n{CASK},test,pass,10,{day},e0000003,misread\n", encoding="utf-8")
    words = ("test", CASK, "pass", "--psi", "10", "--replaces", "e0000003", "--why", "misread") if way == "typed" else ("sheet", str(sheet))
    ran = shop.enter(*words, "--by", "ab", "--yes")
    said = f"was moved to {OTHER} by" if out == "moved" else "enter the right one without `replaces`, or void that first"
    assert ran.code in (1, 2) and said in ran.err and shop.path().read_bytes() == before, ran.err


@pytest.mark.thorough
def test_what_stands_again_by_a_void_is_said(shop: Shop) -> None:
    """A void of a replacement gives the entry before it back, one of a void what that had put out; by every way of voiding."""
    shop.put(*READY, {"date": days_ago(5), "job": "test", "psi": 11, "result": "pass", "id": "gtest000"})
    assert shop.enter("test", CASK, "--psi", "10", "--replaces", "gtest000", "--why", "misread").code == 0
    second = shop.last()["id"]
    said = f"{CASK}  stands again: {days_ago(5)} test gtest000: pass, 11 psi"
    ran = shop.run(correct.void, CASK, second, "--why", "no")
    assert ran.code == 0 and said in ran.err, ran.err
    ran = shop.run(correct.void, CASK, shop.last()["id"], "--why", "yes")
    assert ran.code == 0 and f"stands again: {days_ago(5)} test {second}: pass, 10 psi" in ran.err and said not in ran.err, ran.err
    assert said in shop.enter("void", CASK, "--of", second, "--why", "no").err
    assert "stands again" not in shop.run(correct.void, CASK, "gtest000", "--why", "none was made").err


def test_where_the_lock_cannot_be_had_it_is_said_that_nothing_is_written(shop: Shop, tmp_path: Path) -> None:
    shop.put(*READY, {"date": days_ago(5), "job": "note", "note": "x", "id": "gnt00001"})
    (tmp_path / "elsewhere").mkdir()
    (shop.root / ".caskbook").symlink_to(tmp_path / "elsewhere")
    kept = shop.path().read_bytes()
    for words in (("enter", "note", CASK, "--note", "y"), ("void", CASK, "gnt00001", "--why", "x")):
        ran = caskbook(*words, "--by", "ab", "--records", str(shop.root))
        assert ran.returncode == 2 and ran.stderr.rstrip().endswith("a symbolic link, which a ledger may not hold; nothing written"), ran.stderr
    assert shop.path().read_bytes() == kept and not list((tmp_path / "elsewhere").iterdir())
