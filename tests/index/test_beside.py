"""What reports alone tell of a past day asked about in passing is left, and worked out when one asks: the same as at once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, get_args

import pytest

from caskbook.index.index import Index
from caskbook.stats.report_head import What
from index.book import DAY, copied, make_demo

NOW = datetime(2026, 11, 1, 9, 0, tzinfo=UTC)
PAST = date.fromisoformat(DAY).replace(year=date.fromisoformat(DAY).year - 3).isoformat()


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger; whoever asks it takes a copy."""
    return make_demo(tmp_path_factory.mktemp("beside") / "book", 24)


def asked(demo: Path, to: Path) -> Path:
    """A copy of the ledger, of which the index has an answer about the day."""
    root = copied(demo, to)
    with Index(root, root, NOW) as opened:
        assert opened.answer(DAY) is not None
        assert left(opened) == 0
    return root


def left(index: Index) -> int:
    """Of how many lives of the answer what reports alone tell is left."""
    query = "SELECT count(*) FROM answer_life a JOIN life l ON l.id = a.life WHERE a.answer = ? AND l.beside = 0"
    return int(index.held.store.execute(query, (index.held.number,)).fetchone()[0])


def reported(index: Index) -> Iterator[Any]:
    """All that reports ask of an answer."""
    yield list(index.services((), ()))
    yield index.turns(())
    yield from (list(index.told(what, ("state",), ())) for what in get_args(What))


def at_once(root: Path) -> list[Any]:
    """The same by an index in memory, which leaves nothing."""
    with Index(root, root, NOW, disk=False, memory=True) as opened:
        assert opened.answer(PAST) is not None
        assert left(opened) == 0
        return list(reported(opened))


def test_what_reports_alone_tell_of_a_past_day_is_worked_out_when_one_asks(demo: Path, tmp_path: Path) -> None:
    root = asked(demo, tmp_path / "book")
    with Index(root, root, NOW) as opened:
        assert opened.answer(PAST) is not None
        assert left(opened) > 10
        assert list(reported(opened)) == at_once(root)
        assert left(opened) == 0


def test_a_report_asked_first_leaves_nothing(demo: Path, tmp_path: Path) -> None:
    root = asked(demo, tmp_path / "book")
    with Index(root, root, NOW) as opened:
        opened.beside = True
        assert opened.answer(PAST) is not None
        assert left(opened) == 0


def test_a_file_changed_since_is_told_as_it_is_now_and_as_it_was_where_it_is_so_again(demo: Path, tmp_path: Path) -> None:
    root = asked(demo, tmp_path / "book")
    with Index(root, root, NOW) as opened:
        assert opened.answer(PAST) is not None
        most = max((len(told.leaks), row["cask"]) for row, told in opened.told("leaks", (), ()) if told is not None)
    assert most[0] > 0
    other = asked(demo, tmp_path / "other")
    with Index(other, other, NOW) as opened:
        assert opened.answer(PAST) is not None
        file = next((other / "casks").rglob(f"{most[1]}.yaml"))
        before = file.read_text(encoding="utf-8")
        file.write_text(before.split("events:")[0] + "events: []\n", encoding="utf-8")
        assert list(reported(opened)) == at_once(other)
    file.write_text(before, encoding="utf-8")
    with Index(other, other, NOW) as opened:
        assert opened.answer(PAST) is not None
        assert list(reported(opened)) == at_once(other), "the life of the file as it was"
