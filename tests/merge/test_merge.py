"""Merging by event: what is united, what is shown with markers, and the laws that hold for every pair of sides."""

from __future__ import annotations

import contextlib
import re
from itertools import permutations

import pytest
from history.histories import histories, kept, machines
from history.ledgers import EMPTIED, EXAMINED, FILLED, HEAD, HOUSE, RECEIVED, TESTED, cask, event
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.checks.history import append_only
from caskbook.ledger.changes import compare
from caskbook.merge import Merged, merge
from caskbook.merge.clash import clashes
from caskbook.model.cask_file import read_record
from caskbook.model.house import House
from caskbook.yaml.document import read_document
from caskbook.yaml.segments import read_layout
from caskbook.yaml.segments.by_lines import NotPlainError, UnreadableError, cut
from caskbook.yaml.segments.by_reading import cut_in_full
from caskbook.yaml.source import Source

BASE = cask(RECEIVED, EXAMINED, TESTED)
NOTED = event("gqw00001", "2023-06-01", "note", "note: seen")
NOSED = event("gqw00002", "2023-06-01", "nose", "verdict: clean")
LATE = event("gqw00003", "2015-03-15", "treat", "method: rinse", "for: residue")


def merged(base: str, ours: str, theirs: str, **more: object) -> Merged:
    """A merge both ways round: a clean one gives the same bytes."""
    found = merge(base.encode(), ours.encode(), theirs.encode(), **more)  # type: ignore[arg-type]
    other = merge(base.encode(), theirs.encode(), ours.encode(), **more)  # type: ignore[arg-type]
    assert found.clean == other.clean
    if found.clean:
        assert found.data == other.data
    return found


def lines_of(*texts: str) -> set[str]:
    return {line.rstrip("\r") for text in texts for line in text.split("\n")}


def loses_nothing(found: Merged, ours: str, theirs: str) -> None:
    """Every line of either side is in the result."""
    assert lines_of(ours, theirs) <= lines_of(found.data.decode())


def test_events_of_both_sides_are_united_and_ordered_by_date_then_id():
    found = merged(BASE, BASE + NOTED, cask(RECEIVED, EXAMINED, LATE, TESTED, NOSED))
    assert found.clean and found.data.decode() == cask(RECEIVED, EXAMINED, LATE, TESTED, NOTED, NOSED)


def test_both_sides_adding_one_new_file_are_united_too():
    found = merged("", BASE + NOTED, BASE + NOSED)
    assert found.clean and found.data.decode() == BASE + NOTED + NOSED
    assert merge(None, b"", BASE.encode()).data == BASE.encode()


def test_comments_and_layout_of_both_sides_survive():
    ours = BASE.replace("  - id: dt3q62s1", "  # wet day\n  - id: dt3q62s1") + "  # ours\n" + NOTED + "# end\n"
    theirs = "# the good one\n" + BASE.replace("    psi: 11\n", "    psi: 11  # on the old gauge\n") + NOSED
    found = merged(BASE, ours, theirs)
    assert found.clean
    loses_nothing(found, ours.replace("    psi: 11\n", ""), theirs)
    assert found.data.decode().endswith("  # ours\n" + NOTED + NOSED + "# end\n")


def test_blank_lines_between_events_stay():
    spaced = cask(*(f"{one}\n" for one in (RECEIVED, EXAMINED))) + TESTED
    found = merged(spaced, spaced + "\n" + NOTED, spaced + "\n" + NOSED)
    assert found.data.decode() == spaced + "\n" + NOTED + "\n" + NOSED


def test_crlf_is_kept_where_the_side_has_it_and_taken_over_where_one_side_changed_it():
    crlf = BASE.replace("\n", "\r\n")
    found = merged(crlf, crlf + NOTED.replace("\n", "\r\n"), crlf + NOSED.replace("\n", "\r\n"))
    assert found.data.decode() == (BASE + NOTED + NOSED).replace("\n", "\r\n")
    found = merged(crlf, BASE + NOTED, crlf + NOSED.replace("\n", "\r\n"))
    assert found.clean and found.data.decode() == BASE + NOTED + NOSED


def test_a_last_line_without_newline_is_no_trouble():
    found = merged(BASE, (BASE + NOTED).rstrip("\n"), BASE + NOSED)
    assert found.clean and found.data.decode() == (BASE + NOTED + NOSED).rstrip("\n")


