"""Findings for machines: JSON with stable keys, and the workflow commands by which a hosted review marks lines."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from caskbook.core.finding import Finding, Origin, Severity
from caskbook.render.plain_json import data_json

_LEVELS: dict[Severity, str] = {"error": "error", "warning": "warning", "note": "notice"}


def findings_data(findings: Iterable[Finding], casks: int) -> dict[str, Any]:
    """{"casks": n, "findings": [...]}: keys are only ever added."""
    return {"casks": casks, "findings": [_row(one) for one in findings]}


def _row(one: Finding) -> dict[str, Any]:
    return {
        "path": one.path, "line": one.span.line, "column": one.span.column, "end_line": one.span.end_line,
        "end_column": one.span.end_column, "code": one.code, "severity": one.severity, "message": one.message,
        "help": one.help, "cask": one.cask, **(origin_data(one.origin) if one.origin else {}),
    }  # fmt: skip


def origin_data(made: Origin | None) -> dict[str, Any]:
    """The commit of an alteration, its author and days; null where it is not committed, or the finding is about no alteration."""
    if made is None:
        return {"commit": None, "author": None, "written_on": None, "committed_on": None, "put_back_by": None}
    return {"commit": made.commit, "author": made.author, "written_on": made.day, "committed_on": made.committed_on, "put_back_by": made.put_back}


def findings_json(findings: Iterable[Finding], casks: int, form: str = "json") -> str:
    """The same as text, in `jsonl` a finding a line; every sign beyond ASCII is escaped, so no terminal acts on it."""
    data = findings_data(findings, casks)
    return data_json(data, form, data["findings"]) if form == "jsonl" else json.dumps(data, indent=2) + "\n"


def github_text(findings: Iterable[Finding]) -> str:
    """`::error file=…,line=…,col=…,title=…::message`, one a finding; the help follows the message on a line of its own."""
    return "".join(_command(one) for one in findings)


def _command(one: Finding) -> str:
    span = one.span
    fields = {"file": one.path, "line": span.line, "endLine": max(span.line, span.end_line), "col": span.column}
    if span.end_line == span.line:
        fields["endColumn"] = max(span.column, span.end_column)
    fields["title"] = one.code
    listed = ",".join(f"{name}={_property(str(value))}" for name, value in fields.items())
    text = one.message + (f"\nhelp: {one.help}" if one.help else "")
    return f"::{_LEVELS[one.severity]} {listed}::{_data(text)}\n"


def _data(text: str) -> str:
    clean = "".join(sign if sign.isprintable() or sign in "\r\n" else "?" for sign in text)
    return clean.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")
