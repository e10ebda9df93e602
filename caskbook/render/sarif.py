"""Findings as a SARIF 2.1.0 log (OASIS standard), for services that gather the results of checks."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any
from urllib.parse import quote

from caskbook.checks import EXPLANATIONS
from caskbook.core.finding import Finding
from caskbook.render.console import safe

VERSION = "2.1.0"
SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


def sarif_log(findings: Iterable[Finding], version: str) -> dict[str, Any]:
    """One run: the rules that were broken, each once, and a result for each finding. `version` is the program's own."""
    found = list(findings)
    codes = sorted({one.code for one in found})
    index = {code: n for n, code in enumerate(codes)}
    driver = {"name": "caskbook", "version": version, "rules": [_rule(code) for code in codes]}
    run = {"tool": {"driver": driver}, "columnKind": "unicodeCodePoints", "results": [_result(one, index) for one in found]}
    return {"$schema": SCHEMA, "version": VERSION, "runs": [run]}


def sarif_json(findings: Iterable[Finding], version: str) -> str:
    """The log as text, beyond ASCII escaped."""
    return json.dumps(sarif_log(findings, version), indent=2) + "\n"


def _rule(code: str) -> dict[str, Any]:
    known = EXPLANATIONS.get(code)
    if known is None:
        return {"id": code}
    return {
        "id": code,
        "shortDescription": {"text": known.what},
        "fullDescription": {"text": f"{known.what} {known.why}"},
        "help": {"text": f"{known.why}\n\nWrong:\n{known.wrong}\nRight:\n{known.right}"},
        "defaultConfiguration": {"level": known.severity},
    }


def _result(one: Finding, index: dict[str, int]) -> dict[str, Any]:
    """One finding as a SARIF result; `index` is code → place among the rules."""
    text = safe(one.message) + (f" ({safe(one.help)})" if one.help else "")
    result: dict[str, Any] = {
        "ruleId": one.code,
        "ruleIndex": index[one.code],
        "level": one.severity,
        "message": {"text": text},
        "locations": [_location(one)],
    }
    if one.cask is not None:
        result["properties"] = {"cask": safe(one.cask)}
    return result


def _location(one: Finding) -> dict[str, Any]:
    span = one.span
    region = {"startLine": span.line, "startColumn": span.column, "endLine": span.end_line, "endColumn": span.end_column}
    return {"physicalLocation": {"artifactLocation": {"uri": quote(one.path, safe="/._-~")}, "region": region}}
