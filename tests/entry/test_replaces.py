"""What an entry is put in the place of is named before and after, with each field that changes, and the reason of putting it right is not that of the work."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest
from cli.terminal import Terminal
from commands import caskbook
from hypothesis import given, settings
from hypothesis import strategies as st

from caskbook.cli.commands.bench import run as bench
from caskbook.cli.commands.redate import redate
from caskbook.entry.entry import own_note
from caskbook.model.jobs import JOBS, own_why
from entry.shop import CASK, Ran, Shop, days_ago
from entry.states import STATES
from entry.test_every_job import CASES, OTHER, arranged, typed

FILLED_ON, TODAY = days_ago(10), days_ago(0)
OWN_WHY = [case for case in CASES if case.good and own_why(case.job) and case.job != "void"]  # a void is voided
FILL, WORM = "190.0 L at 63.5 %, malt", ("--why", "worm in the head", "--note", "left of the mark")


def entry(shop: Shop, job: str, cask: str = CASK) -> dict[str, Any]:
    """The last entry of a job in the file."""
    found = [event for event in shop.data(cask)["events"] if event["job"] == job]
    assert found, job
    return dict(max(found, key=lambda event: (event["id"] if not event.get("replaces") else "~", event["id"])))


def ident(shop: Shop, job: str, cask: str = CASK) -> str:
    return str(entry(shop, job, cask)["id"])


def enter(shop: Shop, *words: str, code: int = 0) -> Ran:
    ran = shop.enter(*words, *(() if "--by" in words else ("--by", "ab")))
    assert ran.code == code, (words, ran.out, ran.err)
    return ran


@pytest.fixture
def full(shop: Shop) -> Shop:
    shop.put(*(STATES["filled"] or []))
    return shop


@pytest.fixture
def held(full: Shop) -> Shop:
    enter(full, "hold", CASK, *WORM, "--date", str(days_ago(2)), "--yes")
    return full


# What goes is named, as a void names it.


def test_what_is_replaced_is_named_with_each_field_that_changes(full: Shop) -> None:
    ran = enter(full, "fill", CASK, "--litres", "191", "--replaces", ident(full, "fill"), "--why", "misread", "--yes")
    assert f"{CASK}  replaces {FILLED_ON} fill: {FILL}" in ran.err
    assert "litres filled: 190 → 191" in ran.err and "strength" not in ran.err and "temperature" not in ran.err
    assert f"in place of {FILLED_ON} fill: {FILL}" in ran.out.splitlines()[0]


def test_a_dry_run_names_it_too(full: Shop) -> None:
    ran = enter(full, "fill", CASK, "--litres", "191", "--replaces", ident(full, "fill"), "--why", "misread", "--dry-run")
    assert f"{CASK}  replaces {FILLED_ON} fill: {FILL}" in ran.err and "190 → 191" in ran.err


def test_an_entry_of_another_job_is_asked_about(full: Shop) -> None:
    words = ("note", CASK, "--note", "head A loose", "--date", str(FILLED_ON), "--replaces", ident(full, "fill"), "--why", "misread")
    before = full.path().read_bytes()
    ran = enter(full, *words, code=1)
    assert full.path().read_bytes() == before and "add --yes" in ran.err
    assert f"{CASK}  replaces {FILLED_ON} fill: {FILL}" in ran.err and "dropped: spirit malt, litres filled 190" in ran.err, ran.err
    assert f"{CASK}  a note in place of a fill: that fill counts no more" in ran.err
    assert f"{CASK}  by this full of malt → ready" in ran.err
    assert "in place of" in enter(full, *words, "--yes").out


def test_a_replacement_that_changes_nothing_of_the_cask_is_not_asked_about(full: Shop) -> None:
    assert "by this" not in enter(full, "fill", CASK, "--litres", "191", "--replaces", ident(full, "fill"), "--why", "misread").err


def test_the_same_job_that_turns_the_cask_is_asked_about(shop: Shop) -> None:
    shop.put({"date": days_ago(9), "job": "receive", "verdict": "accept"}, {"date": days_ago(8), "job": "dispose", "how": "sold"})
    words = ("note", CASK, "--note", "x", "--date", str(days_ago(8)), "--replaces", ident(shop, "dispose"), "--why", "never sold")
    assert f"{CASK}  by this gone → unexamined" in enter(shop, *words, code=1).err
    shop.put(*(STATES["filled"] or []))
    shop.put(*(STATES["ready"] or []), cask=OTHER)
    enter(shop, "rack", CASK, "--to", OTHER, "--litres", "50", "--abv", "60", "--at-20", "--left", "140", "--why", "leak", "--yes")
    ran = enter(shop, "rack", CASK, "--to", OTHER, "--left", "0", "--replaces", ident(shop, "rack-out"), "--note", "none was left", code=1)
    assert f"{CASK}  by this full of malt → emptied" in ran.err and f"{OTHER}  by this" not in ran.err, ran.err


def test_a_joined_cask_that_is_two_again(shop: Shop) -> None:
    shop.put(*(STATES["ready"] or []))
    shop.put(*(STATES["ready"] or []), cask=OTHER)
    enter(shop, "same-as", CASK, "--of", OTHER, "--why", "two stencils", "--yes")
    words = ("examine", CASK, "sound", "--replaces", ident(shop, "same-as"), "--why", "misread")
    ran = enter(shop, *words, code=1)
    assert f"replaces {TODAY} same-as: {OTHER}: two stencils" in ran.err
    assert f"{CASK}  no more one cask with {OTHER}: two casks again" in ran.err, ran.err


def test_what_names_an_entry_in_whose_place_another_job_comes(shop: Shop) -> None:
    shop.put(*(STATES["leaking"] or []), {"date": days_ago(9), "job": "look", "seen": "dry", "of": "e0000004"})
    ran = enter(shop, "note", CASK, "--note", "x", "--date", str(FILLED_ON), "--replaces", "e0000004", "--why", "no leak", "--yes")
    assert "names e0000004, which counts here no more" in ran.err, ran.err


def test_many_casks_are_named_up_to_a_number(shop: Shop) -> None:
    shop.put(*(STATES["open"] or []))
    shop.put(*(STATES["open"] or []), cask=OTHER)
    enter(shop, "swap-heads", CASK, "--with", OTHER, "--heads", "A", "--why", "found so", "--yes")
    ran = enter(shop, "swap-heads", CASK, "--with", OTHER, "--heads", "B", "--replaces", ident(shop, "swap-heads"), "--note", "B it was", "--yes")
    for cask in (CASK, OTHER):
        assert f"{cask}  replaces {TODAY} swap-heads: " in ran.err, ran.err
    assert "which heads: A → B" in ran.err


def test_a_scan_and_the_bench_name_it_too(full: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    import io
    import sys

    line = f"fill 4217 --litres 191 --replaces {ident(full, 'fill')} --why misread --date {FILLED_ON}\n"
    monkeypatch.setattr(sys, "stdin", io.StringIO("shift ab\n" + line))
    ran = full.run(bench)
    assert "WRITTEN" in ran.out and f"replaces {FILLED_ON} fill: {FILL}" in ran.out + ran.err, ran.out + ran.err
    assert "190 → 191" in ran.out + ran.err
    again = max((event for event in full.data()["events"] if event["job"] == "fill"), key=lambda event: len(event["id"]))["id"]
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"{CASK}\n"))
    ran = enter(full, "scan", "fill", "--litres", "192", "--replaces", again, "--why", "misread", "--date", str(FILLED_ON))
    assert "191 → 192" in ran.out + ran.err, ran.out + ran.err


def sheet(shop: Shop, *rows: dict[str, str], name: str = "put-right.csv") -> str:
    path = shop.root.parent / name
    keys = list(dict.fromkeys(key for row in rows for key in row))
    with path.open("w", encoding="utf-8", newline="") as out:
        made = csv.DictWriter(out, keys)
        made.writeheader()
        made.writerows(rows)
    return str(path)


def test_a_sheet_with_a_column_replaces(held: Shop) -> None:
    row = {"job": "note", "cask": CASK, "date": str(FILLED_ON), "note": "head loose", "replaces": ident(held, "fill"), "why": "misread"}
    before = held.path().read_bytes()
    ran = enter(held, "sheet", sheet(held, row), code=1)
    assert held.path().read_bytes() == before
    assert f"replaces {FILLED_ON} fill: {FILL}" in ran.err and "a note in place of a fill" in ran.err, ran.err
    row = {"job": "hold", "cask": CASK, "date": str(days_ago(1)), "replaces": ident(held, "hold")}
    assert "needs note" in enter(held, "sheet", sheet(held, row), code=1).err
    enter(held, "sheet", sheet(held, row | {"note": "wrong day"}), "--yes")
    new = entry(held, "hold")
    assert (new["why"], new["note"]) == ("worm in the head", "left of the mark; wrong day")
    assert "nothing to write" in enter(held, "sheet", sheet(held, row | {"note": "wrong day"}), "--yes").err


# The reason of the work stays; that of putting right goes into the note.


@pytest.mark.parametrize(
    "case",
    [case if case.job in ("hold", "empty", "rack-out") else pytest.param(case, marks=pytest.mark.thorough) for case in OWN_WHY],
    ids=lambda case: case.job,
)
def test_every_job_with_a_why_of_its_own_keeps_it(shop: Shop, case: Any) -> None:
    words = typed(arranged(shop, case, case.good[0]))
    assert shop.enter(*words, "--note", "left of the mark", "--by", "ab").code == 0
    old = entry(shop, case.job)
    naming = {"rack-out": ("--to", OTHER), "swap-heads": ("--with", OTHER)}.get(case.job, ())
    job = "rack" if case.job == "rack-out" else case.job
    ran = enter(shop, job, CASK, *naming, "--by", "kd", "--replaces", str(old["id"]), "--note", "wrong hand", "--yes")
    new = entry(shop, case.job)
    aside = ("id", "replaces", "by", "note", "sheet")
    assert {key: value for key, value in new.items() if key not in aside} == {key: value for key, value in old.items() if key not in aside}
    assert (new["by"], new["note"], new["replaces"]) == ("kd", "left of the mark; wrong hand", old["id"])
    assert f"done by: {old['by']} → kd" in ran.err and "note: left of the mark → left of the mark; wrong hand" in ran.err, ran.err
    assert "the reason: " not in ran.err and "why it is empty: " not in ran.err


def test_the_jobs_with_a_why_of_their_own() -> None:
    assert {case.job for case in OWN_WHY} | {"moved", "void"} == {job for job in JOBS if own_why(job)}
    assert own_why("hold") and own_why("empty") and not own_why("test") and not own_why("rack-in")


def test_the_reason_of_putting_right_is_wanted_in_the_note(held: Shop) -> None:
    before = held.path().read_bytes()
    words = ("hold", CASK, "--replaces", ident(held, "hold"), "--date", str(days_ago(1)))
    for more in ((), ("--why", "wrong day"), ("--why", "wrong day", "--yes")):
        ran = enter(held, *words, *more, code=2)
        assert "hold needs --note" in ran.err and "why it is put right" in ran.err and held.path().read_bytes() == before, ran.err
    enter(held, *words, "--note", "wrong day", "--yes")
    assert entry(held, "hold")["why"] == "worm in the head"
    where = ("--records", str(held.root))
    assert "(worm in the head)" in caskbook("due", "hold", *where).stdout
    shown = caskbook("show", CASK, "--all", *where).stdout
    assert "HELD since" in shown and "replaced: wrong day" in shown and f"in place of hold of {days_ago(2)}: wrong day" in " ".join(shown.split()), shown


def test_another_reason_of_the_work_is_told_and_asked(held: Shop) -> None:
    words = ("hold", CASK, "--replaces", ident(held, "hold"), "--why", "wrong day", "--note", "misheard")
    ran = enter(held, *words, code=1)
    assert f"{CASK}  the hold itself gets another why: worm in the head → wrong day; why it is put right goes into --note" in ran.err, ran.err
    enter(held, *words, "--yes")
    assert (entry(held, "hold")["why"], entry(held, "hold")["note"]) == ("wrong day", "left of the mark; misheard")


def emptied(full: Shop, *words: str) -> str:
    enter(full, "empty", CASK, "--litres", "20", "--abv", "60", "--temp", "12", *words, "--date", str(days_ago(1)), "--yes")
    return ident(full, "empty")


def test_an_emptying_keeps_its_word_and_its_list(full: Shop) -> None:
    old, before = emptied(full, "--why", "burst"), full.path().read_bytes()
    ran = enter(full, "empty", CASK, "--litres", "25", "--replaces", old, "--why", "misread the meter", "--note", "y", "--yes", code=2)
    assert "drawn, leaked-out, burst" in ran.err and full.path().read_bytes() == before, ran.err
    ran = enter(full, "empty", CASK, "--litres", "25", "--replaces", old, "--note", "misread the meter", "--yes")
    new = entry(full, "empty")
    assert (new["why"], new["note"], new["litres"]) == ("burst", "misread the meter", 25) and "litres that came out: 20 → 25" in ran.err
    assert full.codes() == []
    assert "burst" in ran.out


def test_a_loss_stays_unaccounted_for_whatever_putting_it_right_says(full: Shop) -> None:
    old = emptied(full, "--anyway", "--why", "cannot be told")
    assert full.codes() == ["emptied-unaccounted"]
    ran = enter(full, "empty", CASK, "--abv", "59", "--replaces", old, "--note", "misread strength", "--yes", code=1)
    assert "no `why`" in ran.err
    enter(full, "empty", CASK, "--abv", "59", "--replaces", old, "--anyway", "--why", "misread strength", "--yes")
    assert "why" not in entry(full, "empty") and full.codes() == ["emptied-unaccounted"]
    assert entry(full, "empty")["note"] == "cannot be told; misread strength"


def test_a_free_reason_of_an_old_book_accounts_for_nothing(full: Shop) -> None:
    gone = {"date": days_ago(1), "job": "empty", "litres": 20, "abv": 60, "at_20": True}
    full.put(*(STATES["filled"] or []), {**gone, "id": "e1000000"}, {**gone, "id": "e10000001c", "replaces": "e1000000", "why": "misread the meter"})
    assert full.codes() == ["emptied-unaccounted"]
    ran = enter(full, "empty", CASK, "--litres", "170", "--replaces", "e10000001c", "--note", "all of it", "--yes")
    assert "dropped: why it is empty misread the meter" in ran.err and "why" not in entry(full, "empty") and full.codes() == []


def test_another_day_accounts_for_no_loss_either(full: Shop) -> None:
    old = emptied(full, "--anyway", "--why", "cannot be told")
    assert full.run(redate, CASK, old, "--date", str(TODAY), "--yes", "--anyway", "--why", f"wrong day: {days_ago(1)}").code == 0
    new = entry(full, "empty")
    assert "why" not in new and new["note"] == f"cannot be told; wrong day: {days_ago(1)}" and full.codes() == ["emptied-unaccounted"]


def test_a_changed_row_of_a_sheet_accounts_for_no_loss(full: Shop) -> None:
    row = {"job": "empty", "cask": CASK, "date": str(days_ago(1)), "litres": "180", "abv": "60", "temp": "12"}
    enter(full, "sheet", sheet(full, row), "--yes")
    enter(full, "sheet", sheet(full, row | {"litres": "20"}), "--yes", "--anyway", "--why", "misread")
    new = entry(full, "empty")
    assert "why" not in new and "misread" in new["note"] and full.codes() == ["emptied-unaccounted"]
    assert "nothing to write" in enter(full, "sheet", sheet(full, row | {"litres": "20"}), "--yes").err


def test_a_racking_keeps_its_why_and_note(full: Shop) -> None:
    full.put(*(STATES["ready"] or []), cask=OTHER)
    enter(full, "rack", CASK, "--to", OTHER, "--litres", "185", "--abv", "60", "--at-20", "--left", "0", "--why", "marry", "--note", "slow", "--yes")
    old = ident(full, "rack-out")
    enter(full, "rack", CASK, "--to", OTHER, "--litres", "184", "--replaces", old, "--yes", code=2)
    ran = enter(full, "rack", CASK, "--to", OTHER, "--litres", "184", "--replaces", old, "--note", "misread", "--yes")
    out, into = entry(full, "rack-out"), entry(full, "rack-in", OTHER)
    assert (out["why"], out["note"]) == ("marry", "slow; misread") and (into["why"], into["note"]) == ("misread", "slow")
    assert f"{CASK}  replaces {TODAY} rack-out: 185 L into {OTHER}: marry" in ran.err and f"{OTHER}  replaces {TODAY} rack-in: " in ran.err
    assert not full.codes() and not full.codes(OTHER)


def test_review_tells_the_reason_of_putting_right(held: Shop, tmp_path: Path) -> None:
    from caskbook.model.standing import reason_put_right

    enter(held, "hold", CASK, "--replaces", ident(held, "hold"), "--date", str(days_ago(1)), "--note", "wrong day", "--yes")
    events = {event.id: event for event in held.cask().events}
    new = next(event for event in events.values() if event.replaces)
    assert reason_put_right(new, events[str(new.replaces)]) == "wrong day"


@given(st.sampled_from(["", "left of the mark", "a; b"]), st.sampled_from(["wrong day", "left of the mark", "left of the mark; wrong day", "left"]))
@settings(max_examples=20)
def test_a_note_loses_nothing(old: str, new: str) -> None:
    joined = own_note(old, new)
    assert joined.startswith(old) and joined.endswith(new) and own_note(joined, new) in (joined, f"{joined}; {new}")


@pytest.mark.thorough
def test_at_a_terminal_it_is_told_and_asked(held: Shop) -> None:
    at = Terminal(held, "enter", "hold", CASK, "--replaces", ident(held, "hold"), "--date", str(days_ago(1)), "--why", "wrong day", "--by", "ab")
    at.wait("why it is put right: ")
    at.hand("misheard\r")
    shown = at.wait("Is that right? [y/N]")
    assert f"replaces {days_ago(2)} hold: worm in the head" in shown and "the reason: worm in the head → wrong day" in shown
    at.hand("n\r")
    assert at.wait("nothing written") and not any(event.get("replaces") for event in held.data()["events"])
    at.child.close(force=True)
    at = Terminal(held, "enter", "note", CASK, "--note", "loose", "--replaces", ident(held, "fill"), "--date", str(FILLED_ON), "--why", "misread", "--by", "ab")
    shown = at.wait("Is that right? [y/N]")
    assert f"replaces {FILLED_ON} fill: {FILL}" in shown and "full of malt, " not in shown.rpartition("by this")[2] and "by this full of malt → held" in shown
    at.hand("y\r")
    at.wait("[Y/n]")
    at.hand("y\r")
    at.wait("in place of")
    at.child.close(force=True)


@pytest.mark.thorough
def test_through_the_installed_command(held: Shop) -> None:
    """What the two readers of the book typed, at the command's own door: nothing is written without --yes, and all is told."""
    where = ("--by", "ab", "--records", str(held.root))
    before = held.path().read_bytes()
    ran = caskbook("enter", "note", CASK, "--note", "loose", "--date", str(FILLED_ON), "--replaces", ident(held, "fill"), "--why", "misread", *where)
    assert ran.returncode == 1 and f"replaces {FILLED_ON} fill: {FILL}" in ran.stderr and held.path().read_bytes() == before
    ran = caskbook("enter", "hold", CASK, "--replaces", ident(held, "hold"), "--why", "wrong day", "--date", str(TODAY), "--yes", *where)
    assert ran.returncode == 2 and "hold needs --note" in ran.stderr and held.path().read_bytes() == before


