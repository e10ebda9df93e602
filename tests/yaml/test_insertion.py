"""Adding to cask files that people wrote: only added lines, or the one changed line is named."""

from __future__ import annotations

import difflib
import random
from datetime import date, timedelta

import pytest
import yaml as pyyaml
from hypothesis import given
from hypothesis import strategies as st

from caskbook.core.finding import CaskbookError
from caskbook.yaml.document import read_document
from caskbook.yaml.insertion import insert_event, insert_events, new_document, order_key, place_for, stamp
from caskbook.yaml.source import Source

NEW = {"id": "dt000000", "date": date(2015, 6, 1), "job": "note", "note": "a: b"}


def of(text: str) -> Source:
    return Source.from_bytes("TH-000001.yaml", text.encode())


def diff(splice) -> tuple[list[str], list[str]]:
    lines = list(difflib.ndiff(splice.before.text.splitlines(True), splice.after.text.splitlines(True)))
    return [line[2:] for line in lines if line[0] == "+"], [line[2:] for line in lines if line[0] == "-"]


def events_of(splice) -> list:
    return pyyaml.safe_load(splice.after.text)["events"]


UGLY = {
    "plain": "cask: X\nevents:\n  - id: dsy3jphz\n    date: 2015-03-12\n  - id: du000000\n    date: 2015-07-01\n",
    "indent 0": "cask: X\nevents:\n- id: dsy3jphz\n  date: 2015-03-12\n- id: du000000\n  date: 2015-07-01\n",
    "indent 4": "cask: X\nevents:\n    - id: dsy3jphz\n      date: 2015-03-12\n    - id: du000000\n      date: 2015-07-01\n",
    "wide dash": "cask: X\nevents:\n  -   id: dsy3jphz\n      date: 2015-03-12\n  -   id: du000000\n      date: 2015-07-01\n",
    "dash alone": "cask: X\nevents:\n  -\n    id: dsy3jphz\n    date: 2015-03-12\n  -\n    id: du000000\n    date: 2015-07-01\n",
    "blank lines": "cask: X\n\nevents:\n\n  - id: dsy3jphz\n    date: 2015-03-12\n\n  - id: du000000\n    date: 2015-07-01\n\n\n",
    "comments": "# X\ncask: X # so\nevents: # all\n  # a\n  - id: dsy3jphz\n    # b\n    date: 2015-03-12 # c\n  # d\n\n  # e\n"
    "  - id: du000000\n    date: 2015-07-01\n    # f\n# tail\n",
    "crlf": "cask: X\r\nevents:\r\n  - id: dsy3jphz\r\n    date: 2015-03-12\r\n  - id: du000000\r\n    date: 2015-07-01\r\n",
    "flow items": "cask: X\nevents:\n  - {id: dsy3jphz, date: 2015-03-12}\n  - {id: du000000, date: 2015-07-01}\n",
    "not last": "events:\n  - id: dsy3jphz\n    date: 2015-03-12\n  - id: du000000\n    date: 2015-07-01\ncask: X\n# tail\n",
    "quoted": "'cask': X\n\"events\":\n  - 'id': dsy3jphz\n    date: '2015-03-12'\n  - id: du000000\n    date: 2015-07-01\n",
    "block text": "cask: X\nevents:\n  - id: dsy3jphz\n    date: 2015-03-12\n    note: |\n      # no comment\n\n      - so\n\n"
    "  - id: du000000\n    date: 2015-07-01\n    note: >-\n      a\n      b\n\n\n",
    "marks": "---\ncask: X\nevents:\n  - id: dsy3jphz\n    date: 2015-03-12\n  - id: du000000\n    date: 2015-07-01\n...\n",
    "nested": "cask: X\nevents:\n  - id: dsy3jphz\n    date: 2015-03-12\n    findings:\n    - at: stave-1\n      defect: cracked\n\n"
    "  - id: du000000\n    date: 2015-07-01\n    heads: [\n      A,\n      B]\n",
    "flow lines": "cask: X\nevents: [\n  {id: dsy3jphz, date: 2015-03-12},\n  # e\n  {id: du000000, date: 2015-07-01}\n]\n",
    "flow lines, comma": "cask: X\nevents: [\n  {id: dsy3jphz, date: 2015-03-12},\n  {id: du000000, date: 2015-07-01}, # x\n]\n",
    "quoted over lines": "cask: X\nevents:\n  - id: dsy3jphz\n    date: 2015-03-12\n    note: 'a\n\n      b'\n  - id: du000000\n    date: 2015-07-01\n",
}  # fmt: skip


