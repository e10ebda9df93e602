"""Two machines that gave one id to two entries: both stay, one of them under a new id, and nobody's word changes its meaning."""

from __future__ import annotations

from itertools import permutations

import pytest
from history.ledgers import EXAMINED, RECEIVED, TESTED, cask, event
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.merge import Merged, merge
from caskbook.model.jobs import JOBS, Event
from caskbook.words.job_table import jobs_with
from caskbook.yaml.segments import read_layout

BASE = cask(RECEIVED, EXAMINED, TESTED)
SAME = "a0000abc"
DAYS = ("2015-03-12", "2015-03-20", "2023-06-01", "2023-06-02")
LATER = event("gqz00001", "2023-06-02", "note", "note: later")


def both_ways(base: str, ours: str, theirs: str) -> Merged:
    one, other = (merge(base.encode(), a.encode(), b.encode()) for a, b in ((ours, theirs), (theirs, ours)))
    assert one.clean == other.clean and (not one.clean or one.data == other.data) and sorted(one.notes) == sorted(other.notes)
    return one


def marked(day: str, text: str, event_id: str = SAME, remark: str = "") -> str:
    return (f"  # {remark}\n" if remark else "") + event(event_id, day, "mark", f"text: {text}", "kind: tag", "at: head-A", "sheet: k1")


def values(data: bytes) -> dict[str | None, dict[str, object]]:
    return {part.key: part.value for part in read_layout(data.decode())[0].events}


def inserted(*entries: str) -> str:
    listed = sorted((RECEIVED, EXAMINED, TESTED, *entries), key=lambda text: (text.split("date: ")[1][:10], text.split("id: ")[1].split()[0]))
    return cask(*listed)


sides = st.tuples(st.sampled_from(DAYS), st.sampled_from(("K1", "K2", "'K: 3'")), st.sampled_from(("", "zinc", "look: twice")))


@pytest.mark.thorough
@given(sides, sides, st.sampled_from(("", "ours", "theirs")))
@settings(max_examples=many(150), deadline=None)
def test_both_entries_stay_byte_for_byte_but_for_one_id(one: tuple[str, str, str], other: tuple[str, str, str], referred: str):
    assume(one[:2] != other[:2])
    texts = [marked(day, text, remark=remark) for day, text, remark in (one, other)]
    void = event("gqw00009", "2023-06-03", "void", f"of: {SAME}", "why: wrong cask")
    ours, theirs = (inserted(text, *([void] if referred == name else [])) for text, name in zip(texts, ("ours", "theirs"), strict=True))
    found = both_ways(BASE, ours, theirs)
    assert found.clean, found.conflicts
    (new,) = values(found.data).keys() - values(ours.encode()).keys() - values(theirs.encode()).keys()
    assert new is not None and new.startswith(SAME) and f"is {new} now" in found.notes[0]
    ways = [texts[n].replace(f"id: {SAME}\n", f"id: {new}\n") in found.data.decode() and texts[1 - n] in found.data.decode() for n in (0, 1)]
    assert ways.count(True) == 1
    assert not referred or ways[0 if referred == "theirs" else 1]
    again = found.data.decode()
    for side in (ours, theirs):  # the other bench merges as well, or what either bench added since comes in
        assert both_ways(side, side, again).data == found.data
        went_on = both_ways(side, side + LATER, again)
        assert went_on.clean and values(went_on.data) == values(found.data) | values(("events:\n" + LATER).encode())


@pytest.mark.thorough
@given(st.permutations(DAYS), st.lists(st.sampled_from(("K1", "K2", "K3")), min_size=3, max_size=3))
@settings(max_examples=many(60), deadline=None)
def test_three_benches_end_with_the_same_bytes_whoever_meets_first(days: list[str], texts: list[str]):
    made = [inserted(marked(day, text)) for day, text in zip(days, texts, strict=False)]
    ends = set()
    for a, b, c in permutations(made):
        first = both_ways(BASE, a, b)
        last = both_ways(BASE, first.data.decode(), c)
        assert first.clean and last.clean and len(values(last.data)) == 6
        ends.add(last.data)
        other = both_ways(BASE, b, c)
        crossed = both_ways(b, first.data.decode(), other.data.decode())
        assert crossed.clean, crossed.conflicts
        ends.add(crossed.data)
    assert len(ends) == 1


