"""What is kept beside the book and is nested too deep for a reader of JSON is no note of ours, as any other that cannot be read."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from entry.shop import CASK, Shop, days_ago
from run_notes import noted, put_note

from caskbook.core.finding import CaskbookError
from caskbook.entry.shift_runs import _files
from caskbook.ledger import machine, round_notes, shift, typed_drafts
from caskbook.pages.folder import MADE, check_folder

DEEP = "[" * 100_000


def test_a_folder_with_such_a_list_holds_other_things(tmp_path: Path) -> None:
    (tmp_path / "pages").mkdir()
    (tmp_path / "pages" / MADE).write_text(DEEP, encoding="utf-8")
    with pytest.raises(CaskbookError, match="holds other things than an offline book"):
        check_folder(tmp_path / "pages")


def test_such_a_note_of_the_last_run_leaves_nothing_to_undo(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put({"date": days_ago(3), "job": "receive", "verdict": "accept"})
    assert caskbook("enter", "examine", CASK, "sound", "--by", "ab", "--yes", "--records", str(shop.root)).returncode == 0
    assert noted(shop.root)["files"]
    put_note(shop.root, DEEP.encode())
    assert "a fault of the program" not in caskbook("undo", "--by", "ab", "--yes", "--records", str(shop.root)).stderr


def _round(root: Path) -> Any:
    round_notes.round_path(root).write_text(f"{DEEP}\n", encoding="utf-8")
    return round_notes.begun_round(root)


def _draft(root: Path) -> Any:
    typed_drafts._path(root).write_text(DEEP[:60_000], encoding="utf-8")
    return typed_drafts.draft_at(root)


@pytest.mark.parametrize("read", [_round, _draft, shift.shift_of, lambda root: machine.bound_index(root, "program"), lambda _: _files(DEEP.encode()) or None])
def test_such_a_note_of_this_machine_is_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, read: Callable[[Path], Any]) -> None:
    monkeypatch.setattr(shift, "kept_note", lambda _: DEEP)
    monkeypatch.setattr(machine, "_read", lambda _: DEEP)
    assert read(Shop(tmp_path).root) is None
