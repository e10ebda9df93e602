"""A range where one revision is meant, and a range without ends: told in the program's own words."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook

from history.ledgers import RECEIVED, ledger

pytestmark = pytest.mark.thorough


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("review ...", "names no revision"),
        ("review ..", "names no revision"),
        ("list --at HEAD..HEAD", "no such revision here"),
        ("list --at HEAD...HEAD", "no such revision here"),
        ("check --since HEAD..HEAD", "no such revision here"),
        ("list --at ^HEAD", "is no revision"),
        ("check --at HEAD^@", "no such revision here"),
    ],
)
def test_a_range_is_no_revision(tmp_path: Path, words: str, said: str):
    repo = ledger(tmp_path, RECEIVED)
    repo.commit("one")
    repo.commit("two")
    done = caskbook(*words.split(), cwd=repo.top)
    assert done.returncode == 2 and said in done.stderr and "git " not in done.stderr and len(done.stderr.splitlines()) == 1, done.stderr


def test_a_range_with_one_end_is_one_to_head(tmp_path: Path):
    repo = ledger(tmp_path, RECEIVED)
    repo.commit("one")
    assert caskbook("review", "HEAD..", cwd=repo.top).returncode == 0 and caskbook("review", "...HEAD", cwd=repo.top).returncode == 0
