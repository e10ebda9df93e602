"""Cask files whose entries stand in brackets, or above other keys, merge by data: nothing lost, the same bytes either way."""

from __future__ import annotations

import pytest
from ledger.test_changes_by_data import HEAD, NEW, ODD, ONE, TWO

from caskbook.checks.history import append_only
from caskbook.ledger.changes import compare
from caskbook.merge import merge
from caskbook.model.cask_file import read_record

OTHER = "{id: f0000001, date: 2015-01-01, job: note, by: mo, note: ho}"
FLOW = ODD["in one line"]
UNITED = ("in one line", "no final newline", "over lines", "with comments", "in CRLF", "a key below")


def grown(text: str, entry: str) -> bytes:
    if "- {" in text:
        return text.replace(f"- {TWO}", f"- {TWO}\n- {entry}").encode()
    return text.replace(TWO, f"{TWO}, {entry}").encode()


@pytest.mark.parametrize("name", UNITED)
def test_each_side_added_one(name: str) -> None:
    base = ODD[name].encode()
    one, other = grown(ODD[name], NEW), grown(ODD[name], OTHER)
    found = merge(base, one, other)
    assert found.clean and found.data == merge(base, other, one).data
    record = read_record("casks/TH-009/TH-009001.yaml", found.data)
    assert [event.id for event in record.cask.events] == ["d9wqvmt6", "dacxk1ce", "e0000001", "f0000001"]
    for side in (base, one, other):
        change = compare(read_record("casks/TH-009/TH-009001.yaml", side), record)
        assert {finding.severity for finding in append_only([change])} <= {"note"}
    for comment in ("# list", "# one", "# two") if name == "with comments" else ():
        assert comment.encode() in found.data


def test_brackets_on_one_side_and_lines_on_the_other() -> None:
    lines = f"{HEAD}events:\n  - {ONE}\n  - {TWO}\n  - {OTHER}\n".encode()
    found = merge(FLOW.encode(), grown(FLOW, NEW), lines)
    assert found.clean and found.data == merge(FLOW.encode(), lines, grown(FLOW, NEW)).data
    assert found.data == lines.replace(f"  - {OTHER}".encode(), f"  - {NEW}\n  - {OTHER}".encode())


def test_what_disagrees_is_a_conflict_with_both() -> None:
    found = merge(grown(FLOW, NEW), grown(FLOW, NEW.replace("hi", "he")), grown(FLOW, NEW.replace("hi", "ho")))
    assert not found.clean and b"note: he" in found.data and b"note: ho" in found.data
    both = merge(FLOW.encode(), grown(FLOW, NEW), grown(FLOW, NEW.replace("hi", "ho")))
    assert both.clean and b"note: hi" in both.data and b"note: ho" in both.data  # entered on two machines, by chance under one id
    gone = f"{HEAD}events: [{ONE}]\n".encode()
    assert not merge(FLOW.encode(), grown(FLOW, NEW), gone).clean


@pytest.mark.parametrize("name", ["a doubled key in it", "a tag", "an alias", "no map", "broken", "all in braces"])
def test_what_cannot_be_put_into_lines_keeps_its_markers(name: str) -> None:
    dash = "- " if "- {" in ODD[name] else ""
    one, other = (ODD[name].replace(ONE, f"{ONE}\n- {entry}" if dash else f"{ONE}, {entry}").encode() for entry in (NEW, OTHER))
    found = merge(ODD[name].encode(), one, other)
    assert not found.clean and b"<<<<<<<" in found.data and NEW.encode() in found.data and OTHER.encode() in found.data


def test_text_over_lines_and_signs_in_quotes_stay() -> None:
    hard = HEAD + f'events: [{ONE},\n  {{id: dacxk1ce, date: 2013-04-04, job: note, by: mo,\n note: "a # b, ]\n   c"}}] # end\n# tail\n'
    sides = [hard.replace("}] # end", f"}}, {entry}] # end").encode() for entry in (NEW, OTHER)]
    found = merge(hard.encode(), *sides)
    assert found.clean and found.data == merge(hard.encode(), *sides[::-1]).data
    assert b"# end" in found.data and found.data.endswith(b"# tail\n")
    assert read_record("casks/TH-009/TH-009001.yaml", found.data).cask.events[1].note == "a # b, ] c"
