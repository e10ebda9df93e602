"""Job cards out of what is due: each of a cask on which its job can be entered."""

from __future__ import annotations

import pytest
from commands import caskbook
from shipped import shipped_book as shipped_book

pytestmark = pytest.mark.thorough


def casks_in(text: str) -> list[str]:
    return [line.split()[2] for line in text.splitlines() if line.startswith("[ ] TH-")]


def test_a_card_is_of_a_cask_on_which_the_job_can_be_entered() -> None:
    """A loss is due of a fill that is out, too: of that only a decision is left."""
    at = ("--due", "--as-of", "2026-11-25")
    ruled = caskbook("due", "loss", "--as-of", "2026-11-25", "--format", "json").stdout
    assert '"TH-003382"' in ruled and '"TH-003383"' in ruled
    cards = {job: casks_in(caskbook("sheet", "--for", job, *at).stdout) for job in ("regauge", "leak", "decide", "regauge+decide", "empty+regauge")}
    for job, found in cards.items():
        assert ("TH-003383" in found, "TH-003382" in found) == (True, "decide" in job), (job, found)
    named = caskbook("sheet", "--for", "regauge", "TH-003382", *at)
    assert named.returncode == 0 and not named.stdout and "nothing is due" in named.stderr
    job = ("--litres", "100", "--abv", "60", "--method", "dip", "--at-20", "--by", "kd", "--yes", "--dry-run", "--anyway", "--why", "so it is")
    for cask in cards["regauge"]:
        assert caskbook("enter", "regauge", cask, *job).returncode == 0, cask
