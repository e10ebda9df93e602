"""Litres of nothing, and figures with a nought in front, which some readers of YAML take as octal."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook

HEAD = """\
cask: TH-000001
format: 1
type: barrel
capacity_l: 200
prior: [{contents: bourbon, fills: 1}]
charred: 2011
events:
"""
CAME = """\
  - {id: dr9kg001, date: 2015-01-01, job: receive, by: ab, verdict: accept}
  - {id: dr9kg003, date: 2015-01-02, job: examine, by: ab, verdict: sound}
"""
FULL = "  - {id: dr9kg004, date: 2015-01-03, job: fill, by: ab, spirit: malt, litres: 100, abv: 60, at_20: true, method: meter}\n"
LAST = "  - {id: dr9kg006, date: 2015-01-05, by: ab, %s}\n"
PART = "[{cask: TH-000002, litres: %s, abv: 60}]"
ENTRIES = {
    "fill": (CAME, "job: fill, spirit: malt, litres: %s, abv: 60, at_20: true"), "top": (CAME + FULL, "job: top, litres: %s, abv: 60, at_20: true"),
    "draw": (CAME + FULL, "job: draw, litres: %s, abv: 60, at_20: true"), "season": (CAME, "job: season, wine: oloroso, litres: %s"),
    "regauge": (CAME + FULL, "job: regauge, litres: %s, abv: 60, at_20: true, method: meter"),
    "receive": ("", "job: receive, verdict: accept, contents: spirit, spirit: malt, litres: %s, abv: 60, at_20: true"),
    "rack-out": (CAME + FULL, f"job: rack-out, to: {PART}, at_20: true, why: room, left_l: 10, lost_l: 0"),
    "rack-in": (CAME, f"job: rack-in, from: {PART}, spirit: malt, oak_since: 2010-01-01, at_20: true"),
}  # fmt: skip


def findings(root: Path, before: str, entry: str) -> dict[str, int]:
    """Code → column of each warning or error at the litres of the last entry."""
    (root / "house.yaml").write_text("name: H\ntimezone: UTC\n", encoding="utf-8")
    path = root / "casks" / "TH-000" / "TH-000001.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    text = HEAD + before + LAST % entry
    path.write_text(text, encoding="utf-8")
    line = text.count("\n")
    column = text.splitlines()[-1].index("litres: ") + len("litres: ") + 1
    found = json.loads(caskbook("check", "--format", "json", "--records", str(root)).stdout)["findings"]
    return {one["code"]: one["column"] for one in found if one["line"] == line and one["column"] == column and one["severity"] != "note"}


@pytest.mark.parametrize("job", ENTRIES)
@pytest.mark.parametrize(("litres", "code"), [("0", "implausible-value"), ("0.0", "implausible-value"), ("0100", "ambiguous-word"), ("044", "ambiguous-word")])
def test_it_is_told_at_the_figure(tmp_path: Path, job: str, litres: str, code: str) -> None:
    before, entry = ENTRIES[job]
    assert list(findings(tmp_path, before, entry % litres)) == [code]


@pytest.mark.parametrize("job", ENTRIES)
def test_litres_are_no_finding(tmp_path: Path, job: str) -> None:
    before, entry = ENTRIES[job]
    assert findings(tmp_path, before, entry % "44") == {}


@pytest.mark.parametrize(
    ("before", "entry"), [(CAME + FULL, "job: empty, litres: 0, why: leaked-out"), ("", "job: receive, verdict: accept, contents: empty, litres: 0")]
)
def test_where_nothing_is_an_answer_it_is_none(tmp_path: Path, before: str, entry: str) -> None:
    assert findings(tmp_path, before, entry) == {}
