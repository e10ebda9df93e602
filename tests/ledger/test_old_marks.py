"""Casks found by what stood on the head before, however it is written."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from caskbook.ledger.files import open_folder
from caskbook.ledger.old_marks import bearers

HEAD = "cask: {}\nformat: 1\ntype: barrel\nwas: {}\nevents:\n  - {{id: e0000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}}\n"


@pytest.mark.parametrize(
    ("written", "asked"),
    [
        ('["É 7"]', "é 7"), ('["é 7"]', "É 7"), ('["\\u00c9 7"]', "É 7"), ('["STRASSE 4"]', "Straße 4"), ('["Straße 4"]', "strasse 4"), ('["AB 12"]', " ab 12 "),
        ('["\\x41B 12"]', "AB 12"), ("\n  - AB\n    12", "ab 12"), ('["K 9"]', "k 9"),
    ],
)  # fmt: skip
def test_a_mark_is_found_in_any_spelling(tmp_path: Path, written: str, asked: str) -> None:
    folder = tmp_path / "casks" / "TH-000"
    folder.mkdir(parents=True)
    (tmp_path / "house.yaml").write_text("timezone: UTC\n")
    for number, mark in (("TH-000001", written), ("TH-000002", asked if written[0] == "[" else f"['{asked}']"), ("TH-000003", "[other]")):
        mark = mark if mark.startswith(("[", "\n")) else f'["{mark}"]'
        (folder / f"{number}.yaml").write_text(HEAD.format(number, mark), encoding="utf-8")
    found = bearers(open_folder(tmp_path, tmp_path), asked, date(2021, 1, 1))
    assert found == ["TH-000001", "TH-000002"]
