"""A sign that nobody sees: what it touches is unknown, whatever would be read were it a blank or nothing."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.model.cask_file import read_record
from caskbook.model.house_file import read_house

pytestmark = pytest.mark.thorough

HEAD = "cask: TH-004217\nformat: 1\ntype: barrel\ncapacity_l: 200\nstaves: 31\nevents:\n"
RECEIVED = "  - id: e0000001\n    date: 2020-01-01\n    job: receive\n    by: ab\n    verdict: accept\n"
TEST = "  - id: e0000002\n    date: 2020-01-02\n    job: test\n    by: ab\n    psi: 9\n    result: pass\n"
FILL = "  - id: e0000003\n    date: 2020-01-03\n    job: fill\n    by: ab\n    spirit: malt\n    litres: 196\n    abv: 63\n    temp_c: 5\n    note: ping\n"
SIGNS = ("\x9b", "\u202e", "\x85", "\u2028", "\x1b", "\x7f", "\ufeff", "\u2066", "\r", "\u200b")
UNSEEN = ("\u200b", "\u2060", "\u00ad", "\u180e")


def written(text: str):  # type: ignore[no-untyped-def]
    return read_record("casks/TH-004/TH-004217.yaml", (HEAD + RECEIVED + text).encode())


@pytest.mark.parametrize("sign", SIGNS)
@pytest.mark.parametrize(
    "line",
    ["result: pass~#no, it failed", "result: pass~", "result:~pass", "result: ~pass", "result~: pass", "result: pass # ~so", "result: pass #~so", "~    result: pass",
     "result: 'pass'~", "result: 'pass'~#no", "result: pa~ss", "result: pass ~#no", 'result: "pass~"', 'result: "pass" # ~', "result: pass~: fail", "re~sult: pass",
     "result: pass\n      ~#no", "result: &x pass~", "result: !!str pass~"],
)  # fmt: skip
def test_no_pass_by_way_of_a_hidden_sign(sign: str, line: str) -> None:
    if sign == "\r" and line.endswith("~"):
        return  # the end of a line, as some programs write it
    found = written(TEST.replace("result: pass", line.replace("~", sign)))
    assert "control-character" in {f.code for f in found.findings}
    assert found.cask is None or all(getattr(event, "result", None) is None and event.codes for event in found.cask.events[1:]), line


@pytest.mark.parametrize("sign", SIGNS)
@pytest.mark.parametrize(
    "field, wrong",
    [
        ("litres: 196", "litres: 19~#6"),
        ("litres: 196", "litres: 196~"),
        ("temp_c: 5", "temp_c: 5~"),
        ("note: ping", "note: ~gnip"),
        ("spirit: malt", "spirit: malt # ~"),
    ],
)
def test_the_field_is_lost_and_the_event_says_why(sign: str, field: str, wrong: str) -> None:
    if sign == "\r" and wrong.endswith("~"):
        return
    found = written(FILL.replace(field, wrong.replace("~", sign)))
    assert found.cask is not None
    event = found.cask.events[1]
    key = field.partition(":")[0]
    assert getattr(event, key) is None and key in event.lost and "control-character" in event.codes
    assert event.abv == 63 and event.by == "ab" and event.id == "e0000003"  # type: ignore[attr-defined]


def test_one_fault_is_one_finding() -> None:
    found = written(FILL.replace("litres: 196", "litres: 196\u202e"))
    assert [f.code for f in found.findings] == ["control-character"] and found.cask is not None and found.cask.events[1].codes == ("control-character",)


def test_in_brackets_only_the_value_it_touches() -> None:
    found = written("  - {id: e0000002, date: 2020-01-02, job: look, by: ab, seen: d\x9bry, at: joint-3}\n")
    assert found.cask is not None
    event = found.cask.events[1]
    assert event.seen is None and event.at == "joint-3" and event.codes == ("control-character",)  # type: ignore[attr-defined]


def test_a_hidden_end_of_a_comment_marks_the_entry() -> None:
    found = written(TEST + "    # seen\u2028    cured_by: drive\n")
    assert found.cask is not None and found.cask.events[1].codes == ("control-character",)


def test_a_value_that_the_reader_leaves_out_is_told_with_the_entry() -> None:
    found = written(FILL.replace("temp_c: 5", "temp_c: .nan"))
    assert found.cask is not None and found.cask.events[1].codes == ("not-a-number",) and "temp_c" in found.cask.events[1].lost


def test_an_escaped_one_and_an_alias_of_one() -> None:
    found = written(FILL.replace("note: ping", 'note: "\\u202egnip"'))
    assert found.cask is not None and found.cask.events[1].note is None
    found = written(TEST.replace("psi: 9", "psi: 9\n    note: &x pass\x9b").replace("result: pass", "result: *x"))
    assert found.cask is not None and found.cask.events[1].result is None  # type: ignore[attr-defined]


def test_nor_in_a_head() -> None:
    found = read_record("casks/TH-004/TH-004217.yaml", (HEAD.replace("capacity_l: 200", "capacity_l: 20\x9b#0") + RECEIVED).encode())
    assert found.cask is not None and found.cask.head.capacity_l is None and found.cask.head.codes == ("control-character",)


def test_a_setting_so_written_is_no_setting() -> None:
    usual = read_house("house.yaml", b"timezone: UTC\n").house.raw
    for text in (
        "minimum_age: 1\x9b#0\n",
        "minimum_age: 10\u202e\n",
        "minimum_age:\u202e 10\n",
        "crew:\x9b\n  - {initials: ab}\n",
        "crew:\n  - {initials: ab\x9b}\n",
    ):
        found = read_house("house.yaml", ("timezone: UTC\n" + text).encode())
        assert found.house.raw == usual and any(f.code == "control-character" for f in found.findings), text


def test_through_every_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = tmp_path / "book"
    (root / "casks" / "TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew:\n  - {initials: ab}\n")
    examined = "  - id: e0000009\n    date: 2020-01-02\n    job: examine\n    by: ab\n    verdict: sound\n"
    (root / "casks/TH-004/TH-004217.yaml").write_bytes((HEAD + RECEIVED + examined + TEST.replace("pass", "pass\x9b#no, it failed")).encode())
    for index in ("", "off"):
        monkeypatch.setenv("CASKBOOK_INDEX", index)
        shown = json.loads(caskbook("show", "TH-004217", "--format", "json", "--records", str(root), "--as-of", "2020-02-01").stdout)
        assert shown["state"] != "ready" and shown["proved"] is False and shown["events"][2]["findings"] == ["control-character"]
        (row,) = json.loads(caskbook("query", "SELECT proved, state FROM cask", "--format", "json", "--records", str(root)).stdout)
        assert not row["proved"] and row["state"] != "ready"


@pytest.mark.parametrize("sign", UNSEEN)
def test_no_cask_drops_out_of_a_search_by_a_sign_without_a_width_that_nobody_sees(tmp_path: Path, sign: str) -> None:
    (tmp_path / "house.yaml").write_text("timezone: UTC\n", encoding="utf-8")
    (tmp_path / "casks" / "TH-004").mkdir(parents=True)
    text = HEAD.replace("events:", f"parcel: P-1{sign}\nsupplier: northquay\nevents:") + RECEIVED
    (tmp_path / "casks" / "TH-004" / "TH-004217.yaml").write_text(text, encoding="utf-8")
    check = json.loads(caskbook("check", "--format", "json", cwd=tmp_path).stdout)
    assert "control-character" in {one["code"] for one in check["findings"] if one["severity"] == "error"}
    listed = caskbook("list", "--format", "json", "--columns", "cask,parcel,supplier", cwd=tmp_path)
    assert sign not in listed.stdout and '"parcel": null' in listed.stdout and '"supplier": "northquay"' in listed.stdout


def test_joiners_and_marks_that_words_need_stay(tmp_path: Path) -> None:
    assert not [one for one in written(FILL.replace("ping", "a\u200db\u200cc\u200f")).findings if one.code == "control-character"]
