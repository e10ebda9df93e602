"""A landed line that no reader could take may be written well, sign for sign; nothing else of it, and no other line, may change."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.checks.history import append_only
from caskbook.core.finding import Finding
from caskbook.ledger.changes import compare
from caskbook.model.cask_file import read_record

HEAD = "cask: TH-000002\nformat: 1\ntype: barrel\ncapacity_l: 200\nevents:\n"
TEST = "  - id: abcd0001\n    date: 2026-10-05\n    job: test\n    by: me\n    result: fail\n    psi: 7\n"
NOTE = "  - id: abcd0002\n    date: 2026-10-06\n    job: note\n    by: me\n    note: all well\n"
LATER = "  - id: abcd0003\n    date: 2026-10-07\n    job: note\n    by: me\n    note: later\n"
GOOD = HEAD + TEST + NOTE
WRONG = {
    "a quote left open": GOOD.replace("all well", '"all well'),
    "a quote left open before others": GOOD.replace("psi: 7", 'psi: "7'),
    "an id's quote left open": GOOD.replace("id: abcd0002", 'id: "abcd0002'),
    "a head's quote left open": GOOD.replace("type: barrel", 'type: "barrel'),
    "a line out of its column": GOOD.replace("    job: note", "   job: note"),
    "a key twice": GOOD.replace("note: all well", "note: all well\n    note: other"),
    "a tab": GOOD.replace("    note: all well", "\tnote: all well"),
    "an anchor": GOOD.replace("all well", "&a all well"),
    "an alias": GOOD.replace("all well", "*all"),
    "a tag": GOOD.replace("psi: 7", "psi: !x 7"),
    "marks of a merge": f"{HEAD}<<<<<<< HEAD\n{TEST}=======\n{NOTE}>>>>>>> other\n",
    "a zero byte": GOOD.replace("all well", "all\0 well"),
    "no UTF-8": GOOD.replace("all well", "all w\udce9ll"),
    "a colon in a text": GOOD.replace("all well", "all: well"),
    "two faults": GOOD.replace("psi: 7", 'psi: "7').replace("    job: note", "   job: note"),
}


def law(old: str, new: str) -> list[Finding]:
    sides = [read_record("casks/TH-000/TH-000002.yaml", text.encode("utf-8", "surrogateescape")) for text in (old, new)]
    return append_only([compare(*sides)])


def mended(name: str) -> str:
    """What a careful hand makes of it."""
    return GOOD.replace("all well", "all wéll") if name == "no UTF-8" else GOOD.replace("all well", "'all: well'") if ": well" in WRONG[name] else GOOD


@pytest.mark.thorough
@pytest.mark.parametrize("name", WRONG)
def test_a_line_that_could_not_be_read_may_be_written_well(name: str) -> None:
    for later in ("", LATER):
        found = law(WRONG[name], mended(name) + later)
        assert {(one.code, one.severity) for one in found} == {("landed-text-mended", "warning")}, found
    assert [one.code for one in law(mended(name), WRONG[name]) if one.severity == "error"], "to break what could be read is no mend"


def test_the_finding_tells_both_texts_at_the_line() -> None:
    found = law(WRONG["a line out of its column"], GOOD)
    assert [(one.span.line, one.message) for one in found] == [(14, 'could not be read when it landed: "   job: note" reads "    job: note" now')]
    assert [one.message for one in law(WRONG["a key twice"], GOOD)] == ['could not be read when it landed: "    note: other" was taken out']


@pytest.mark.thorough
@pytest.mark.parametrize("name", WRONG)
@pytest.mark.parametrize(
    ("was", "now"),
    [
        ("result: fail", "result: pass"),
        ("2026-10-06", "2026-10-08"),
        ("psi: 7", "psi: 11"),
        ("capacity_l: 200", "capacity_l: 201"),
        (TEST, ""),
        ("abcd0001", "abcd0009"),
    ],
)
def test_nothing_else_is_altered_beside_it(name: str, was: str, now: str) -> None:
    good = mended(name)
    assert [one for one in law(WRONG[name], good.replace(was, now)) if one.severity == "error"]


ONE_LINE = '  - {id: abcd0003, date: 2026-10-07, job: regauge, by: me, litres: 190,\tabv: 60.1, method: dip, temp_c: 32, note: "warm, loss agreed"}\n'


@pytest.mark.parametrize(
    "now",
    [
        ONE_LINE.replace("\t", " ").replace(", temp_c: 32, note", "} # temp_c: 32, note").replace("}\n", "\n"),
        ONE_LINE.replace("\t", " ").replace("temp_c: 32, ", ""),
        ONE_LINE.replace("\t", " ").replace("32", "3 2"),
        ONE_LINE.replace("\t", " ").replace("warm,", "warm;"),
        ONE_LINE.replace("\t", " ").replace('agreed"', 'agreed?"'),
        ONE_LINE.replace("\t", " ").replace('"warm, loss agreed"', "warm, loss: agreed"),
        ONE_LINE.replace("\t", " ").replace("temp_c", "# temp_c"),
    ],
)
def test_nothing_of_a_line_is_put_behind_a_sign_for_remarks_or_altered(now: str) -> None:
    assert {one.code for one in law(GOOD + ONE_LINE, GOOD + ONE_LINE.replace("\t", " "))} == {"landed-text-mended"}
    assert "error" in {one.severity for one in law(GOOD + ONE_LINE, GOOD + now)}


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ("\ttemp_c: 32", "    # temp_c: 32"),
        ("    note: !y not paid", "    note: not paid; surely"),
        ("    note: !y not paid", "    note: notpaid"),
        ("    note: &é naïf", "    note: naif"),
    ],
)
def test_signs_that_are_no_ascii_words_count_too(was: str, now: str) -> None:
    assert "error" in {one.severity for one in law(f"{GOOD}{was}\n", f"{GOOD}{now}\n")}


@pytest.mark.parametrize("now", ["psi: 70", "psi: 0.7", "psi: -7", "psi: 11", "psi: 7 # 8", "psi:", "", "psi: 7\n    codes: [leak]"])
def test_the_line_itself_says_the_same_words(now: str) -> None:
    """A comment is no word of the entry; a further line is one."""
    found = law(WRONG["a quote left open before others"], GOOD.replace("    psi: 7\n", f"    {now}\n" if now else ""))
    assert "error" in {one.severity for one in found}, found


REMARKED = [
    ("by: me # x\u202e", "by: me # x"), ("by: me   # by lorry\ufeff", "by: me   # by lorry"), ("by: me\t# x", "by: me # x"), ("by: me # a\tb", "by: me # a b"),
    ("by: &a me # x", "by: me # x"), ("by: !!str me # x", "by: me # x"), ("by: [me # x", "by: [me] # x"), ("by: 'me # x", "by: 'me # x'"),
    ("by: 'me\x07' # x", "by: 'me' # x"), ("by: me # caf\udce9", "by: me # café"), ("# x\u202e\n    by: me", "# x\n    by: me"),
    ("by: me#1\u202e", "by: me#1"),
]  # fmt: skip


@pytest.mark.parametrize(("was", "now"), REMARKED)
def test_a_line_with_a_remark_may_be_written_well_too(was: str, now: str) -> None:
    landed = GOOD.replace("by: me\n    note", f"{was}\n    note")
    found = law(landed, landed.replace(was, now) + LATER)
    assert {(one.code, one.severity) for one in found} == {("landed-text-mended", "warning")}, found


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("was", "now"),
    [
        ("by: me # x\u202e", "by: me # y"),
        ("by: me # x\u202e", "by: me"),
        ("by: me # x\u202e", "by: you # x"),
        ("by: me # x\u202e", "by: 'me # x'"),
        ("by: me too\t# x", "by: me # too # x"),
        ("by: 'me # x", "by: 'me' # x"),
        ("by: 'me # x", "by: me # x"),
        ("by: me\u202e# x", "by: me # x"),
        ('by: me:"[#1"\x07', 'by: me:"[ #1"'),
        ("# x\u202e\n    by: me", "by: me"),
        ('by: "me\\u202e\n      # x\u202e\n      "', "by: me\n      # x\n      "),
    ],
)
def test_a_remark_stays_one_and_nothing_else_becomes_one(was: str, now: str) -> None:
    landed = GOOD.replace("by: me\n    note", f"{was}\n    note")
    assert "error" in {one.severity for one in law(landed, landed.replace(was, now))}


HIDDEN = ["\u202e", "\u2066", "\ufeff", "\u2028", "\x85", "\x07"]


@pytest.mark.thorough
@pytest.mark.parametrize("sign", HIDDEN)
def test_any_hidden_sign_may_be_taken_out_as_it_is_or_by_its_escape(sign: str) -> None:
    assert {one.code for one in law(GOOD.replace("all well", f"all {sign}well"), GOOD)} == {"landed-text-mended"}
    assert {one.code for one in law(GOOD.replace("barrel", f"barrel{sign}"), GOOD)} == {"landed-text-mended"}
    escaped = GOOD.replace("all well", f'"all \\u{ord(sign):04x}well"')
    assert {one.code for one in law(escaped, GOOD)} == {"landed-text-mended"}
    assert "error" in {one.severity for one in law(escaped, GOOD.replace("all well", "all ill"))}


def test_lines_that_end_in_crlf_may_be_written_well_too() -> None:
    landed, now = GOOD.replace("psi: 7", "psi: 7 # x\u202e").replace("\n", "\r\n"), GOOD.replace("psi: 7", "psi: 7 # x").replace("\n", "\r\n")
    assert {one.code for one in law(landed, now) if one.severity != "note"} == {"landed-text-mended"}


def test_an_escape_of_a_sign_that_is_seen_stays() -> None:
    landed = GOOD.replace("all well", '"all \\u202e \\u0041 well"')
    assert {one.code for one in law(landed, GOOD.replace("all well", '"all \\u0041 well"'))} == {"landed-text-mended"}
    assert "error" in {one.severity for one in law(landed, GOOD)}


def test_entries_in_one_line_keep_their_words() -> None:
    one = "{id: abcd0001, date: 2026-10-05, job: test, by: me, result: fail, psi: 7}"
    torn = f"{HEAD}- {one.replace('me', chr(34) + 'me')}\n"
    assert {found.code for found in law(torn, f"{HEAD}- {one}\n")} == {"landed-text-mended"}
    assert "error" in {found.severity for found in law(torn, f"{HEAD}- {one.replace('fail', 'pass')}\n")}
    assert "error" in {found.severity for found in law(torn, HEAD.replace("events:", "events: []"))}


@given(
    st.integers(0, len(GOOD) - 1),
    st.sampled_from(["", '"', "\t", "\0", "&", "*", ":", "  ", "\n", "{", "["]),
    st.integers(0, len(GOOD) - 1),
    st.sampled_from("0123456789abc"),
)
def test_a_broken_file_put_right_with_another_sign_changed_is_never_silent(at: int, sign: str, other: int, letter: str) -> None:
    """Break the file anywhere, put it right, and alter one letter or digit of another line besides: never without an error."""
    broken = GOOD[:at] + sign + GOOD[at + 1 :]
    altered = GOOD[:other] + letter + GOOD[other + 1 :]
    away = GOOD[:at].count("\n") != GOOD[:other].count("\n")
    if away and GOOD[other].isalnum() and altered != GOOD and "\n" not in (GOOD[at], sign):
        assert "error" in {one.severity for one in law(broken, altered)}
