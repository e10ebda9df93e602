"""A gauge by a dip or a weight is held against the others as one in litres is: by what the loss account makes of it."""

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
  - {id: dr9kg001, date: 2015-01-01, job: receive, by: ab, verdict: accept}
  - {id: dr9kg002, date: 2015-01-02, job: measure, by: ab, capacity_l: 202, tare_kg: 50, dims_mm: {bung: 660, head: 560, length: 840}}
  - {id: dr9kg003, date: 2015-01-02, job: examine, by: ab, verdict: sound}
  - {id: dr9kg004, date: 2015-01-03, job: fill, by: ab, spirit: malt, litres: 200, abv: 60, at_20: true, method: meter, stow: bilge}
"""
FIRST = "  - {id: dr9kg005, date: 2020-01-03, job: regauge, by: ab, abv: 58, at_20: true, "
SECOND = "  - {id: dr9kg006, date: 2024-01-03, job: regauge, by: ab, abv: 62, at_20: true, "
# What there was, and more: about 97 and 125 L of alcohol, each by meter, dip and weight.
LESS = ("litres: 170, method: meter}\n", "wet_mm: 500, method: dip}\n", "dry_mm: 160, method: dip}\n", "gross_kg: 200, method: weigh}\n")
MORE = ("litres: 202, method: meter}\n", "wet_mm: 655, method: dip}\n", "gross_kg: 230, method: weigh}\n")


def write(root: Path, *events: str) -> Path:
    (root / "house.yaml").write_text("name: H\ntimezone: UTC\n", encoding="utf-8")
    path = root / "casks" / "TH-000" / "TH-000001.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(HEAD + "".join(events), encoding="utf-8")
    return root


def codes(root: Path) -> list[str]:
    done = caskbook("check", "--format", "json", "--records", str(root))
    return [found["code"] for found in json.loads(done.stdout)["findings"] if found["severity"] != "note"]


@pytest.mark.parametrize("more", MORE)
@pytest.mark.parametrize("less", LESS)
def test_alcohol_does_not_grow_from_whatever_gauge_to_whatever_gauge(tmp_path: Path, less: str, more: str) -> None:
    assert codes(write(tmp_path, FIRST + less, SECOND + more)) == ["lpa-gain"]
    assert codes(write(tmp_path, FIRST + less, SECOND.replace("abv: 62", "abv: 57.6") + less)) == []


@pytest.mark.parametrize("gauge", ["litres: 100, method: meter}\n", "wet_mm: 300, method: dip}\n", "gross_kg: 140, method: weigh}\n"])
def test_what_is_taken_out_is_held_against_the_gauge_before_it(tmp_path: Path, gauge: str) -> None:
    last = "  - {id: dr9kg006, date: 2020-02-03, by: ab, abv: 58, at_20: true, "
    assert codes(write(tmp_path, FIRST + gauge, last + "job: draw, litres: 150}\n")) == ["drawn-more-than-held"]
    assert codes(write(tmp_path, FIRST + gauge, last + "job: empty, litres: 10}\n")) == ["emptied-unaccounted"]
    assert codes(write(tmp_path, FIRST + gauge, last + "job: empty, litres: 87}\n")) == []


def test_a_weight_beyond_what_the_cask_holds_is_over_its_capacity(tmp_path: Path) -> None:
    assert codes(write(tmp_path, FIRST + "gross_kg: 290, method: weigh}\n")) == ["lpa-gain", "over-capacity"]


def test_a_dip_of_a_cask_of_which_nobody_wrote_how_it_lies_accuses_nobody(tmp_path: Path) -> None:
    root = write(tmp_path, FIRST + LESS[1], SECOND + MORE[0])
    path = root / "casks" / "TH-000" / "TH-000001.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace(", stow: bilge", ""), encoding="utf-8")
    assert codes(root) == []


@pytest.mark.thorough
def test_it_is_refused_when_it_is_entered(tmp_path: Path) -> None:
    root = write(tmp_path, FIRST + "wet_mm: 300, method: dip}\n")
    for words in (("draw", "TH-000001", "--litres", "150"), ("empty", "TH-000001", "--litres", "10")):
        done = caskbook("enter", *words, "--abv", "58", "--at-20", "--by", "ab", "--date", "2020-02-03", "--yes", "--records", str(root))
        assert done.returncode == 1 and "--anyway" in done.stderr, (words, done.stdout, done.stderr)
