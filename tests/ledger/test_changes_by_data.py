"""Files that cannot be cut into lines are compared by their data: entries in brackets, keys below the list, faulty entries."""

from __future__ import annotations

import pytest

from caskbook.checks.history import append_only
from caskbook.ledger.changes import CaskChange, compare
from caskbook.model.cask_file import read_record

pytestmark = pytest.mark.thorough

HEAD = "cask: TH-009001\nformat: 1\ntype: barrel\ncapacity_l: 200\n"
ONE = "{id: d9wqvmt6, date: 2013-03-12, job: receive, by: mo, verdict: accept}"
TWO = "{id: dacxk1ce, date: 2013-04-04, job: fill, by: mo, spirit: malt, litres: 196.3, abv: 63.3, temp_c: 11.7}"
NEW = "{id: e0000001, date: 2014-01-01, job: note, by: mo, note: hi}"
FLOW = f"{HEAD}events: [{ONE}, {TWO}]\n"
LINES = f"{HEAD}events:\n- {ONE}\n- {TWO}\n"
ODD = {
    "in one line": FLOW,
    "no final newline": FLOW[:-1],
    "over lines": f"{HEAD}events:\n  [\n  {ONE},\n  {TWO}\n  ]\n",
    "with comments": f"{HEAD}events: [ # list\n  {ONE}, # one\n  # two\n  {TWO}]\n",
    "in CRLF": FLOW.replace("\n", "\r\n"),
    "all in braces": f"{{cask: TH-009001, format: 1, events: [{ONE}, {TWO}], capacity_l: 200}}\n",
    "a key below": f"cask: TH-009001\nevents:\n- {ONE}\n- {TWO}\ncapacity_l: 200\n",
    "a doubled key": f"{LINES}- {{id: e1, date: 2016-01-01, job: note, by: mo, note: a, note: b}}\n",
    "a doubled key in it": FLOW.replace("temp_c: 11.7", "temp_c: 11.7, temp_c: 12"),
    "a tag": LINES.replace("temp_c: 11.7", "temp_c: !x 11.7"),
    "an alias": f"{HEAD}events: [&a {ONE}, {TWO}, *a]\n",
    "two documents": FLOW + "---\nx: 1\n",
    "a byte order mark": "\ufeff" + FLOW,
    "a tab": f"{HEAD}events: [{ONE},\t{TWO}]\n",
    "a doubled head key": FLOW.replace("format: 1\n", "format: 1\nformat: 2\n"),
    "no map": f"{HEAD}events: [{ONE}, {TWO}, 5]\n",
    "one id twice": f"{HEAD}events: [{ONE}, {ONE}, {TWO}]\n",
    "broken": f"{HEAD}events: [{ONE}, {TWO}\n",
    "a quote left open": FLOW.replace("malt,", '"malt,'),
    "events of a map": f"{HEAD}events: {{a: {ONE}, b: {TWO}}}\n",
}


def changed(old: str | bytes, new: str | bytes) -> CaskChange:
    sides = [text.encode() if isinstance(text, str) else text for text in (old, new)]
    return compare(*(read_record("casks/TH-009/TH-009001.yaml", data) for data in sides))


def law(old: str | bytes, new: str | bytes) -> list[tuple[str, str]]:
    return [(one.code, one.severity) for one in append_only([changed(old, new)])]


@pytest.mark.parametrize("text", ODD.values(), ids=ODD)
@pytest.mark.parametrize(
    ("was", "now"),
    [("196.3", "156.3"), ("id: dacxk1ce, ", "id: dacxk1cf, "), ("id: dacxk1ce, ", ""), ("by: mo, spirit", "spirit"), ("capacity_l: 200", "capacity_l: 201")],
)
def test_nothing_landed_is_altered_unseen(text: str, was: str, now: str) -> None:
    if was in text:
        assert "error" in {severity for _, severity in law(text, text.replace(was, now))}


SAME = [text for name, text in ODD.items() if name not in ("no map", "one id twice", "events of a map", "an alias")]


@pytest.mark.parametrize("new", SAME)
def test_no_way_of_writing_hides_an_alteration(new: str) -> None:
    for old in SAME:
        assert "error" in {severity for _, severity in law(old, new.replace("196.3", "156.3"))}


@pytest.mark.parametrize("name", ["a doubled key", "a doubled key in it", "a tag", "two documents", "a tab", "a doubled head key", "no map", "an alias"])
def test_a_fault_that_landed_lets_lawful_entries_through(name: str) -> None:
    text = ODD[name]
    more = text.replace(f"- {ONE}", f"- {ONE}\n- {NEW}") if "- {" in text else text.replace(ONE, f"{ONE}, {NEW}")
    assert more != text and law(text, more) == [] and law(text, more.replace("format: 1\n", "format: 1\nmaker: x\n", 1)) == []


UNREAD = "\u202e"
HEADS = {
    "a remark in brackets": f"prior:\n  - {{fills: 1, contents:\n     bourbon\n     # told by north{UNREAD}quay\n    }}\n",
    "the value itself": f"prior: [{{contents: bourbon{UNREAD}, fills: 1}}]\n",
    "another value": f"prior: [{{contents: bourbon, fills: 1{UNREAD}}}]\n",
    "a remark behind": f"prior:\n  - contents: bourbon # {UNREAD}\n    fills: 1\n",
    "a list of words": f"was: [88-1207, bourbon{UNREAD}]\n",
    "one value": f"maker: bourbon{UNREAD}\n",
    "one value, quoted, with a sign for remarks": f'maker: "x{UNREAD} # bourbon"\n',
    "a text over lines": f'maker: "x{UNREAD}\n  # bourbon"\n',
    "an escape": 'prior: [{contents: "bourbon\\u202e", fills: 1}]\n',
    "a tag": "prior: [{contents: !x bourbon, fills: 1}]\n",
    "a key twice": "prior: [{contents: new, contents: bourbon}]\n",
    "a merge key": "prior: [{fills: 1, <<: {contents: bourbon}}]\n",
    "an alias": "supplier: &a bourbon\nprior: [{contents: *a, fills: 1}]\n",
    "a map as key": "prior: [{fills: 1, [bourbon]: 1}]\n",
}