@pytest.mark.parametrize("text", UGLY.values(), ids=UGLY)
@pytest.mark.parametrize("day", [date(2014, 1, 1), date(2015, 3, 12), date(2015, 6, 1), date(2016, 1, 1)])
def test_only_lines_are_added(text, day):
    source = of(text)
    old = pyyaml.safe_load(text)
    splice = insert_event(source, {**NEW, "date": day})
    added, removed = diff(splice)
    assert removed == [] and splice.notes == ()
    assert {line.endswith("\r\n") for line in added} == {source.newline == "\r\n"}
    at = splice.positions[0]
    new = events_of(splice)
    assert new[at] == {**NEW, "date": day} and new[:at] + new[at + 1 :] == old["events"]
    assert [str(event["date"]) for event in new] == sorted(str(event["date"]) for event in new)


def test_a_comment_stays_with_its_event():
    text = insert_event(of(UGLY["comments"]), NEW).after.text
    assert "date: 2015-03-12 # c\n  - id: dt000000" in text.replace("\n\n", "\n"), text
    assert "  # d\n\n  # e\n  - id: du000000" in text
    text = insert_event(of(UGLY["comments"]), {**NEW, "date": date(2016, 1, 1)}).after.text
    assert "    # f\n  - id: dt000000" in text and text.endswith("note: 'a: b'\n# tail\n")


def test_blank_lines_between_events_are_kept_up():
    splice = insert_event(of(UGLY["blank lines"]), NEW)
    assert "\n\n  - id: dt000000\n    date: 2015-06-01\n    job: note\n    note: 'a: b'\n\n  - id: du000000" in splice.after.text
    last = insert_event(of(UGLY["blank lines"]), {**NEW, "date": date(2016, 1, 1)})
    assert "2015-07-01\n\n  - id: dt000000" in last.after.text


@pytest.mark.parametrize(
    ("text", "result", "note"),
    [
        ("cask: X\n", "cask: X\nevents:\n  - id: a\n", None),
        ("cask: X\n# tail\n", "cask: X\nevents:\n  - id: a\n# tail\n", None),
        ("cask: X\nevents:\n", "cask: X\nevents:\n  - id: a\n", None),
        ("cask: X\nevents:  # none\nmade: 2011\n", "cask: X\nevents:  # none\n  - id: a\nmade: 2011\n", None),
        ("cask: X\nevents: []\n", "cask: X\nevents:\n  - id: a\n", "line 2 loses `[]`"),
        ("cask: X\nevents: [ ]  # none\n", "cask: X\nevents:  # none\n  - id: a\n", "line 2 loses `[ ]`"),
        ("cask: X\nevents: null\n", "cask: X\nevents:\n  - id: a\n", "line 2 loses `null`"),
        ("cask: X\nevents: []", "cask: X\nevents:\n  - id: a\n", "line 2 loses"),
        ("cask: X\nevents:\n  - id: A", "cask: X\nevents:\n  - id: A\n  - id: a\n", "no newline"),
        ("cask: X\r\nevents:\r\n  - id: A", "cask: X\r\nevents:\r\n  - id: A\r\n  - id: a\r\n", "no newline"),
        ("cask: X\nevents: [{id: A}]\n", "cask: X\nevents: [{id: A}, {id: a}]\n", "line 2 changes"),
        ("cask: X\nevents: [{id: A}, ]\n", "cask: X\nevents: [{id: A}, {id: a}]\n", "line 2 changes"),
        ("cask: X\nevents: [{id: b}]\n", "cask: X\nevents: [{id: a}, {id: b}]\n", "line 2 changes"),
        ("{cask: X, events: []}\n", "{cask: X, events: [{id: a}]}\n", "line 1 changes"),
        ("{cask: X, events: [{id: A}]}\n", "{cask: X, events: [{id: A}, {id: a}]}\n", "line 1 changes"),
    ],
)
def test_the_exceptions_change_one_line_and_name_it(text, result, note):
    splice = insert_event(of(text), {"id": "a"})
    assert splice.after.text == result
    assert (note in splice.notes[0] and len(splice.notes) >= 1) if note else splice.notes == ()
    assert len(diff(splice)[1]) <= 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("cask: X\nevents:\n\t- id: a\n", "1: tab"),
        ("cask: X\ncask: Y\n", "duplicate-key"),
        ("cask: X\nevents: soon\n", "not a list"),
        ("{cask: X}\n", "one map in braces"),
        ("cask: X\nevents: [\n]\n", "over several lines"),
        ("", "empty-file"),
        ("cask: X\n<<<<<<< a\nevents: []\n=======\n>>>>>>> b\n", "merge conflict"),
        ("cask: X\nevents:\n  - id: a\n    note: |+\n      x\n\n  # y\n", ""),
    ],
)
def test_a_file_that_is_not_sound_is_left_alone(text, words):
    if not words:
        insert_event(of(text), NEW)
        return
    with pytest.raises(CaskbookError, match=words):
        insert_event(of(text), NEW)


