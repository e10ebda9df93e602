"""What reports alone tell of a past day asked about in passing is left, and worked out when one asks: the same as at once."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, get_args

import pytest
from casks import ev
from commands import caskbook

from caskbook.index import refresh
from caskbook.index.index import Index
from caskbook.index.takers import vats_now
from caskbook.loss.account import WHOLE
from caskbook.stats.report_head import What
from index.book import DAY, copied, make_demo, put_cask

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


def rows(index: Index, sql: str) -> list[Any]:
    """The rows of SQL."""
    with index.select(sql) as found:
        return list(found.rows)


FILL_COLUMNS = ("cask", "event", "n", "start", "end", "loss_lpa", "loss_doubt", "store_filled", "berth_emptied")
QUESTIONS: Mapping[str, Callable[[Index], Any]] = {
    "services": lambda index: list(index.services((), ())),
    "turns": lambda index: index.turns(()),
    **{f"told {what}": lambda index, what=what: list(index.told(what, ("state",), ())) for what in get_args(What)},
    "losses": lambda index: list(index.losses(WHOLE, None)),
    "losses summed": lambda index: sorted(
        (name, one.casks, one.fills, one.gauged, one.lpa, sorted(one.ratios)) for name, one in index.losses(WHOLE, None).accounting("type").groups.items()
    ),
    "table fill": lambda index: rows(index, "SELECT * FROM fill ORDER BY cask, n"),
    "table fill, joined with event": lambda index: rows(
        index, "SELECT event.id, fill.loss_lpa FROM event JOIN fill ON fill.event = event.id AND fill.cask = event.cask ORDER BY 1"
    ),
    "doubts of casks": lambda index: rows(index, "SELECT cask, loss_doubt FROM cask ORDER BY cask"),
    "fills put down": lambda index: list(index.whole_book().rows("fill", FILL_COLUMNS)),
    "casks put down": lambda index: list(index.whole_book().rows("cask", ("cask", "loss_doubt"))),
    "gauges put down": lambda index: [(cask, list(found)) for cask, found in index.whole_book().gauges()],
    "receipts put down": lambda index: list(index.whole_book().receipts()),
}
"""All that reports, queries and exports ask of an answer."""


def reported(index: Index) -> Iterator[Any]:
    """What all of them get."""
    yield from (ask(index) for ask in QUESTIONS.values())


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


@pytest.mark.thorough
@pytest.mark.parametrize("most", [5, 5000], ids=["large book", "small book"])
@pytest.mark.parametrize("asked_alone", QUESTIONS)
def test_each_question_alone_has_all_that_it_tells_worked_out(demo: Path, tmp_path: Path, asked_alone: str, most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    root, ask = asked(demo, tmp_path / "book"), QUESTIONS[asked_alone]
    monkeypatch.setattr(refresh, "_MOST_MOVED", most)
    with Index(root, root, NOW, disk=False, memory=True) as opened:
        assert opened.answer(PAST) is not None
        whole = ask(opened)
    with Index(root, root, NOW) as opened:
        assert opened.answer(PAST) is not None
        assert ask(opened) == whole
        assert whole


def test_what_asks_for_casks_and_verdicts_alone_leaves_the_rest(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = asked(demo, tmp_path / "book")
    monkeypatch.setattr(refresh, "_MOST_MOVED", 5)  # A large book: the answer about today is not taken over to the other day.
    with Index(root, root, NOW) as opened:
        assert opened.answer(PAST) is not None
        before = left(opened)
        assert rows(opened, "SELECT cask, state, loss_lpa FROM cask JOIN due USING (cask)")
        assert left(opened) == before > 10
        assert judged(opened) == 0
        assert rows(opened, "SELECT cask, loss_doubt FROM cask")
        assert (left(opened), judged(opened) > 10) == (before, True), "that is told of the fills alone"


def judged(index: Index) -> int:
    """Of how many lives of the answer it is kept what the peers make of each fill."""
    return int(index.held.store.execute("SELECT count(*) FROM peer_loss WHERE answer = ?", (index.held.number,)).fetchone()[0])


def test_a_vat_is_found_of_a_file_that_was_read_for_a_past_day_alone(demo: Path, tmp_path: Path) -> None:
    root = asked(demo, tmp_path / "book")
    file = put_cask(root, 1, ev("2020-02-01", "receive"), ev("2020-02-02", "fill", spirit="malt", litres=150.0, abv=63.0, vat="V-12"))
    with Index(root, root, NOW) as opened:
        assert opened.answer(PAST) is not None
        assert left(opened) > 10
    assert file.relative_to(root).as_posix() in (vats_now(root) or ())


@pytest.mark.thorough
@pytest.mark.parametrize(
    "words",
    [
        ("query", "SELECT * FROM fill ORDER BY cask, n", "--limit", "10000"),
        ("report", "loss", "--by", "fill", "--format", "csv"),
        ("list", "--columns", "cask,loss_doubt", "--format", "csv"),
        ("report", "leaks"),
    ],
    ids=lambda words: " ".join(words[:2]),
)
def test_a_command_that_asks_second_says_what_it_says_from_the_files(
    demo: Path, tmp_path: Path, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    root, day = asked(demo, tmp_path / "book"), ("--as-of", PAST)
    assert caskbook("due", "--records", str(root), *day).returncode in (0, 1)
    second = caskbook(*words, "--records", str(root), *day)
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    alone = caskbook(*words, "--records", str(root), *day)
    assert (second.returncode, second.stdout) == (0, alone.stdout)


def test_a_report_asked_first_leaves_nothing(demo: Path, tmp_path: Path) -> None:
    root = asked(demo, tmp_path / "book")
    with Index(root, root, NOW) as opened:
        opened.beside = True
        assert opened.answer(PAST) is not None
        assert left(opened) == 0


@pytest.mark.thorough
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
