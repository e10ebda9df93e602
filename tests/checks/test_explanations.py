"""Every code explained, every example run: the wrong one gives exactly its code, the right one nothing."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from syntax import modules

from caskbook.checks import EXPLANATIONS, explanation, history, landed_attributes, landed_beside, tree_names
from caskbook.render.findings import explained_text, findings_text
from checks.example_ledgers import check_example, files_of

GOLDEN = Path(__file__).parent / "golden"
# What compares two states of a ledger, or looks at a tree of git, has its examples run where its own tests are.
COMPARED = history.CODES | landed_beside.CODES | landed_attributes.CODES | tree_names.CODES
CODES = sorted(set(EXPLANATIONS) - set(COMPARED))
# Rooms that report findings of their own, with explanations of their own.
LATER = ("due", "cli", "render", "review", "changes", "demo")


# Where the code stands among the arguments of a call that makes a finding.
AT = {"Finding": 0, "Fault": 0, "head_fault": 0, "add": 0, "fault": 1, "fault_at": 2}
CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)+")


def emitted() -> set[str]:
    """Every code that stands in the package: as the code of a finding, as the value of a name `code`, or in a table."""
    found: set[str] = set()
    for name, tree in modules().items():
        if set(name.split(".")[1:2]) & set(LATER):
            continue
        for node in _outside_tables(tree):
            found |= {word for word in _words(node) if word in EXPLANATIONS}
            if isinstance(node, ast.Call):
                name = getattr(node.func, "id", getattr(node.func, "attr", ""))
                at = AT.get(name, 99) if name != "add" or len(node.args) > 3 else 99
                found |= {word for arg in node.args[at : at + 1] for word in _words(arg) if CODE.fullmatch(word)}
            elif isinstance(node, ast.Assign) and "code" in ast.dump(node.targets[0]).split("'"):
                values = node.value.elts[:1] if isinstance(node.value, ast.Tuple) else [node.value]
                found |= {word for value in values for inner in ast.walk(value) for word in _words(inner) if CODE.fullmatch(word)}
    return found


def _outside_tables(tree: ast.Module) -> Iterator[ast.AST]:
    """Every node but those of the rows in which a module states its codes."""
    for statement in tree.body:
        targets = statement.targets if isinstance(statement, ast.Assign) else [statement.target] if isinstance(statement, ast.AnnAssign) else []
        if not {getattr(target, "id", "") for target in targets} & {"RULES", "CODES"}:
            yield from ast.walk(statement)


def _words(node: ast.AST) -> set[str]:
    return {node.value} if isinstance(node, ast.Constant) and isinstance(node.value, str) else set()


@pytest.mark.thorough
def test_every_code_emitted_is_explained_and_the_other_way_round() -> None:
    assert emitted() == set(EXPLANATIONS)


def test_there_are_enough_codes_and_each_is_told_in_full() -> None:
    assert len(CODES) >= 45
    for code in CODES:
        one = EXPLANATIONS[code]
        assert one.what and one.why and one.wrong and one.right, code
        assert max(len(line) for line in (one.wrong + one.right).splitlines()) <= 108, code


# Told in each of the files that say so, since none of them goes on: whichever is looked at has it on its card.
TIMES = {"joined-in-a-ring": 2, "joined-twice": 2}


@pytest.mark.parametrize("code", CODES)
def test_wrong_gives_exactly_the_code_and_its_golden_output(code: str, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    one = EXPLANATIONS[code]
    report = check_example(one.wrong, tmp_path)
    found = [finding.code for finding in report.findings]
    assert code in found
    assert [other for other in found if other not in one.also] == [code] * TIMES.get(code, 1), report.findings
    assert {*one.also} <= {*found, *(finding.code for finding in check_example(one.right, tmp_path / "right").findings)}, one.also
    mine = next(finding for finding in report.findings if finding.code == code)
    assert mine.severity == one.severity
    assert len(mine.message) <= 80 and "\n" not in mine.message, len(mine.message)
    texts = {f"records/{name}": data for name, data in files_of(one.wrong).texts.items()}
    shown = findings_text(report.findings, report.casks, texts.get, notes=True)
    assert all(line.isprintable() for line in shown.splitlines())
    golden = GOLDEN / f"{code}.txt"
    if request.config.getoption("--golden"):
        golden.parent.mkdir(exist_ok=True)
        golden.write_text(shown, encoding="utf-8")
    assert golden.read_text(encoding="utf-8") == shown


@pytest.mark.parametrize("code", CODES)
def test_right_gives_nothing(code: str, tmp_path: Path) -> None:
    one = EXPLANATIONS[code]
    assert [f for f in check_example(one.right, tmp_path).findings if f.code not in one.also] == []


def test_no_golden_file_without_its_code() -> None:
    """That each code has its file is held where it is compared: beside this, `--golden` may be writing the file of a new code."""
    assert {path.stem for path in GOLDEN.glob("*.txt")} - set(CODES) == set()


def test_severities_agree_with_what_history_reports() -> None:
    assert {code: EXPLANATIONS[code].severity for code in COMPARED} == COMPARED


def test_an_explanation_reads_well() -> None:
    one = explanation("fill-of-full-cask")
    assert one is not None and explanation("no-such-code") is None
    text = explained_text(one)
    assert text.startswith("fill-of-full-cask (error)\n")
    assert "Wrong:" in text and "Right:" in text and "job: fill" in text