@pytest.mark.parametrize("job", ["examine", "empty"])
def test_a_copy_on_the_right_cask_does_not_bear_why_an_entry_was_put_right(shop: Shop, job: str) -> None:
    """There is nothing that it stands in the place of there, so that the reason would pass for that of the hold, or of the loss."""
    from caskbook.cli.commands.correct import move_event

    what = {"verdict": "hold"} if job == "examine" else {"litres": 20, "abv": 60, "at_20": True}
    events = STATES["ready" if job == "examine" else "filled"] or []
    shop.put(*events, cask=OTHER)
    old = {"date": days_ago(1), "job": job, **what}
    shop.put(*events, {**old, "id": "e1000000"}, {**old, "id": "e10000001c", "replaces": "e1000000", "why": "misread"})
    assert shop.run(move_event, CASK, "e10000001c", "--to", OTHER, "--why", "wrong cask", "--by", "ab", "--yes", "--anyway").code == 0
    assert "why" not in entry(shop, job, OTHER) and "note" not in entry(shop, job, OTHER)
    if job == "examine":
        assert "misread" not in caskbook("due", "hold", "--records", str(shop.root)).stdout
    else:
        assert shop.codes(OTHER) == ["emptied-unaccounted"]


def test_a_copy_keeps_the_reason_of_the_work(held: Shop) -> None:
    from caskbook.cli.commands.correct import move_event

    held.put(*(STATES["ready"] or []), cask=OTHER)
    enter(held, "hold", CASK, "--replaces", ident(held, "hold"), "--by", "kd", "--note", "wrong hand", "--yes")
    assert held.run(move_event, CASK, ident(held, "hold"), "--to", OTHER, "--why", "wrong cask", "--by", "ab", "--yes").code == 0
    assert entry(held, "hold", OTHER)["why"] == "worm in the head"


