"""A file whose name and number differ counts as no cask, in no answer; and what a file is called steers no terminal."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook
from laws import crossed

TEXT = "cask: {}\nformat: 1\ntype: barrel\nevents:\n  - id: e0000001\n    date: 2020-01-01\n    job: receive\n    by: ab\n    verdict: accept\n    contents: spirit\n    spirit: malt\n    litres: 180\n    abv: 61.5\n    temp_c: 12\n    oak_since: 2018-01-01\n"


def book(folder: Path, **files: str) -> Path:
    root = folder / "book"
    (root / "casks" / "TH-003").mkdir(parents=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew:\n  - {initials: ab}\n")
    for name, number in {"TH-003373": "TH-003373", **files}.items():
        (root / "casks" / "TH-003" / f"{name}.yaml").write_text(TEXT.format(number))
    return root


@pytest.mark.thorough
@crossed("pair,index", [("TH-003372", "TH-003373"), ("TH-003372", "pass"), ("th-003372", "TH-003373"), ("TH-003372", "TH-003374")], ["", "off"])
def test_a_wrong_number_doubles_no_cask(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pair: tuple[str, str], index: str) -> None:
    name, number = pair
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    where = ("--records", str(book(tmp_path, **{name: number})))
    listed = caskbook("list", "--format", "json", *where)
    assert [row["cask"] for row in json.loads(listed.stdout)] == ["TH-003373"] and "1 file left out: caskbook check" in listed.stderr
    asked = caskbook("query", "SELECT cask FROM event", "--format", "json", *where)
    assert json.loads(asked.stdout) == [{"cask": "TH-003373"}] and "1 file left out: caskbook check" in asked.stderr
    due = caskbook("due", "--all", "--format", "json", *where)
    found = json.loads(due.stdout)
    rows = [(row["cask"], row["rule"]) for row in (found["verdicts"] if isinstance(found, dict) else found)]
    assert len(rows) == len(set(rows)) and {cask for cask, _ in rows} == {"TH-003373"} and "left out" in due.stderr
    assert caskbook("check", *where).returncode == 1
    if name == "TH-003372":
        shown = caskbook("show", "TH-003372", *where)
        assert shown.returncode != 0 and f"`cask: {number}`" in shown.stderr and not shown.stdout


def test_a_copy_in_another_folder_doubles_none(tmp_path: Path) -> None:
    root = book(tmp_path)
    (root / "casks" / "TH-009").mkdir()
    (root / "casks/TH-009/TH-003373.yaml").write_text(TEXT.format("TH-003373"))
    assert len(json.loads(caskbook("list", "--format", "json", "--records", str(root)).stdout)) == 1


def test_a_files_name_steers_no_terminal(tmp_path: Path) -> None:
    root = book(tmp_path)
    (root / "casks/TH-003/\x1b]0;pwn\x07TH-003398.yaml").write_text("x")
    done = subprocess.run([sys.executable, "-m", "caskbook", "due", "--records", str(root)], capture_output=True, text=True)
    assert "left out" in done.stderr and "\x1b" not in done.stderr and "\x07" not in done.stderr and done.stderr.endswith("\n")