def test_an_event_that_would_make_the_file_unsound_is_refused():
    with pytest.raises(CaskbookError, match="not written"):
        insert_event(of(UGLY["plain"]), {**NEW, "note": "red \x1b[31m"})


def test_a_note_as_long_as_a_book_is_refused():
    with pytest.raises(CaskbookError, match="not written, for .* bytes, expected at most .*file-too-large"):
        insert_event(of(UGLY["plain"]), {**NEW, "note": "x" * 1_000_000})


def test_the_place_is_that_of_date_and_id():
    events = [
        {"date": date(2015, 3, 12), "id": "b"},
        {"date": "2015-03-12", "id": "d"},
        {"date": date(2015, 3, 13), "id": "a"},
    ]
    assert place_for(events, {"date": "2015-03-12", "id": "c"}) == 1
    assert place_for(events, {"date": date(2015, 3, 12), "id": "e"}) == 2
    assert place_for(events, {"date": date(2014, 3, 12), "id": "e"}) == 0
    assert order_key({"date": date(2015, 3, 12), "id": "b"}) == order_key({"date": "2015-03-12", "id": "b"})


def test_several_events_each_at_its_place():
    work = [{"id": f"dt00000{k}", "date": date(2015, 8 - k, 1), "job": "note"} for k in (1, 3, 2)]
    splice = insert_events(of(UGLY["plain"]), work)
    events = events_of(splice)
    assert [event["id"] for event in events] == ["dsy3jphz", "dt000003", "dt000002", "dt000001", "du000000"]
    assert [events[k]["id"] for k in splice.positions] == ["dt000001", "dt000003", "dt000002"]
    assert diff(splice)[1] == []


STAMPED = {
    "block": (
        "events:\n- date: 2015-03-12\n  job: note\n",
        "events:\n- date: 2015-03-12\n  id: dsy3jphz\n  job: note\n",
        0,
    ),
    "comment": (
        "events:\n  - date: 2015-03-12 # x\n",
        "events:\n  - date: 2015-03-12 # x\n    id: dsy3jphz\n",
        0,
    ),
    "nested first": (
        "events:\n  - at:\n      - a\n      - b\n    job: flag\n",
        "events:\n  - at:\n      - a\n      - b\n    id: dsy3jphz\n    job: flag\n",
        0,
    ),
    "crlf": ("events:\r\n- job: note\r\n", "events:\r\n- job: note\r\n  id: dsy3jphz\r\n", 0),
    "flow": ("events:\n  - {job: note}\n", "events:\n  - {id: dsy3jphz, job: note}\n", 1),
    "open": ("events:\n  - id:\n    job: note\n", "events:\n  - id: dsy3jphz\n    job: note\n", 1),
    "no newline": ("events:\n  - job: note", "events:\n  - job: note\n    id: dsy3jphz\n", 1),
}


@pytest.mark.parametrize(("text", "result", "notes"), STAMPED.values(), ids=STAMPED)
def test_stamping_touches_nothing_else(text, result, notes):
    splice = stamp(of(text), {0: "dsy3jphz"})
    assert splice.after.text == result and len(splice.notes) == notes


def test_stamping_refuses_what_has_an_id_or_is_no_event():
    for text in ("events:\n- id: dsy3jphz\n", "events:\n- x\n", "events: []\n"):
        with pytest.raises(CaskbookError):
            stamp(of(text), {0: "dsy3jphz"})


def test_several_hand_written_events_are_stamped_at_once():
    splice = stamp(of("events:\n- job: note\n- job: test\n  psi: 11\n- id: x\n- job: z\n"), {0: "a", 1: "b", 3: "d"})
    assert [event["id"] for event in events_of(splice)] == ["a", "b", "x", "d"] and diff(splice)[1] == []


def test_a_new_file_is_read_as_meant():
    head = {
        "cask": "TH-004217",
        "format": 1,
        "type": "barrel",
        "made": 2011,
        "heads": [5, 5],
        "prior": [{"contents": "bourbon", "fills": 1}],
    }
    data = new_document(head, [NEW, {**NEW, "id": "dsy3jphz"}], comment="yaml-language-server: $schema=x")
    assert data.decode().startswith("# yaml-language-server: $schema=x\ncask: TH-004217\nformat: 1\n")
    assert "prior:\n  - {contents: bourbon, fills: 1}\nevents:\n  - id: dsy3jphz\n    date: 2015-06-01\n" in data.decode()
    assert not read_document(Source.from_bytes("x", data)).findings
    assert pyyaml.safe_load(data) == {**head, "events": [{**NEW, "id": "dsy3jphz"}, NEW]}
    assert insert_event(Source.from_bytes("x", new_document(head)), NEW).notes == ()


