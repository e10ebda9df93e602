"""The SARIF log: held to the published schema, its rules and results matched, its places counted as the standard counts."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from caskbook.core.finding import Finding, Severity, Span
from caskbook.render.sarif import sarif_json, sarif_log

PATH = "records/casks/TH-004/TH-004217.yaml"
# As shipped in the package schemastore 0.2.3 (licence Apache 2.0); the schema itself is by OASIS.
SCHEMA = json.loads((Path(__file__).parent / "sarif-schema-2.1.0.json").read_text(encoding="utf-8"))


def one(line: int, column: int, end: int, *, severity: Severity = "error", code: str = "fill-of-full-cask", path: str = PATH) -> Finding:
    return Finding(code, severity, "as found", path, Span(line, column, line, end), "void the one that is wrong", "TH-004217")


@pytest.mark.parametrize("found", [[], [one(3, 11, 21)], [one(1, 1, 1, code="a-code-of-later", severity="note", path="a b/ü.yaml"), one(2, 1, 9)]])
def test_sarif_holds_to_its_schema(found: list[Finding]) -> None:
    log = json.loads(sarif_json(found, "0.1.0"))
    jsonschema.Draft7Validator(SCHEMA, format_checker=jsonschema.FormatChecker()).validate(log)
    run = log["runs"][0]
    assert log["version"] == "2.1.0" and len(run["results"]) == len(found)
    for result, finding in zip(run["results"], found, strict=True):
        assert run["tool"]["driver"]["rules"][result["ruleIndex"]]["id"] == finding.code == result["ruleId"]
        assert result["level"] == finding.severity


def test_the_schema_can_refuse() -> None:
    log = sarif_log([one(3, 11, 21)], "0.1.0")
    log["runs"][0]["results"][0]["level"] = "notice"
    assert list(jsonschema.Draft7Validator(SCHEMA).iter_errors(log))


def test_sarif_columns_count_code_points_and_paths_are_uris() -> None:
    run = sarif_log([one(3, 11, 21, path="a b/ü.yaml")], "0.1.0")["runs"][0]
    place = run["results"][0]["locations"][0]["physicalLocation"]
    assert run["columnKind"] == "unicodeCodePoints"
    assert place["artifactLocation"]["uri"] == "a%20b/%C3%BC.yaml"
    assert place["region"] == {"startLine": 3, "startColumn": 11, "endLine": 3, "endColumn": 21}