def test_head_keys_go_three_way():
    ours, theirs = BASE.replace("charred: 2011", "charred: 2012"), BASE.replace("type: barrel", "type: barrel\nwood: mizunara")
    found = merged(BASE, ours + NOTED, theirs)
    assert found.clean and "charred: 2012" in found.data.decode() and "wood: mizunara" in found.data.decode()
    clash = merged(BASE, ours, BASE.replace("charred: 2011", "charred: 2013") + NOTED)
    assert not clash.clean and "two values: 2012 or 2013" in clash.conflicts[0]
    assert "<<<<<<< ours\ncharred: 2012\n=======\ncharred: 2013\n>>>>>>> theirs\n" in clash.data.decode()
    loses_nothing(clash, ours, NOTED)


def test_a_key_taken_out_on_one_side_goes_unless_the_other_changed_it():
    out = BASE.replace("charred: 2011\n", "")
    assert "charred" not in merged(BASE, out, BASE + NOTED).data.decode()
    assert not merged(BASE, out, BASE.replace("charred: 2011", "charred: 2013")).clean


@pytest.mark.parametrize(
    ("ours", "theirs", "said"),
    [
        (BASE.replace("psi: 11", "psi: 12"), BASE + NOTED, "different data"),
        (cask(RECEIVED, TESTED), BASE + NOTED, "missing on our side"),
        (BASE.replace("psi: 11", "psi: 12"), BASE.replace("psi: 11", "psi: 13"), "different data"),
        (BASE + NOTED.replace("  - id: gqw00001\n    date", "  - date"), BASE + NOSED, "without an id"),
        (BASE + TESTED, BASE + NOSED, "more than once"),
        (BASE.replace("id: dsy3jpj0", "id: dsy3jpj1"), BASE + NOSED, "missing on our side"),
    ],
)
def test_altered_history_ends_in_markers_that_show_both(ours: str, theirs: str, said: str):
    found = merged(BASE, ours, theirs)
    assert said in found.conflicts[0]
    text = found.data.decode()
    assert re.search(r"^<{7} ours$.*^={7}$.*^>{7} theirs$", text, re.MULTILINE | re.DOTALL)
    loses_nothing(found, ours, theirs)
    assert {f.code for f in read_document(Source.from_bytes("x.yaml", found.data)).findings} >= {"merge-conflict-marker"}


def test_markers_are_of_the_size_asked_for_and_bear_the_names_given():
    found = merge(BASE.encode(), BASE.replace("psi: 11", "psi: 12").encode(), (BASE + NOTED).encode(), marker_size=9, labels=("HEAD", "bench"))
    assert b"<" * 9 + b" HEAD\n    psi: 12\n" + b"=" * 9 + b"\n    psi: 11\n" + b">" * 9 + b" bench\n" in found.data


@pytest.mark.thorough
@pytest.mark.parametrize("bad", ['    note: "open\n', "   x\n", "\tx: 1\n", "cask: again\n", "  - {id: &a b}\n", "<<<<<<< HEAD\n"])
def test_a_side_that_cannot_be_understood_ends_in_markers(bad: str):
    ours, theirs = BASE + bad, BASE + NOTED
    found = merged(BASE, ours, theirs)
    assert "cannot be merged by event" in found.conflicts[0]
    loses_nothing(found, ours, theirs)


def test_bytes_that_are_no_text_are_kept_as_they_are():
    found = merge(BASE.encode(), BASE.encode() + b"\xff\n", (BASE + NOTED).encode())
    assert not found.clean and b"\xff\n" in found.data and NOTED.encode() in found.data


def test_unusual_layouts_are_read_in_full_and_merged():
    folded = "  - id: gqw00001\n    date: 2023-06-01\n    job: note\n    note: >\n      several\n      lines\n"
    found = merged(BASE, BASE + folded, BASE + NOSED)
    assert found.clean and found.data.decode() == BASE + folded + NOSED
    braces = "  - {id: gqw00001, date: 2023-06-01, job: note, note: seen}\n"
    assert merged(BASE, BASE + braces, BASE + NOSED).data.decode() == BASE + braces + NOSED
    assert merged(cask().replace("events:", "events: []"), BASE, cask().replace("events:", "events: []") + "# c\n").data.decode() == BASE + "# c\n"
    flow = HEAD.format(cask="TH-004217").replace("events:\n", "events: [{id: gqw00001, date: 2023-06-01, job: note, note: a}]\n")
    found = merged(flow, flow, flow.replace("}]", "}, {id: gqw00002, date: 2023-06-01, job: note, note: b}]"))
    assert found.data.decode().endswith("note: a}\n  - {id: gqw00002, date: 2023-06-01, job: note, note: b}\n") and "lines of its own" in found.notes[0]
    whole = "{" + ", ".join(flow.split("prior")[0].split("\n")) + "events: [%s]}\n"
    assert "`key: value`" in merged(whole % "", whole % "{id: a}", whole % "{id: b}").conflicts[0]


