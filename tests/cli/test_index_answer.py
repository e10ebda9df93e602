"""The one way in which commands ask the index about all casks: once more where it was damaged, and told apart where there is no cask to ask about."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from commands import caskbook
from history.ledgers import RECEIVED, Repo, cask

from caskbook.cli import index_answer, report_rows
from caskbook.core.finding import CaskbookError

ANSWER: Any = SimpleNamespace(unreadable=["a"], in_part=[], overlooked=[], linked=[], strays=[])


class DamagedError(Exception):
    """What reading a damaged index ends with."""


class Index:
    """An index that is damaged so many times; whoever reads it then goes on behind it, as with the true one."""

    def __init__(self, root: Path) -> None:
        self.root = root

    @contextmanager
    def reading(self) -> Iterator[None]:
        try:
            yield
        except DamagedError:
            return


def read(monkeypatch: pytest.MonkeyPatch, root: Path, damaged: int) -> tuple[str, list[int]]:
    """What comes of reading an index that is damaged so many times, and the tries."""
    tries: list[int] = []
    monkeypatch.setattr(index_answer, "index_answer", lambda *_, **__: (Index(root), ANSWER))

    def once(_: Any, answer: Any) -> str:
        tries.append(1)
        if len(tries) <= damaged:
            raise DamagedError
        assert answer is ANSWER
        return "found"

    return index_answer.read_answer(None, None, None, once, lambda _: "nothing"), tries


@pytest.mark.parametrize("damaged", [0, 1])
def test_a_damaged_index_is_asked_once_more_and_what_it_leaves_out_is_said_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], damaged: int
) -> None:
    found, tries = read(monkeypatch, tmp_path, damaged)
    assert found == "found" and len(tries) == damaged + 1
    assert capsys.readouterr().err.count("1 file left out: caskbook check") == 1


def test_casks_are_counted_again_where_the_index_was_damaged_and_nothing_is_said_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The count stands below a report, which has said what is left out."""
    tries: list[int] = []

    def passing(_: Any, filters: Any) -> tuple[str, ...]:
        tries.append(1)
        if len(tries) == 1:
            raise DamagedError
        return ("TH-000001",) if filters == {"type": ["barrel"], "store": ["north"]} else ()

    for module in (index_answer, report_rows):
        monkeypatch.setattr(module, "index_answer", lambda *_, **__: (Index(tmp_path), ANSWER), raising=False)
    monkeypatch.setattr(report_rows, "passing", passing)
    assert report_rows.casks_with(report_rows.Asked(None, None, None, "text", {"type": ["barrel"]}), {"store": ["north"]}) == 1
    assert len(tries) == 2 and capsys.readouterr().err == ""


def test_one_that_is_damaged_again_is_a_fault_of_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(CaskbookError, match="the index was damaged, and is made anew; ask again"):
        read(monkeypatch, tmp_path, 2)


def book_of(names: list[str]) -> Any:
    return SimpleNamespace(root=Path(), ledger=SimpleNamespace(names=lambda: names))


def test_where_there_are_no_casks_there_is_nothing_to_ask_and_where_there_are_it_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(index_answer, "index_answer", lambda *_, **__: None)
    monkeypatch.setattr(index_answer, "say_left_out", lambda *_: None)
    monkeypatch.setattr(index_answer, "open_book", lambda *_: book_of([]))
    assert index_answer.read_answer(None, None, "HEAD", lambda *_: "found", lambda book: f"nothing of {book.root}") == "nothing of ."
    monkeypatch.setattr(index_answer, "open_book", lambda *_: book_of(["TH-000001"]))
    for ask in (
        lambda: index_answer.read_answer(None, None, "HEAD", lambda *_: "found", lambda _: "nothing"),
        lambda: index_answer.index_and_answer(None, None, None),
    ):
        with pytest.raises(CaskbookError, match="changes faster than it can be read"):
            ask()


@pytest.mark.thorough
def test_a_revision_without_a_cask_is_answered_by_every_report(tmp_path: Path) -> None:
    """A cask stands in the work tree, and in the revision none."""
    book = Repo(tmp_path / "book", "")
    book.house()
    book.commit("no cask yet")
    book.write(cask(RECEIVED))
    for words in (
        ("days", "2026-11"), ("report", "stock"), ("report", "service"), ("report", "outlook"), ("report", "retirement"), ("report", "suppliers"), ("report", "leaks"),
        ("report", "parts"), ("morning",), ("plan",), ("ready",),
    ):  # fmt: skip
        done = caskbook(*words, "--records", str(book.top), "--at", "HEAD", "--as-of", "2026-11-25")
        assert done.returncode == 0 and done.stdout and "faster" not in done.stderr, (words, done.stderr)
