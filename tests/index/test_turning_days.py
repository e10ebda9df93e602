"""The warm index stepped over the days on which something turns by itself: always the answer that the files alone give.

The turning days are found by working out each cask on every day, not by asking the index or the rules when they turn.
"""

from __future__ import annotations

import json
import random
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from caskbook.due import judge
from caskbook.index.index import Index
from caskbook.ledger.files import open_folder
from caskbook.life.facts import facts_of
from caskbook.model.query_columns import CASK, DUE, EVENT, FILL, TABLES
from index.book import answer, cask_files, copied, make_demo, put_every_job, without_index
from index.tables_of_files import Files, Row

pytestmark = pytest.mark.thorough

# Columns that SQL works out by the number of the day asked about, and what is reckoned of one of them.
GROWING = {"as_of", "wood_left", *(column.name for column in CASK if "d.day" in column.sql)}


def turning_days(root: Path, files: list[Path], first: date, days: int) -> dict[date, list[str]]:
    """Day → the casks of which anything but what grows day by day is otherwise than the day before."""
    ledger = open_folder(root, root)
    found: dict[date, list[str]] = {}
    for file in files:
        cask = ledger.read_file(f"casks/{file.parent.name}/{file.name}").cask
        assert cask is not None
        before: object = None
        for n in range(-1, days):
            day = first + timedelta(n)
            life = ledger.life_of(cask, day)
            facts = facts_of(life)
            verdicts = [(one.rule, one.verdict, one.since, one.reasons, one.decided) for one in judge(life, facts)]
            now = {name: value for name, value in facts.as_dict().items() if name not in GROWING}, verdicts
            if n >= 0 and now != before:
                found.setdefault(day, []).append(file.stem)
            before = now
    return found


def asked(root: Path, day: date, casks: list[str]) -> list[tuple[tuple[str, ...], tuple[int, str, str]]]:
    """What due, list and show say on a day."""
    commands = [
        ("due", "--all", "--format", "json"),
        ("list", "--format", "json"),
        *(("show", cask, "--format", "json") for cask in casks),
    ]
    return [(words, answer(root, *words, day=str(day))) for words in commands]


def stepped(root: Path, turns: dict[date, list[str]], days: list[date]) -> None:
    """The index is asked first on the days in their order, each time as the day before left it; then the files."""
    for day in days:
        casks = turns.get(day, [])[:1]
        warm = asked(root, day, casks)
        with without_index():
            assert warm == asked(root, day, casks), day
        assert is_answered(root, day), day


def is_answered(root: Path, day: date) -> bool:
    """Whether the index has an answer: without one a command reads every file, and says the same."""
    with Index(root, root, datetime(2026, 11, 1, 9, 0, tzinfo=UTC)) as opened:
        return opened.answer(str(day)) is not None


def tables_of_index(root: Path, day: date) -> dict[str, list[Row]]:
    """Table → its rows, as `list` and `query` give them."""
    found = {"cask": json.loads(answer(root, "list", "--format", "json", day=str(day))[1])}
    for table, columns in (("fill", FILL), ("event", EVENT), ("due", DUE)):
        names = ", ".join(f'"{column.name}"' for column in columns)
        found[table] = json.loads(answer(root, "query", f"SELECT {names} FROM {table}", "--format", "json", day=str(day))[1])
    for row in found["event"]:
        row |= {name: json.loads(row[name]) for name in ("data", "material", "photo") if row[name] is not None}
    return found


def in_order(rows: list[Row]) -> list[str]:
    return sorted(json.dumps(row, sort_keys=True) for row in rows)