def test_another_indent_on_the_two_sides_is_brought_into_one():
    flush = re.sub("^  ", "", cask(NOTED), flags=re.MULTILINE).replace("prior:\n", "prior:\n  ")
    found = merged("", cask(NOSED), flush)
    assert found.clean and [part.key for part in read_layout(found.data.decode())[0].events] == ["gqw00001", "gqw00002"]


def test_two_fills_of_one_cask_are_united_and_named():
    ours, theirs = BASE + FILLED, BASE + FILLED.replace("dtcw0000", "dtcw0001").replace("04-02", "04-03")
    found = merged(BASE, ours, theirs)
    assert found.clean
    said = clashes(found, ours.encode(), theirs.encode(), House())
    assert said == ["TH-004217: fill of 2015-04-03 (dtcw0001): filled again; it has held malt since 2015-04-02"]
    alone = merged(BASE, BASE + FILLED, BASE + NOTED)
    assert clashes(alone, (BASE + FILLED).encode(), (BASE + NOTED).encode(), House()) == []


def test_what_is_altered_alike_on_both_sides_is_told_and_not_decided():
    altered = BASE.replace("psi: 11", "psi: 12")
    found = merged(BASE, altered + NOTED, altered + NOSED)
    assert found.clean and "altered in the same way" in found.notes[0]
    gone = merged(BASE, cask(RECEIVED, EXAMINED, NOTED), cask(RECEIVED, EXAMINED, NOSED))
    assert gone.clean and "gone on both sides" in gone.notes[0]


def test_an_old_file_out_of_order_keeps_its_order():
    odd = cask(TESTED, RECEIVED, EXAMINED)
    found = merged(odd, odd + NOTED, odd + NOSED)
    assert found.data.decode() == odd + NOTED + NOSED


def test_house_settings_go_three_way_by_key_and_crew_by_initials():
    base = HOUSE + "due:\n  rechar: {due: 5}\n  look: 2\n"
    ours = base.replace("rechar: {due: 5}", "rechar: {due: 4}").replace("due:", "  - {initials: mm, name: M M}\n# limits\ndue:", 1)
    theirs = base.replace("look: 2", "look: 3").replace("due:", "  - {initials: cc, name: C C}\ndue:", 1)
    found = merged(base, ours, theirs, path="records/house.yaml")
    text = found.data.decode()
    assert found.clean and "rechar: {due: 4}" in text and "look: 3" in text and "# limits" in text
    assert text.index("initials: cc") < text.index("initials: mm")
    clash = merged(base, base.replace("look: 2", "look: 9"), theirs, path="house.yaml")
    assert "`look` is set to two values" in clash.conflicts[0] and b"<<<<<<< ours\n  look: 9\n=======\n  look: 3\n" in clash.data
    bad = merged(base, base + "crew: 1\n", theirs, path="house.yaml")
    assert not bad.clean


def test_dated_settings_are_united_by_their_day():
    base = "test_limit_psi:\n  - {since: 2015-01-01, value: 12}\n"
    found = merged(base, base + "  - {since: 2020-01-01, value: 11}\n", base + "  - {since: 2018-01-01, value: 10}\n", path="house.yaml")
    assert found.clean and found.data.decode().index("2018") < found.data.decode().index("2020")


