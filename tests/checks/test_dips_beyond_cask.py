"""A dip deeper than the cask is told by `check` where it was written by hand, and asked about where it is entered."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook

from checks.test_dips_and_weights import FIRST, HEAD, codes, write

DIMS = "dims_mm: {bung: 660, head: 560, length: 840}"
UNMEASURED = ", " + DIMS


def dipped(root: Path, dip: str, *, old: str = "", new: str = "") -> list[str]:
    write(root, FIRST + dip + ", method: dip}\n")
    path = root / "casks" / "TH-000" / "TH-000001.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    return codes(root)


@pytest.mark.parametrize(("dip", "found"), [
    ("wet_mm: 660", []), ("wet_mm: 660.1", ["dip-beyond-cask"]), ("dry_mm: 660", []), ("dry_mm: 661", ["dip-beyond-cask"]),
    ("wet_mm: 800", ["dip-beyond-cask"]), ("wet_mm: 800, source: register", []),
])  # fmt: skip
def test_on_its_bilge_it_is_as_deep_as_the_bung_diameter(tmp_path: Path, dip: str, found: list[str]) -> None:
    assert [code for code in dipped(tmp_path, dip) if code != "lpa-gain"] == found


@pytest.mark.parametrize(("stow", "dip", "found"), [
    ("stow: upright-A", "wet_mm: 800", []), ("stow: upright-A", "wet_mm: 841", ["dip-beyond-cask"]), ("note: x", "wet_mm: 661", ["dip-beyond-cask"]),
])  # fmt: skip
def test_standing_it_is_as_deep_as_it_is_long(tmp_path: Path, stow: str, dip: str, found: list[str]) -> None:
    assert dipped(tmp_path, dip, old="stow: bilge", new=stow) == found


@pytest.mark.parametrize(("dims", "dip", "found"), [
    ("", "wet_mm: 1100", []), ("", "wet_mm: 1130", ["dip-beyond-cask"]), (", dims_mm: {bung: 650}", "wet_mm: 655", ["dip-beyond-cask"]),
    (", dims_mm: {head: 500}", "wet_mm: 700", []),
])  # fmt: skip
def test_where_it_was_not_measured_no_cask_of_its_litres_is_deeper(tmp_path: Path, dims: str, dip: str, found: list[str]) -> None:
    assert dipped(tmp_path, dip, old=UNMEASURED, new=dims) == found


@pytest.mark.parametrize(("old", "new"), [(DIMS, "dims_mm: {bung: x, head: 560, length: 840}"), ("stow: bilge", "stow: x")])
def test_what_cannot_be_read_of_the_cask_accuses_no_dip(tmp_path: Path, old: str, new: str) -> None:
    assert "dip-beyond-cask" not in dipped(tmp_path, "wet_mm: 1500", old=old, new=new)


def test_it_is_told_at_the_dip_with_both_figures(tmp_path: Path) -> None:
    write(tmp_path, FIRST + "wet_mm: 760, method: dip}\n")
    found = [one for one in json.loads(caskbook("check", "--format", "json", "--records", str(tmp_path)).stdout)["findings"] if one["severity"] != "note"]
    assert [(one["code"], one["severity"], one["line"], one["message"]) for one in found] == [
        ("dip-beyond-cask", "warning", 12, "wet dip 760 mm: the cask is 660 mm deep")
    ]


@pytest.mark.parametrize("dims", [UNMEASURED, ""])
def test_it_is_asked_about_where_it_is_entered(tmp_path: Path, dims: str) -> None:
    root = write(tmp_path)
    path = root / "casks" / "TH-000" / "TH-000001.yaml"
    path.write_text(HEAD.replace(UNMEASURED, dims), encoding="utf-8")
    words = ("regauge", "TH-000001", "dip", "--wet", "1500", "--abv", "58", "--at-20", "--by", "ab", "--records", str(root))
    done = caskbook("enter", *words)
    assert done.returncode == 1 and "wet dip 1500 mm: the cask is" in done.stderr and "add --yes" in done.stderr, done.stderr
    assert caskbook("enter", *words, "--yes").returncode == 0
    assert codes(root) == ["dip-beyond-cask"]