def every_column_is_that_of_the_files(root: Path, files: Files, days: list[date]) -> set[tuple[str, str]]:
    """Each column of each table, on each day as the day before left the index. (table, column) of those that no row said anything in."""
    blank = {(table, column.name) for table, columns in TABLES.items() for column in columns}
    for day in days:
        expected, found = files.tables(day), tables_of_index(root, day)
        assert all(expected.values()), day
        for table, columns in (("cask", CASK), ("fill", FILL), ("event", EVENT), ("due", DUE)):
            assert all(set(row) == {column.name for column in columns} for row in expected[table]), table
            assert in_order(found[table]) == in_order(expected[table]), (table, day)
            blank -= {(table, name) for row in expected[table] for name, value in row.items() if value not in (None, [], {}, "")}
    return blank


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("turning") / "book", 12)


def test_a_few_casks_over_their_turning_days(book: Path) -> None:
    turns = turning_days(book, cask_files(book), date(2026, 3, 1), 120)
    assert len(turns) >= 5
    days = sorted(turns)[:4]
    stepped(book, turns, sorted({*days, *(day - timedelta(1) for day in days[:1])}))
    stepped(book, turns, [days[1]])  # and back


def test_a_life_that_ends_on_the_day_beside_one_that_ended_before(book: Path, tmp_path: Path) -> None:
    """The answer of long before is taken over: no life is left in it because its last day was only yesterday."""
    root = copied(book, tmp_path / "book")
    turns = turning_days(root, cask_files(root), date(2026, 3, 1), 120)
    last = max(turns)
    other = max(day for day in turns if day < last and not set(turns[day]) & set(turns[last]))
    stepped(root, turns, [other - timedelta(1), last, other - timedelta(1)])


def test_every_column_over_a_few_turning_days(book: Path, tmp_path: Path) -> None:
    """With a cask for every job: where nothing is said in any row, nothing would be compared with nothing."""
    turns = sorted(turning_days(book, cask_files(book), date(2026, 3, 1), 60))
    days = [turns[0] - timedelta(1), *turns[:2], date(2016, 2, 29), turns[2]]
    root = copied(book, tmp_path / "book")
    put_every_job(root)
    files, quiet = Files(root), (date(2027, 3, 1), date(2027, 3, 3))
    blank = every_column_is_that_of_the_files(root, files, [*days, *quiet])
    assert blank == set(), "add to put_every_job of tests/index/book.py a cask of which this column says something"
    # What grows day by day and is not worked out for the day asked about would stand still in these, of which nothing else turns.
    before, after = ({row["cask"]: {k: v for k, v in row.items() if k not in GROWING} for row in files.tables(day)["cask"]} for day in quiet)
    still = [row for cask, row in after.items() if row == before[cask]]
    assert {row["contents"] for row in still} >= {"empty", "spirit", "wine"} and {row["form"] for row in still} >= {"whole", "open", "shook"}


@pytest.mark.slow
def test_two_hundred_casks_over_every_turning_day(tmp_path: Path) -> None:
    book = make_demo(tmp_path / "book", 200)
    turns = turning_days(book, cask_files(book), date(2026, 1, 1), 150)
    assert len(turns) > 60
    stepped(book, turns, sorted(turns))
    stepped(book, turns, sorted(turns, reverse=True)[::10])


@pytest.mark.slow
def test_every_column_of_two_hundred_casks_over_every_turning_day(tmp_path: Path) -> None:
    book = make_demo(tmp_path / "book", 200)
    turns = sorted(turning_days(book, cask_files(book), date(2026, 1, 1), 150))
    assert len(turns) > 60
    days = [day for turn in turns for day in (turn - timedelta(1), turn)]
    every_column_is_that_of_the_files(book, Files(book), [*dict.fromkeys(days), *turns[::-10]])


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3))
def test_days_far_apart(tmp_path: Path, seed: int) -> None:
    """Casks that left long ago, and years between two questions, back and forth."""
    root = make_demo(tmp_path / "book", 40, seed=seed)
    chance = random.Random(seed)
    days = [date(2013, 1, 1) + timedelta(chance.randrange(6000)) for _ in range(12)]
    every_column_is_that_of_the_files(root, Files(root), days)