FRAGMENT = st.sampled_from(["", "# c", "    # deep", "      # deeper", "\n", "# a\n\n# b"])


@given(
    st.lists(
        st.tuples(
            st.integers(0, 40),
            FRAGMENT,
            st.sampled_from(["", "    note: |\n      x\n", "    heads:\n    - A\n"]),
        ),
        max_size=6,
    ),
    st.integers(0, 40),
    st.sampled_from(["\n", "\r\n"]),
    st.sampled_from(["", "# tail\n", "\n\n", "made: 2011\n"]),
    st.booleans(),
)
def test_generated_files_gain_lines_and_lose_none(items, day, newline, tail, final):
    start = date(2015, 1, 1)
    text = "cask: X\nevents:\n"
    for number, (offset, before, more) in enumerate(sorted(items)):
        text += f"{before}\n" if before else ""
        text += f"  - id: dsy3jp{number:02d}\n    date: {start + timedelta(offset)}\n{more}"
    text = (text + tail).replace("\n", newline)
    text = text if final else text.rstrip("\r\n")
    event = {**NEW, "date": start + timedelta(day)}
    old = pyyaml.safe_load(text)["events"] or []
    if text.endswith("      x") and place_for(old, event) == len(old):
        with pytest.raises(CaskbookError, match="no newline; add one first"):  # it would change that text
            insert_event(of(text), event)
        return
    splice = insert_event(of(text), event)
    rest = [one for one in events_of(splice) if one["id"] != NEW["id"]]
    assert rest == old and len(events_of(splice)) == len(old) + 1
    lines, after = text.split("\n"), splice.after.text.split("\n")
    changed = bool(splice.notes)
    kept = [line for line in lines if line in after or line + "\r" in after]
    assert len(kept) == len(lines) and changed in (False, not final)


ODD_LINES = [
    "cask: X", "events:", "  - id: a", "    date: 2015-03-12", "    note: |", "      text", "", "# c", "    # d", "- id: b", "  date: 2016-01-01",
    "events: []", "events: [{id: a}]", "events: [", "  {id: c},", "]", "  -", "  - {id: d}", "note: 'x", "  y'", "...", "---", "  - - z", "? q", ": r",
    "events: {}", "    heads: [A,", "      B]", "  - id: e  # f", "    why: >-", "", "      folded", "{cask: X}", "type: barrel", "made: |+", "  k",
]  # fmt: skip


WHOLE = [
    "  - id: a\n    date: 2015-03-12",
    "  # c",
    "",
    "    note: |\n      x",
    "  - {id: d}",
    "  -   id: e  # f\n",
    "    heads: [A,\n      B]",
]


def lost_lines(before: str, after: str) -> list[str]:
    lost, rest = [], after.splitlines()
    for line in before.splitlines():
        if line in rest:
            rest = rest[rest.index(line) + 1 :]
        else:
            lost.append(line)
    return lost


def splice_odd_files(cases: int, seed: int) -> int:
    rng, done = random.Random(seed), 0
    for _ in range(cases):
        pool = WHOLE if rng.random() < 0.5 else ODD_LINES
        text = "cask: X\nevents:\n" * (rng.random() < 0.7) + "\n".join(rng.choices(pool, k=rng.randrange(1, 12)))
        source = of((text + rng.choice(["", "\n"])).replace("\n", rng.choice(["\n", "\r\n"])))
        try:
            splice = insert_event(source, {**NEW, "date": date(rng.choice([2014, 2015, 2017]), 6, 1)})
        except CaskbookError as error:
            assert "\n" not in str(error)
            continue
        done += 1
        old = pyyaml.safe_load(source.text)
        new = pyyaml.safe_load(splice.after.text)
        assert new["events"].pop(splice.positions[0])["id"] == NEW["id"], source.text
        assert new["events"] == (old.get("events") or []) and {**new, "events": 0} == {**old, "events": 0}, source.text
        lost = lost_lines(source.text, splice.after.text)
        assert len(lost) <= 1 and (splice.notes or not lost), source.text
    return done


@pytest.mark.thorough
def test_odd_files_gain_an_event_or_are_left_alone():
    assert splice_odd_files(300, 3) > 30


@pytest.mark.slow
def test_many_odd_files_gain_an_event_or_are_left_alone():
    assert splice_odd_files(10_000, 4) > 1000