def test_a_day_put_right_twice_keeps_the_reason_of_the_work(shop: Shop) -> None:
    shop.put(*(STATES["ready"] or []), {"date": days_ago(3), "job": "examine", "verdict": "hold", "why": "cracked stave"})
    for back in (2, 1):
        last = shop.data()["events"][-1]["id"]
        assert shop.run(redate, CASK, last, "--date", str(days_ago(back)), "--yes").code == 0
    new = shop.last()
    assert new["why"] == "cracked stave" and new["note"] == f"wrong day: {days_ago(3)}; wrong day: {days_ago(2)}"
    assert "(cracked stave)" in caskbook("due", "hold", "--records", str(shop.root)).stdout
    told = caskbook("show", CASK, "--all", "--records", str(shop.root)).stdout
    assert f"replaced: wrong day: {days_ago(2)}" in told and "replaced: cracked stave" not in told, told


def test_what_made_a_place_dry_goes_with_a_look_that_saw_it_wet(shop: Shop) -> None:
    shop.put(*(STATES["filled"] or []))
    assert shop.enter("leak", CASK, "j3", "weep").code == 0
    assert shop.enter("look", CASK, "dry", "--at", "j3", "--closed-as", "took-up").code == 0
    ran = shop.enter("look", CASK, "run", "--replaces", shop.last()["id"], "--why", "wrong cask", "--yes")
    assert ran.code == 0 and "closed_as" not in shop.last() and shop.last()["seen"] == "run" and "dropped: closed as took-up" in ran.err, ran
    ran = shop.enter("look", CASK, "weep", "--at", "j3", "--closed-as", "repaired")
    assert ran.code == 1 and "say dry, or leave `closed_as` out" in ran.err, ran


def test_one_in_the_place_of_another_that_says_the_same_is_asked_about(shop: Shop) -> None:
    shop.put(*(STATES["ready"] or []))
    assert shop.enter("test", CASK, "pass", "--psi", "11").code == 0
    same = ("test", CASK, "--replaces", shop.last()["id"], "--why", "looked again")
    ran = shop.enter(*same, "pass")
    assert ran.code == 1 and "it says of that test what stands already: nothing is put right" in ran.err, ran
    ran = shop.enter(*same, "fail", "--leaks", "j4")
    assert ran.code == 1 and f"{CASK}  by this ready → failed" in ran.err.splitlines(), ran
    assert shop.enter(*same, "pass", "--psi", "10").code == 0


def test_another_spirit_in_a_full_cask_is_asked_about(shop: Shop) -> None:
    shop.put(*(STATES["ready"] or []))
    assert shop.enter("fill", CASK, "--spirit", "malt", "--litres", "190", "--abv", "63.5", "--temp", "20", "--yes").code == 0
    ran = shop.enter("fill", CASK, "--spirit", "grain", "--replaces", shop.last()["id"], "--why", "misread")
    assert ran.code == 1 and f"{CASK}  by this full of malt → full of grain" in ran.err.splitlines(), ran