@pytest.mark.thorough
@given(histories())
@settings(max_examples=many(60), deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_cutting_by_lines_gives_what_a_full_reading_gives(text: str):
    try:
        quick = cut(text)
    except NotPlainError:
        return
    document = read_document(Source.from_bytes("x.yaml", text.encode()))
    assert not [found for found in document.findings if found.severity == "error"]
    assert quick.data == document.data
    with contextlib.suppress(UnreadableError):  # an odd layout that the full reading will not take apart
        assert quick == cut_in_full(text)


def laws(base: str, sides: list[str]) -> None:
    """Commutative, associative, idempotent; every event exactly once; nothing lost."""
    start = base.encode()
    results = set()
    for order in permutations(sides):
        text = order[0].encode()
        for other in order[1:]:
            found = merge(start, text, other.encode())
            assert found.clean, found.conflicts
            text = found.data
        results.add(text)
    assert len(results) == 1
    (united,) = results
    assert merge(start, united, united).data == united
    assert merge(start, united, sides[0].encode()).data == united
    assert merge(start, united, start).data == united
    assert kept(united.decode()) == sorted({part for side in sides for part in kept(side)})
    for side in sides:
        assert lines_of(side) <= lines_of(united.decode())
    only_true_conflicts(united, sides)


def only_true_conflicts(united: bytes, sides: list[str]) -> None:
    """Of the united file only that is told which one side had already, or which two sides made impossible together."""
    path = "casks/TH-004/TH-004217.yaml"
    record = read_record(path, united)
    known = {found.code for side in sides for found in read_record(path, side.encode()).findings}
    assert {found.code for found in record.findings} <= known
    assert record.cask is not None and [e.id for e in record.cask.events] == kept(united.decode(), in_order=True)
    assert list(record.cask.events) == sorted(record.cask.events, key=lambda e: (e.date, e.id))


@pytest.mark.thorough
@given(machines(most=2), st.data())
@settings(max_examples=many(60), deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_side_that_altered_history_ends_in_markers_or_a_finding(given_sides: tuple[str, list[str]], data: st.DataObject):
    """Whatever is done to an event that landed, the merge shows it, or the comparison with what landed does."""
    base, (ours, theirs) = given_sides
    parts = list(cut(base).events)
    part = data.draw(st.sampled_from(parts))
    text = "".join(line + "\n" for line in part.lines)
    event_id = str(part.key)
    altered = data.draw(
        st.sampled_from(
            [
                ours.replace(text, ""),
                ours.replace(f"id: {event_id}", "id: g0000zzz"),
                ours.replace(text, re.sub(r"by: ab", "by: kd", text)),
                ours.replace(text, re.sub(r"date: (\d{4})", "date: 2031", text)),
                ours.replace(text, text + "    note: added later\n"),
            ]
        )  # fmt: skip
    )
    if altered == ours or (data.draw(st.booleans()) and altered == theirs):
        return
    found = merge(base.encode(), altered.encode(), theirs.encode())
    path = "casks/TH-004/TH-004217.yaml"
    breaches = append_only([compare(read_record(path, base.encode()), read_record(path, found.data))])
    assert not found.clean or [one for one in breaches if one.severity == "error"]
    if not found.clean:
        assert lines_of(altered, theirs) <= lines_of(found.data.decode())


@pytest.mark.thorough
@given(machines(most=3))
@settings(max_examples=many(100), deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_machines_meet_in_every_order_with_the_same_bytes(given_sides: tuple[str, list[str]]):
    laws(*given_sides)


@pytest.mark.slow
@given(machines(most=4))
@settings(max_examples=1000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_thousand_meetings(given_sides: tuple[str, list[str]]):
    laws(*given_sides)


def test_merging_twice_over_different_common_versions_gives_the_same():
    one, two, three = BASE + NOTED, BASE + NOSED, cask(RECEIVED, EXAMINED, LATE, TESTED)
    all_of = merge(BASE.encode(), merge(BASE.encode(), one.encode(), two.encode()).data, three.encode()).data
    left = merge(BASE.encode(), one.encode(), two.encode()).data
    right = merge(BASE.encode(), one.encode(), three.encode()).data
    assert merge(one.encode(), left, right).data == all_of


def test_emptying_and_a_look_made_elsewhere_is_named():
    base = BASE + FILLED
    ours, theirs = base + EMPTIED, base + event("gq6h0001", "2023-05-17", "look", "seen: dry")
    found = merged(base, ours, theirs)
    said = clashes(found, ours.encode(), theirs.encode(), House())
    assert found.clean and len(said) == 1 and "look of 2023-05-17" in said[0]


def never_silent(base: str, ours: str, theirs: str) -> None:
    """Whatever the three texts are: no exception, and what is not clean loses no line of either side."""
    found = merge(base.encode(), ours.encode(), theirs.encode())
    if ours == theirs:  # alike on both sides: kept as it is, understood or not
        assert found.data == ours.encode()
        return
    if not found.clean:
        assert lines_of(ours, theirs) - lines_of(base) <= lines_of(found.data.decode())
        return
    back = merge(base.encode(), theirs.encode(), ours.encode())
    assert back.data == found.data
    united = read_layout(found.data.decode())[0]
    for side in (ours, theirs):
        events = {part.key: part.value for part in read_layout(side)[0].events}
        mine = {part.key: part.value for part in united.events}
        assert all(mine[key] == value for key, value in events.items())


@pytest.mark.thorough
@given(histories(), histories(), histories())
@settings(max_examples=many(40), deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_hand_made_files_are_merged_or_shown_and_never_crash(base: str, ours: str, theirs: str):
    never_silent(base, ours, theirs)


@pytest.mark.slow
@given(histories(), histories(), histories())
@settings(max_examples=2000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_hand_made_files_at_length(base: str, ours: str, theirs: str):
    never_silent(base, ours, theirs)


@given(st.binary(max_size=60), st.binary(max_size=60), st.binary(max_size=60), st.sampled_from(["x.yaml", "house.yaml"]))
@settings(max_examples=many(200), deadline=None)
def test_any_bytes_are_merged_or_shown(base: bytes, ours: bytes, theirs: bytes, path: str):
    found = merge(base, ours, theirs, path=path)
    assert isinstance(found.data, bytes)
