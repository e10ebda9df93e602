"""Of a cask of two numbers the head that counts is that of the one which goes on; its marks and its faults are those of both files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook
from exchange.houses import PLAIN_MAP, bring, house

ON, OLD = "TH-000001", "TH-000002"
HEAD = "format: 1\ntype: barrel\ncapacity_l: 200\nprior: [{contents: bourbon, fills: 1}]\ncharred: 2011\n"
FILLS = """\
events:
  - {id: e0000001, date: 2015-01-01, job: receive, by: ab, verdict: accept}
  - {id: e0000002, date: 2015-01-02, job: examine, by: ab, verdict: sound}
  - {id: e0000003, date: 2015-01-03, job: fill, by: ab, spirit: malt, litres: 190, abv: 60, at_20: true, method: meter}
"""
TWICE = "  - {id: e0000004, date: 2015-01-04, job: fill, by: ab, spirit: malt, litres: 190, abv: 60, at_20: true, method: meter}\n"
JOINS = "events:\n  - {id: e0000011, date: 2018-01-01, job: same-as, by: ab, of: TH-000002, why: two numbers}\n"


def book(root: Path, more: str = "") -> Path:
    (root / "casks" / "TH-000").mkdir(parents=True)
    (root / "house.yaml").write_text("name: H\ntimezone: UTC\ncrew: [{initials: ab}]\n", encoding="utf-8")
    files = {ON: f"was: [88-1]\nparcel: P-NEW\n{JOINS}", OLD: f"was: [88-2]\nparcel: P-OLD\n{FILLS}{more}"}
    for number, text in files.items():
        (root / "casks" / "TH-000" / f"{number}.yaml").write_text(f"cask: {number}\n{HEAD}{text}", encoding="utf-8")
    return root


def casks(root: Path, *words: str) -> list[str]:
    return [row["cask"] for row in json.loads(caskbook("list", *words, "--format", "json", "--records", str(root)).stdout)]


@pytest.mark.parametrize("words", [("--anyway",), ()])
@pytest.mark.parametrize("command", [("correct",), ("enter", "correct")])
def test_a_head_that_does_not_count_is_not_corrected(tmp_path: Path, command: tuple[str, ...], words: tuple[str, ...]) -> None:
    root = book(tmp_path)
    before = (root / "casks" / "TH-000" / f"{OLD}.yaml").read_bytes()
    done = caskbook(*command, OLD, "--parcel", "P-X", "--why", "misread", "--by", "ab", "--yes", *words, "--records", str(root))
    assert done.returncode == 2 and f"{OLD} is the same cask as {ON}, whose head counts: caskbook correct {ON}" in done.stderr, done.stderr
    assert (root / "casks" / "TH-000" / f"{OLD}.yaml").read_bytes() == before


def test_marks_of_either_head_find_the_cask_that_goes_on(tmp_path: Path) -> None:
    root = book(tmp_path)
    assert casks(root, "--mark", "88-2") == casks(root, "--mark", "88-1") == [ON]
    assert casks(root, "--parcel", "P-NEW") == [ON] and casks(root, "--parcel", "P-OLD") == []
    shown = caskbook("show", "88-2", "--records", str(root))
    assert shown.stdout.startswith(f"{ON} ") and "was 88-1, 88-2" in shown.stdout and f"88-2 is an old mark of {ON}" in shown.stderr, shown.stderr
    noted = caskbook("enter", "note", "88-2", "--note", "chalked anew", "--by", "ab", "--records", str(root))
    assert noted.returncode == 0 and "chalked anew" in (root / "casks" / "TH-000" / f"{ON}.yaml").read_text(encoding="utf-8"), noted.stderr


def test_show_counts_and_names_the_faults_of_both_files(tmp_path: Path) -> None:
    root = book(tmp_path, TWICE.replace("spirit: malt", "spirit: 5"))
    done = caskbook("show", ON, "--records", str(root))
    told = json.loads(caskbook("check", ON, "--format", "json", "--records", str(root)).stdout)["findings"]
    errors = [one for one in told if one["severity"] == "error"]
    assert {one["cask"] for one in errors} >= {OLD} and done.returncode == 1
    assert f"{len(errors)} error" in done.stdout and f"casks/TH-000/{OLD}.yaml" in done.stderr, (done.stdout, done.stderr)
    assert all(one["code"] in done.stdout for one in errors), done.stdout


@pytest.mark.thorough
def test_a_register_names_the_head_that_counts(tmp_path: Path) -> None:
    root = house(tmp_path)
    chart = PLAIN_MAP.replace("  In it: contents\n", "  In it: contents\n  Parcel: parcel\n")
    row = "No,Type,In it,Parcel\n2,barrel,empty,{}\n"
    assert bring(root, row.format("P-OLD"), chart, "--yes").returncode == 0
    folder = root / "records" / "casks" / "TH-000"
    (folder / f"{ON}.yaml").write_text(f"cask: {ON}\n{HEAD}parcel: P-NEW\n{JOINS}".replace("2018-01-01", "2026-02-01"), encoding="utf-8")
    for same in ("P-OLD", "P-NEW"):
        assert "1 in the book already" in bring(root, row.format(same), chart).stderr + bring(root, row.format(same), chart).stdout, same
    done = bring(root, row.format("P-X"), chart)
    assert done.returncode != 0 and f"caskbook enter correct {ON} --parcel P-X" in done.stderr + done.stdout, done.stderr + done.stdout
    assert "the book has P-NEW" in done.stderr + done.stdout
    words = ("enter", "correct", ON, "--parcel", "P-X", "--why", "misread", "--by", "ab", "--yes", "--records", str(root / "records"))
    assert caskbook(*words).returncode == 0
    assert "1 in the book already" in bring(root, row.format("P-X"), chart).stderr + bring(root, row.format("P-X"), chart).stdout
