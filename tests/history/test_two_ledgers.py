"""A second ledger above the first: no command guesses which one is meant."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.finding import CaskbookError
from caskbook.folder import find_ledger
from history.ledgers import RECEIVED, cask, ledger


def test_two_ledgers_are_named_and_none_is_taken(tmp_path: Path):
    repo = ledger(tmp_path)
    repo.write(cask(RECEIVED))
    shutil.copy(repo.ledger / "house.yaml", repo.top / "house.yaml")
    for start in (repo.top, repo.ledger, repo.ledger / "casks"):
        with pytest.raises(CaskbookError, match=r"two ledgers, .*house.yaml and .*records.house.yaml.*--records"):
            find_ledger(start, None, None)
    assert find_ledger(repo.top, str(repo.ledger), None) == repo.ledger
    done = caskbook("due", cwd=repo.top)
    assert done.returncode == 2 and len(done.stderr.splitlines()) == 1 and "two ledgers" in done.stderr
    done = caskbook("check", "--records", "records", cwd=repo.top)
    assert done.returncode == 1 and "second-house" in done.stdout
    done = caskbook("check", "--records", ".", cwd=repo.top)
    assert "pathspec" not in done.stdout + done.stderr
