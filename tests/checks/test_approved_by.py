"""Who signs for a decision, a release or a retirement is held against the crew, as who did the work is."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook

HOUSE = "name: H\ntimezone: UTC\ncrew: [{initials: ab}, {initials: ql, name: Quality Lead}, {initials: mo, until: 2019-12-31}]\n"
CAME = """\
cask: TH-000001
format: 1
type: barrel
capacity_l: 200
events:
  - {id: dr9kg001, date: 2015-01-01, job: receive, by: ab, verdict: hold}
"""
ENTRIES = {
    "release": "why: answered", "retire": "reasons: [worn]", "decide": "rule: rechar, outcome: keep, why: good wood",
}  # fmt: skip


def book(root: Path, *entries: str) -> Path:
    (root / "house.yaml").write_text(HOUSE, encoding="utf-8")
    path = root / "casks" / "TH-000" / "TH-000001.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(CAME + "".join(entries), encoding="utf-8")
    return root


@pytest.mark.parametrize("job", ENTRIES)
@pytest.mark.parametrize(("name", "more", "code"), [
    ("ql", "", None), ("Quality Lead", "", None), ("K. Dunmore", "", None), ("zz", "", "unknown-crew"), ("qi", "", "unknown-crew"),
    ("mo", "", "crew-not-yet-or-no-longer"), ("zz", ", source: register", None),
])  # fmt: skip
def test_initials_are_held_against_the_crew_and_names_are_not(tmp_path: Path, job: str, name: str, more: str, code: str | None) -> None:
    root = book(tmp_path, f"  - {{id: dr9kg002, date: 2020-01-01, job: {job}, by: ab, {ENTRIES[job]}, approved_by: {name}{more}}}\n")
    found = json.loads(caskbook("check", "--format", "json", "--records", str(root)).stdout)["findings"]
    told = [(one["code"], one["message"].split()[0]) for one in found if one["code"] in ("unknown-crew", "crew-not-yet-or-no-longer")]
    assert told == ([(code, "`approved_by`")] if code else []), found


@pytest.mark.parametrize(("name", "said"), [("zz", "approved by zz, who is not of the crew"), ("mo", "approved by mo: mo left the crew on 2019-12-31")])
def test_it_is_asked_about_once_where_it_is_entered(tmp_path: Path, name: str, said: str) -> None:
    root = book(tmp_path)
    words = (
        "decide",
        "TH-000001",
        "--rule",
        "rechar",
        "--outcome",
        "keep",
        "--why",
        "good wood",
        "--approved-by",
        name,
        "--by",
        "ab",
        "--date",
        "2020-01-01",
        "--yes",
    )
    done = caskbook("enter", *words, "--records", str(root))
    assert done.returncode == 1 and done.stderr.count(said) == 1 and "nobody of the crew" not in done.stderr, done.stderr
    assert caskbook("enter", *words, "--anyway", "--records", str(root)).returncode == 0
