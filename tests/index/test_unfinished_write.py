"""A write of several files that counts and cannot be completed: every command reads through it, with an index and without."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.core.finding import CaskbookError
from caskbook.ledger import pending_writes
from index.book import DAY, answer, cask_files, make_demo, same

pytestmark = pytest.mark.thorough


@pytest.fixture
def stuck(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, list[str]]:
    """A ledger with a note on two casks, begun for good, of which no file can be written."""
    root = make_demo(tmp_path / "book", 8)
    answer(root, "list")
    casks = [file.stem for file in cask_files(root)[:2]]

    def no_room(root: Path, *_: object) -> list[str]:
        raise CaskbookError("not written, permission denied")

    monkeypatch.setattr(pending_writes, "_complete", no_room)
    done = caskbook("enter", "note", *casks, "--note", "seen to", "--by", "gp", "--yes", "--anyway", "--why", "a helping hand", "--records", str(root))
    assert "permission denied" in done.stderr
    return root, casks


def test_list_and_query_read_through_it(stuck: tuple[Path, list[str]], monkeypatch: pytest.MonkeyPatch) -> None:
    root, casks = stuck
    sql = "SELECT cask, note FROM event WHERE note = 'seen to' ORDER BY cask"
    for _ in range(2):
        code, out, err = same(root, "query", sql, "--format", "json", day=None)
        assert code == 0 and [row["cask"] for row in json.loads(out)] == casks and "permission denied" in err
    code, out, err = same(root, "list", "--format", "json")
    assert code == 0 and len(json.loads(out)) == len(json.loads(same(root, "list", "--format", "json", day="2026-06-29")[1]))
    assert same(root, "due", "--all", "--format", "json")[0] == 0
    assert all("seen to" not in file.read_text(encoding="utf-8") for file in cask_files(root))
    monkeypatch.undo()
    assert answer(root, "list", day=DAY)[0] == 0
    assert sum("seen to" in file.read_text(encoding="utf-8") for file in cask_files(root)) == 2, "completed by the next command"
