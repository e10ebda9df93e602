"""A correction of the head is held against what other entries say: what it makes wrong is told before it is written, what was wrong before is not."""

from __future__ import annotations

from pathlib import Path

from commands import caskbook

CASK = """\
cask: TH-004217
format: 1
type: barrel
capacity_l: 200
staves: 31
prior: [{contents: bourbon, fills: 1}]
charred: 2011
events:
  - {id: e1000000, date: 2026-01-01, job: receive, by: ab, verdict: accept}
  - {id: e1000001, date: 2026-01-01, job: examine, by: ab, verdict: sound}
  - {id: e1000002, date: 2026-01-02, job: measure, by: ab, dims_mm: {bung: 660, head: 560, length: DEEP}}
  - {id: e1000003, date: 2026-01-03, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, temp_c: 14}
"""
DIMENSIONS = "the dimensions make"


def told(root: Path, length: str, *words: str) -> tuple[int, str]:
    (root / "casks/TH-004").mkdir(parents=True, exist_ok=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew:\n  - {initials: ab}\n", encoding="utf-8")
    (root / "casks/TH-004/TH-004217.yaml").write_text(CASK.replace("DEEP", length), encoding="utf-8")
    ran = caskbook("enter", "correct", "TH-004217", *words, "--why", "misread", "--by", "ab", "--yes", "--records", str(root))
    return ran.returncode, ran.stderr


def test_a_correction_that_makes_an_earlier_entry_wrong_is_told(tmp_path: Path) -> None:
    code, said = told(tmp_path, "840", "--capacity", "150")
    assert code == 1 and DIMENSIONS in said and "nothing written" in said, said


def test_what_was_wrong_before_is_not_held_against_a_correction(tmp_path: Path) -> None:
    code, said = told(tmp_path, "840", "--capacity", "205")
    assert code == 0 and DIMENSIONS not in said, said
    code, said = told(tmp_path / "wrong", "1500", "--owner", "a house")
    assert code == 0 and DIMENSIONS not in said, said
    assert DIMENSIONS in caskbook("check", "--records", str(tmp_path / "wrong")).stdout
