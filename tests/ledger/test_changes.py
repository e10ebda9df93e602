"""Two versions of a file compared by event id, and the append-only law with its documented examples."""

from __future__ import annotations

import re
from datetime import date

import pytest
from history.ledgers import EXAMINED, HEAD, RECEIVED, TESTED, cask, event

from caskbook.checks.docs import landed
from caskbook.checks.docs.landed import CODES
from caskbook.checks.explain import read_sections
from caskbook.checks.history import append_only
from caskbook.ledger.changes import ABSENT, CaskChange, FieldChange, compare
from caskbook.model.cask_file import Record, read_record

BASE = cask(RECEIVED, EXAMINED, TESTED)
NOTED = event("gqw00001", "2023-06-01", "note", "note: seen")
VOIDED = event("gqw00002", "2023-06-02", "void", "of: gqw00001", "why: wrong cask")


def record(text: str | None, name: str = "TH-004217") -> Record | None:
    return None if text is None else read_record(f"casks/{name[:-3]}/{name}.yaml", text.encode())


def changed(old: str | None, new: str | None, name: str = "TH-004217") -> CaskChange:
    return compare(record(old), record(new, name))


def law(old: str, new: str) -> list[tuple[str, str, int]]:
    return [(f.code, f.severity, f.span.line) for f in append_only([changed(old, new)])]


def test_what_is_only_added_breaks_nothing():
    change = changed(BASE, cask(RECEIVED, EXAMINED, event("e0late01", "2015-03-15", "note", "note: late"), TESTED, NOTED))
    assert [one.id for one in change.added] == ["e0late01", "gqw00001"] and not change.rewrites and not change.layout
    assert change.added[0].new_row == 2 and change.span(change.added[0]).line == 22
    assert append_only([change]) == []


def test_a_comment_with_an_added_event_is_its_own():
    assert append_only([changed(BASE, BASE + "  # by lamp light\n" + NOTED + "  # by hand\n" * 0)]) == []


def test_one_digit_of_an_old_event():
    change = changed(BASE, BASE.replace("psi: 11", "psi: 12"))
    assert change.altered[0].fields == (FieldChange("psi", 11, 12),)
    (found,) = append_only([change])
    assert (found.code, found.severity) == ("landed-event-altered", "error")
    assert found.message == "test of 2015-03-20 (dt3q62s1): `psi` was 11 when it landed, is 12"
    assert BASE.splitlines()[found.span.line - 1].strip() == "psi: 11" and found.span.column == 5


def test_an_event_deleted():
    change = changed(BASE, cask(RECEIVED, TESTED))
    assert [one.id for one in change.removed] == ["dsy3jpj0"] and change.rewrites
    (found,) = append_only([change])
    assert found.code == "landed-event-removed" and "examine of 2015-03-12 (dsy3jpj0) is gone" in found.message


def test_two_events_swapped():
    change = changed(BASE, cask(EXAMINED, RECEIVED, TESTED))
    assert len(change.moved) == 1 and not change.altered and not change.removed
    assert law(BASE, cask(EXAMINED, RECEIVED, TESTED))[0][:2] == ("landed-events-reordered", "error")


def test_an_id_changed_is_a_removal_that_names_its_look_alike():
    (found,) = append_only([changed(BASE, BASE.replace("dsy3jpj0", "dsy3jpj1"))])
    assert found.code == "landed-event-removed" and found.message.endswith("dsy3jpj1 has the same data")
    assert BASE.splitlines()[found.span.line - 1].endswith("dsy3jpj0")


def test_a_voids_reason_edited():
    old = BASE + NOTED + VOIDED
    (found,) = append_only([changed(old, old.replace("wrong cask", "wrong date"))])
    assert found.message.endswith('`why` was "wrong cask" when it landed, is "wrong date"')


def test_a_long_text_changed_at_its_end_shows_the_ends():
    old = BASE + event("gqw00001", "2023-06-01", "note", f"note: {'very ' * 20}good")
    (found,) = append_only([changed(old, old.replace("good", "bad"))])
    assert 'good"' in found.message and 'bad"' in found.message


def test_files_removed_renamed_added():
    assert [f.code for f in append_only([changed(BASE, None)])] == ["landed-file-removed"]
    assert [f.code for f in append_only([changed(BASE, BASE, "TH-004218")])] == ["landed-file-renamed"]
    new = changed(None, BASE)
    assert new.kind == "added" and len(new.added) == 3 and append_only([new]) == []