@pytest.mark.parametrize("head", HEADS.values(), ids=HEADS)
@pytest.mark.parametrize("events", [f"events:\n- {ONE}\n- {TWO}\n", f"events: [{ONE}, {TWO}]\n"])
def test_no_fault_in_a_head_hides_that_it_was_altered(head: str, events: str) -> None:
    landed = HEAD + head + events
    found = append_only([changed(landed, landed.replace("bourbon", "sherry"))])
    assert "landed-head-changed" in {one.code for one in found} and not [one.message for one in found if "the data is the same" in one.message], found
    assert "landed-head-changed" in {code for code, _ in law(landed, landed.replace("bourbon", "sherry").replace(UNREAD, ""))}
    more = landed.replace(f"- {ONE}", f"- {ONE}\n- {NEW}").replace(f"[{ONE}", f"[{ONE}, {NEW}")
    assert law(landed, more) == [] and law(landed, more.replace("format: 1\n", "format: 1\nowner: x\n", 1)) == []


def test_a_line_that_was_left_out_is_compared_too() -> None:
    broken = f"{HEAD}events:\n- id: dacxk1ce\n  date: 2013-04-04\n  job: fill\n  by: mo\n  litres: 196.3\n  abv 63.3\n- {NEW}\n"
    assert "error" in {severity for _, severity in law(broken, broken.replace("63.3", "53.3"))}
    assert "error" in {severity for _, severity in law(broken, broken.replace("196.3", "156.3"))}


@pytest.mark.parametrize("text", ODD.values(), ids=ODD)
def test_a_breach_in_what_can_be_read_is_told_exactly(text: str) -> None:
    found = law(text, text.replace("196.3", "156.3"))
    known = {"landed-event-altered"} if "broken" not in text and "a: {" not in text else {"landed-head-changed"}
    assert {code for code, _ in found} <= known | {"landed-head-changed", "landed-file-unreadable"}
    if text in (FLOW, ODD["over lines"], ODD["all in braces"], ODD["a key below"], ODD["a doubled key"], ODD["in CRLF"]):
        assert found == [("landed-event-altered", "error")]


def test_the_message_names_entry_and_field() -> None:
    (found,) = append_only([changed(FLOW, FLOW.replace("196.3", "156.3"))])
    assert found.message == "fill of 2013-04-04 (dacxk1ce): `litres` was 196.3 when it landed, is 156.3"
    assert (found.span.line, found.span.column) == (5, FLOW.split("\n")[4].index("litres") + 1)


@pytest.mark.parametrize("text", [FLOW, ODD["over lines"], ODD["in CRLF"], ODD["all in braces"]])
def test_what_is_only_added_breaks_nothing_and_is_told(text: str) -> None:
    change = changed(text, text.replace(TWO, f"{TWO}, {NEW}"))
    assert [one.id for one in change.added] == ["e0000001"] and append_only([change]) == []


def test_removed_moved_and_laid_out_anew() -> None:
    assert law(FLOW, f"{HEAD}events: [{TWO}]\n") == [("landed-event-removed", "error")]
    assert law(FLOW, f"{HEAD}events: [{TWO}, {ONE}]\n") == [("landed-events-reordered", "error")]
    assert law(FLOW, LINES) == [("landed-layout-changed", "note")] == law(LINES, FLOW)
    assert law(ODD["with comments"], ODD["with comments"].replace("# two", "# three")) == [("landed-layout-changed", "note")]
    assert law(FLOW, FLOW.replace("\n", "\r\n")) == [("landed-layout-changed", "note")]
    assert law(FLOW, FLOW.replace(", {", ",  {")) == [("landed-layout-changed", "note")]


def test_entries_without_id_and_of_one_id() -> None:
    bare = FLOW.replace("id: dacxk1ce, ", "")
    assert law(bare, bare.replace("196.3", "156.3")) == [("landed-event-removed", "error")]
    assert law(bare, FLOW) == []
    twice = ODD["one id twice"]
    assert law(twice, twice.replace("verdict: accept", "verdict: reject", 1)) == [("landed-event-altered", "error")]


def test_what_could_not_be_read_at_all_stays_as_it_landed() -> None:
    assert law(b"\xff\xfe", b"\xff\xfd") == [("landed-file-unreadable", "error")]
    assert law("- a\n", FLOW) == [("landed-file-unreadable", "error")]
    assert law(FLOW, "- a\n") == [("landed-file-unreadable", "error")]
    assert law("", FLOW) == [("landed-file-unreadable", "error")]


def test_bytes_that_are_no_text_are_told_apart() -> None:
    old = FLOW.encode().replace(b"malt,", b"caf\xe9,")
    assert "error" in {severity for _, severity in law(old, old.replace(b"\xe9", b"\xe8"))}


def test_no_list_yet_and_a_list_of_nothing() -> None:
    assert law(f"{HEAD}events:\n", FLOW) == [] and law(f"{HEAD}events: []\n", FLOW) == [] and law(HEAD, FLOW) == []


def test_a_new_file_in_brackets_tells_its_entries() -> None:
    found = compare(None, read_record("casks/TH-009/TH-009001.yaml", FLOW.encode()))
    assert [one.id for one in found.added] == ["d9wqvmt6", "dacxk1ce"]
