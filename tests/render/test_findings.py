"""Findings shown: the user's own line, the pointer under the exact columns, nothing a terminal would act on."""

from __future__ import annotations

import json

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from caskbook.core.finding import Finding, Severity, Span
from caskbook.render.finding_formats import findings_json, github_text
from caskbook.render.findings import concise_text, explained_text, findings_text, listed_codes, summary
from caskbook.render.sarif import sarif_json

PATH = "records/casks/TH-004/TH-004217.yaml"


def one(line: int, column: int, end: int, message: str = "as found", *, severity: Severity = "error", code: str = "fill-of-full-cask", path: str = PATH) -> Finding:  # fmt: skip
    return Finding(code, severity, message, path, Span(line, column, line, end), "void the one that is wrong", "TH-004217")


def shown(text: str, finding: Finding) -> list[str]:
    return findings_text([finding], 1, lambda path: text.encode() if path == PATH else None, notes=True).splitlines()


def test_the_line_above_is_shown_inside_an_entry() -> None:
    text = "events:\n  - id: gqt72n0k\n    date: 2023-06-03\n"
    assert shown(text, one(3, 11, 21, "filled again; it has held malt since 2023-06-01")) == [
        "records/casks/TH-004/TH-004217.yaml:3:11  error  fill-of-full-cask",
        "    2 |   - id: gqt72n0k",
        "    3 |     date: 2023-06-03",
        "      |           ^^^^^^^^^^ filled again; it has held malt since 2023-06-01",
        "   help: void the one that is wrong",
        "",
        "1 cask: 1 error  (caskbook explain fill-of-full-cask)",
    ]


def test_signs_of_two_cells_and_tabs_keep_the_pointer_in_place() -> None:
    lines = shown("樽: 水楢 oak\n", one(1, 7, 10))
    assert lines[1] == "    1 | 樽: 水楢 oak"
    at = lines[2].index("^")
    assert cell_len(lines[1][: lines[1].index("oak")]) == at and lines[2].count("^") == 3
    assert shown("a:\tb\n", one(1, 4, 5))[1:3] == ["    1 | a:\\x09b", "      |       ^ as found"]


def test_a_megabyte_in_one_line_is_shown_about_the_place() -> None:
    text = "note: " + "x" * 1_000_000 + "HERE" + "y" * 1_000_000 + "\n"
    lines = shown(text, one(1, 1_000_007, 1_000_011))
    assert "HERE" in lines[1] and len(lines[1]) < 180
    assert lines[2].index("^") == lines[1].index("HERE") and "^^^^" in lines[2]


def test_a_long_message_stands_in_its_own_line() -> None:
    lines = shown(f"{'a' * 60}: b\n", one(1, 63, 64, "a value of no use here: expected another one"))
    assert lines[2].endswith("^") and lines[3] == "      | a value of no use here: expected another one"


def test_a_place_that_is_not_in_the_file_and_a_file_that_is_not_there() -> None:
    assert shown("a: 1\n", one(9, 1, 2))[1] == "   as found"
    assert findings_text([one(1, 1, 1, path="elsewhere.yaml")], 0, lambda _: None).splitlines()[1] == "   as found"


SIGNS = st.text(st.characters(codec="utf-8", exclude_characters="\n"), max_size=40)


@given(SIGNS, SIGNS, SIGNS, SIGNS)
def test_nothing_a_terminal_acts_on_comes_through(before: str, marked: str, after: str, message: str) -> None:
    text = before + marked + after + "\n"
    finding = one(1, len(before) + 1, len(before) + len(marked) + 1, message.replace("\r", ""))
    for form in (findings_text([finding], 1, lambda _: text.encode()), concise_text([finding]), github_text([finding]), findings_json([finding], 1), sarif_json([finding], "1")):  # fmt: skip
        assert all(line.isprintable() for line in form.split("\n"))


def test_concise_is_a_line_each() -> None:
    found = [one(3, 11, 21), one(4, 1, 2, severity="warning", code="by-missing"), one(5, 1, 2, severity="note", code="left-under-age")]
    assert concise_text(found) == f"{PATH}:3:11: error fill-of-full-cask as found\n{PATH}:4:1: warning by-missing as found\n"
    assert concise_text(found, notes=True).count("\n") == 3


def test_the_summary_counts_and_names_a_code_to_explain() -> None:
    found = [one(1, 1, 2), *[one(2, 1, 2, severity="warning", code="by-missing")] * 2]
    assert summary(found, 61) == "61 casks: 1 error, 2 warnings  (caskbook explain fill-of-full-cask)\n"
    long = [one(3, 1, 2, code="swapped-heads-of-a-cask-that-has-no-such-head-or-none")]
    assert summary(long, 61).splitlines() == ["61 casks: 1 error", "  (caskbook explain swapped-heads-of-a-cask-that-has-no-such-head-or-none)"]
    assert summary([], 1) == "1 cask: nothing wrong\n"
    notes = [one(1, 1, 2, severity="note", code="left-under-age")]
    assert summary(notes, 110_000, notes=False) == "110,000 casks: 1 note (not shown)\n"
    assert findings_text(notes, 2, lambda _: b"a: 1\n") == "2 casks: 1 note (not shown)\n"


def test_json_has_exactly_the_promised_keys() -> None:
    data = json.loads(findings_json([one(3, 11, 21)], 61))
    assert data == {
        "casks": 61,
        "findings": [
            {
                "path": PATH, "line": 3, "column": 11, "end_line": 3, "end_column": 21, "code": "fill-of-full-cask",
                "severity": "error", "message": "as found", "help": "void the one that is wrong", "cask": "TH-004217",
            }
        ],
    }  # fmt: skip


def test_workflow_commands_are_escaped() -> None:
    finding = one(3, 11, 21, "100 %: a,b\nc", path="a,b:c%.yaml", severity="note")
    assert github_text([finding]) == (
        "::notice file=a%2Cb%3Ac%25.yaml,line=3,endLine=3,col=11,endColumn=21,title=fill-of-full-cask::100 %25: a,b%0Ac%0Ahelp: void the one that is wrong\n"
    )
    over_lines = Finding("yaml-syntax", "warning", "m", "p", Span(2, 3, 5, 1))
    assert github_text([over_lines]) == "::warning file=p,line=2,endLine=5,col=3,title=yaml-syntax::m\n"


def test_explanations_and_their_list_fit_the_terminal_and_are_whole_in_a_pipe() -> None:
    from caskbook.checks.explain import EXPLANATIONS

    for width in (60, 80):
        for told in EXPLANATIONS.values():
            text = explained_text(told, width)
            assert max(map(len, text.splitlines())) <= width or told.code in ("nested-too-deep", "number-too-large", "control-character"), told.code
            assert text.split() == explained_text(told).split(), "only folded"
    rows = [
        ("fill-of-full-cask", "error", "A filling of a cask that was full already, of which the book holds no emptying"),
        ("rechar", "due rule", "Char again"),
    ]
    assert listed_codes(rows, None).splitlines()[0].endswith("holds no emptying")
    folded = listed_codes(rows, 60).splitlines()
    assert len(folded) == 4 and max(map(len, folded)) <= 60 and folded[-1].split() == ["rechar", "due", "rule", "Char", "again"]
