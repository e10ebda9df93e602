"""A write of several files that counts and cannot be completed: what compares the book with a revision reads through it too."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook
from laws import others_thorough

from caskbook.core.finding import CaskbookError
from caskbook.ledger import pending_writes
from history.ledgers import EXAMINED, RECEIVED, cask, ledger

ASKED = (
    ("review",),
    ("review", "--format", "json"),
    ("check", "--since", "HEAD", "--format", "json"),
    ("check", "--new-since", "HEAD", "--format", "json"),
    ("check", "--since", "HEAD", "TH-004218", "--format", "json"),
    ("check", "--format", "json"),
    ("list",),
)
TEST = ("enter", "test", "TH-004217..TH-004218", "p", "--psi", "12", "--by", "ab", "--yes", "--anyway", "--why", "in a hurry")


@pytest.mark.thorough
@pytest.mark.parametrize(
    "words", others_thorough([TEST, ("enter", "receive", "TH-004219..TH-004220", "--type", "barrel", "--verdict", "accept", "--by", "ab", "--yes")], 1)
)
def test_a_revision_is_compared_with_what_counts_as_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]) -> None:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.delenv("CASKBOOK_BY", raising=False)
    repo = ledger(tmp_path / "book", RECEIVED, EXAMINED)
    repo.write(cask(RECEIVED, EXAMINED, cask_id="TH-004218"), "TH-004218")
    repo.commit("all")

    def no_room(root: Path, *_: object) -> list[str]:
        raise CaskbookError("not written, permission denied")

    with monkeypatch.context() as stuck:
        stuck.setattr(pending_writes, "_complete", no_room)
        assert "permission denied" in caskbook(*words, cwd=repo.top).stderr
        waiting = [caskbook(*asked, cwd=repo.top) for asked in ASKED]
        assert "what an unfinished write still owes 2 files is read where it waits" in waiting[0].stderr
        assert not repo.git("status", "--short", "records/casks").strip()
    done = [caskbook(*asked, cwd=repo.top) for asked in ASKED]
    assert repo.git("status", "--short", "records/casks").strip(), "completed by the next command"
    assert [(one.returncode, one.stdout) for one in waiting] == [(one.returncode, one.stdout) for one in done]
    assert "2 casks" in done[0].stdout
