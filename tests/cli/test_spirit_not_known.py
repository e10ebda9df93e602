"""A fill of which nobody can read the spirit is called so wherever it is told, and never by a word of the program's own."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from casks import cask_data, ev
from commands import caskbook

HOUSE = "timezone: UTC\nstores: {R: racks}\ncrew: [{initials: ab}]\n"
CASK = "TH-004217"
EVENTS = (
    ev("2010-01-10", "receive", verdict="accept", berth="R1/2"),
    ev("2010-01-11", "examine", verdict="sound"),
    ev("2010-03-01", "fill", spirit=["malt"], litres=190.0, abv=63.5, at_20=True),
    ev("2011-03-01", "regauge", litres=186.0, abv=63.2, at_20=True, method="dip"),
)


@pytest.fixture
def book(tmp_path: Path) -> str:
    (tmp_path / "house.yaml").write_text(HOUSE)
    file = tmp_path / "casks" / CASK[:6] / f"{CASK}.yaml"
    file.parent.mkdir(parents=True)
    file.write_text(yaml.safe_dump(cask_data(*EVENTS, cask=CASK), sort_keys=False))
    return str(tmp_path)


@pytest.mark.parametrize(
    "words",
    [
        ("report", "loss", CASK, "--evidence"),
        ("report", "retirement", CASK),
        ("report", "outlook", "--months", "1", "--explain"),
        ("enter", "move", CASK, "--berth", "R1/3", "--by", "ab", "--dry-run"),
    ],
    ids=" ".join,
)
def test_no_word_of_the_program_stands_for_it(book: str, words: tuple[str, ...]) -> None:
    done = caskbook(*words, "--records", book, *(("--as-of", "2012-01-01") if words[0] == "report" else ()))
    assert done.returncode in (0, 1), done.stderr
    assert "None" not in done.stdout + done.stderr and "Traceback" not in done.stderr
    if "--evidence" in words:
        assert "fill of 2010-03-01 (e0000003): spirit not known" in done.stdout