def test_where_each_side_refers_to_its_own_the_conflict_says_how_to_go_on():
    ours, theirs = (
        inserted(marked(day, "K1"), event(void, "2023-06-03", "void", f"of: {SAME}", "why: wrong cask"))
        for day, void in ((DAYS[2], "gqw00009"), (DAYS[3], "gqw00008"))
    )
    found = both_ways(BASE, ours, theirs)
    assert len(found.conflicts) == 1 and "take the void, replacement or answer back" in found.conflicts[0]
    assert b"<<<<<<<" in found.data


def test_a_word_that_came_meanwhile_for_the_entry_that_lost_its_id_is_not_turned_to_another():
    ours, theirs = inserted(marked(DAYS[2], "K1")), inserted(marked(DAYS[3], "K1"))
    united = both_ways(BASE, ours, theirs).data.decode()
    void = event("gqw00009", "2023-06-03", "void", f"of: {SAME}", "why: wrong cask")
    for side in (ours, theirs):
        found = both_ways(side, side + void, united)
        lost = marked(DAYS[2], "K1") not in united if side == ours else marked(DAYS[3], "K1") not in united
        assert found.clean is not lost
        assert not lost or "refers" in found.conflicts[0]


def test_a_pick_leaves_the_id_to_what_stands():
    one, other = inserted(marked(DAYS[2], "K1")), inserted(marked(DAYS[3], "K1"))
    for ours, theirs in ((one, other), (other, one)):
        found = merge(BASE.encode(), ours.encode(), theirs.encode(), ours_stays=True)
        assert found.clean and values(found.data)[SAME] == values(ours.encode())[SAME] and len(values(found.data)) == 5
        went_on = merge(theirs.encode(), found.data, (theirs + LATER).encode(), ours_stays=True)
        assert went_on.clean and went_on.data.decode() == found.data.decode() + LATER
    void = event("gqw00009", "2023-06-03", "void", f"of: {SAME}", "why: wrong cask")
    assert not merge(BASE.encode(), one.encode(), (other + void).encode(), ours_stays=True).clean


def test_what_landed_in_the_common_version_and_was_altered_stays_a_conflict():
    base = inserted(marked(DAYS[2], "K1"))
    for theirs in (base.replace("K1", "K2"), base.replace("K1", "K2") + LATER):
        found = both_ways(base, base + marked("2023-06-03", "K9", "gqw00007"), theirs)
        assert not found.clean and "holds different data" in found.conflicts[0]


def test_one_row_read_under_two_names_of_a_sheet_is_one_entry():
    ours = inserted(marked(DAYS[2], "K1", remark="zinc"))
    theirs = inserted(marked(DAYS[2], "K1")).replace("sheet: k1", "sheet: a week")
    found = both_ways(BASE, ours, theirs)
    assert found.clean and found.data.decode() == ours.replace("sheet: k1", "sheet: a week")
    assert merge(BASE.encode(), ours.encode(), theirs.encode(), ours_stays=True).data.decode() == ours


def test_what_one_side_parted_before_is_never_kept_twice():
    early, late = inserted(marked(DAYS[2], "K1")), inserted(marked(DAYS[3], "K1"))
    united = both_ways(BASE, early, late).data.decode()
    void = event("gqw00009", "2023-06-03", "void", f"of: {SAME}", "why: wrong cask")
    found = both_ways(BASE, united, late + void)
    assert not found.clean and "an entry that refers to it" in found.conflicts[0]
    for ours, theirs in ((late, united), (early, united), (united, late), (united, early)):
        picked = merge(BASE.encode(), ours.encode(), theirs.encode(), ours_stays=True)
        assert not picked.clean or len(values(picked.data)) == len(values(united.encode()))


SHARED = {
    "swap-heads": ("with: TH-004218", "heads: [A]"), "rack-out": ("to: [{cask: TH-004218, litres: 10.0}]",), "rack-in": ("from: [{cask: TH-004218, litres: 10.0}]",),
    "convert": ("children: [TH-004218]",), "made-from": ("parents: [{cask: TH-004218, staves: 30}]",),
}  # fmt: skip


@pytest.mark.parametrize("job", SHARED)
def test_an_entry_whose_id_other_files_share_keeps_it(job: str):
    shared = event(SAME, DAYS[3], job, *SHARED[job])
    found = both_ways(BASE, inserted(marked(DAYS[2], "K1")), BASE + shared)
    assert found.clean and shared in found.data.decode() and values(found.data)[SAME]["job"] == job
    assert not both_ways(BASE, BASE + shared, BASE + shared.replace(DAYS[3], DAYS[2])).clean


def test_the_jobs_that_share_an_id_are_those_that_name_their_counterparts():
    assert {job for job, model in JOBS.items() if model.shared_with is not Event.shared_with} == set(SHARED) == set(jobs_with("shared-id"))