def test_head_changes_are_errors_with_both_values():
    (found,) = append_only([changed(BASE, BASE.replace("charred: 2011", "charred: 2012"))])
    assert (found.code, found.severity, found.message) == ("landed-head-changed", "error", "`charred` was 2011 when it landed, is 2012")
    assert BASE.splitlines()[found.span.line - 1] == "charred: 2011"
    (gone,) = append_only([changed(BASE, BASE.replace("charred: 2011\n", ""))])
    assert gone.message == "`charred` was 2011 when it landed, is absent"
    learnt = changed(BASE, BASE.replace("events:", "maker: Fenwick Hollow\nevents:"))
    assert learnt.head == (FieldChange("maker", ABSENT, "Fenwick Hollow"),) and append_only([learnt]) == []


@pytest.mark.parametrize(
    ("new", "what"),
    [
        (BASE.replace("psi: 11", "psi:  11"), "only the layout of event dt3q62s1"),
        (BASE.replace("date: 2015-03-20", 'date: "2015-03-20"'), "only the layout of event dt3q62s1"),
        (BASE.replace("psi: 11", "psi: 11  # new gauge"), "only a comment of event dt3q62s1"),
        (BASE.replace("  - id: dt3q62s1", "  # wet\n  - id: dt3q62s1"), "only a comment of event dt3q62s1"),
        (BASE.replace("  - id: dt3q62s1", "\n  - id: dt3q62s1"), "comments or blank lines"),
        (BASE.replace("staves: 31", "staves: 31  # counted"), "only a comment of `staves`"),
        (BASE + "# end\n", "comments or blank lines"),
        (BASE.replace("\n", "\r\n"), "the newlines, now CRLF"),
        (BASE.replace("staves: 31\n", "").replace("hoops: 6\n", "hoops: 6\nstaves: 31\n"), "the order of the head's keys"),
    ],
)
def test_layout_alone_is_a_note(new: str, what: str):
    found = append_only([changed(BASE, new)])
    assert {(f.code, f.severity) for f in found} == {("landed-layout-changed", "note")}
    assert what in found[0].message


def test_a_day_in_quotes_that_is_another_day_is_altered():
    (found,) = append_only([changed(BASE, BASE.replace("date: 2015-03-20", 'date: "2015-03-21"'))])
    assert found.severity == "error" and "`date` was" in found.message


def test_a_stamp_is_no_alteration_but_an_edited_event_without_id_is():
    bare = BASE + NOTED.replace("  - id: gqw00001\n    date", "  - date")
    assert append_only([changed(bare, BASE + NOTED)]) == []
    (found,) = append_only([changed(bare, bare.replace("seen", "not seen"))])
    assert found.code == "landed-event-removed"


def test_what_cannot_be_read_any_more_is_an_error_and_what_never_could_be_stays_as_written():
    assert law(BASE, BASE + '    x: "open\n')[0][0] == "landed-file-unreadable"
    assert law(BASE + '    x: "open\n', BASE)[0][1] == "error"


def test_one_and_one_point_nought_are_different_and_days_are_not():
    assert law(BASE, BASE.replace("psi: 11", "psi: 11.0"))[0][0] == "landed-event-altered"
    assert changed(BASE, BASE + NOTED).added[0].new is not None
    assert changed(BASE, BASE + NOTED).added[0].new["date"] == date(2023, 6, 1)  # type: ignore[index]


SECTIONS = {one.code: one for one in read_sections(landed.__doc__ or "")}


def test_every_code_is_told_and_the_other_way_round():
    assert set(SECTIONS) == set(CODES)


def example(text: str) -> CaskChange:
    found = re.fullmatch(r"# landed\n(.*)# now(?: in (\S+))?\n(.*)", text, re.DOTALL)
    assert found, text

    def whole(block: str, name: str) -> Record | None:
        head = HEAD.format(cask=name)
        if "# no file" in block:
            return None
        if block.startswith("{"):
            lines = re.sub(r", (?=\w+: )", "\n", block.strip()[1:-1])
            return record(lines + "\n", name)
        return record(head + "".join(f"  {line}\n" for line in block.splitlines()) if "- {" in block else head.replace("events:", "events: []"), name)

    return compare(whole(found[1], "TH-004217"), whole(found[3], found[2] or "TH-004217"))


@pytest.mark.parametrize("code", sorted(CODES))
def test_the_examples_are_run(code: str):
    assert {f.code for f in append_only([example(SECTIONS[code].wrong)])} == {code}
    assert append_only([example(SECTIONS[code].right)]) == []
