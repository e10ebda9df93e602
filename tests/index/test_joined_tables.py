"""Tables that a query joins: the work grows with the casks and not with their square, and the numbers are those that go on."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from faulty_entries import LIVES

from caskbook.due import RULES
from caskbook.index.answer import Answer
from caskbook.index.child import guarded
from caskbook.index.entries import entries_of
from caskbook.index.snapshot import Snapshot
from caskbook.index.store import Store, in_memory
from caskbook.index.views import views
from index.book import DAY, answer, put_cask

FEW, MANY = 60, 240
STEPS = 50
# Four times the casks take four times the work, or little more where something is sorted.
MOST_GROWTH = 5.5

JOINED = {
    "each entry with its cask": "SELECT c.type, count(*) FROM cask c JOIN event e ON e.cask = c.cask GROUP BY 1",
    "each fill with its cask": "SELECT c.type, sum(f.litres) FROM fill f JOIN cask c ON c.cask = f.cask GROUP BY 1",
    "casks without a fill too": "SELECT c.cask, count(f.n) FROM cask c LEFT JOIN fill f ON f.cask = c.cask GROUP BY 1",
    "casks without such an entry too": "SELECT c.type, count(e.id) FROM cask c LEFT JOIN event e ON e.cask = c.cask AND e.job = 'test' GROUP BY 1",
    "each fill with its entry": "SELECT f.spirit, sum(e.vat_litres) FROM fill f JOIN event e ON e.id = f.event GROUP BY 1",
    "each fill with its entry, asked the other way": "SELECT count(*) FROM event e JOIN fill f ON f.event = e.id WHERE e.job = 'fill'",
    "fills without an entry too": "SELECT f.spirit, count(e.id) FROM fill f LEFT JOIN event e ON e.id = f.event GROUP BY 1",
    "three tables": "SELECT c.type, count(*) FROM cask c JOIN fill f ON f.cask = c.cask JOIN event e ON e.cask = c.cask GROUP BY 1",
    "four tables": "SELECT c.type, d.rule, count(*) FROM cask c JOIN fill f ON f.cask = c.cask JOIN event e ON e.id = f.event AND e.cask = c.cask"
    " JOIN due d ON d.cask = c.cask GROUP BY 1, 2",
    "what is due of each entry": "SELECT e.job, count(*) FROM event e JOIN due d ON d.cask = e.cask WHERE d.verdict = 'due' GROUP BY 1",
    "casks on which nothing is due too": "SELECT c.type, count(d.rule) FROM cask c LEFT JOIN due d ON d.cask = c.cask AND d.verdict = 'due' GROUP BY 1",
    "a table with itself": "SELECT count(*) FROM event a JOIN event b ON b.cask = a.cask AND b.job = 'fill' AND a.job = 'receive'",
    "the last of each cask": "SELECT cask, (SELECT max(date) FROM event e WHERE e.cask = c.cask) FROM cask c",
    "where each entry was done": "SELECT store, berth, count(*) FROM event GROUP BY 1, 2",
    "casks that lack an entry": "SELECT count(*) FROM cask c WHERE NOT EXISTS (SELECT 1 FROM event e WHERE e.cask = c.cask AND e.job = 'look')",
}
JOBS = ("receive", "examine", "test", "fill", "gauge", "empty")


def _index(casks: int) -> Store:
    """An index of so many casks that were all filled once."""
    store = in_memory()
    summary = {"joined": {"TH-900001": "TH-900002"}, "words": [], "unreadable": [], "in_part": []}
    store.execute("INSERT INTO answer (id, from_day, until_day, summary) VALUES (1, 0, 4000000, ?)", (json.dumps(summary),))
    for n in range(casks):
        number = f"TH-{n:06d}"
        store.execute("INSERT INTO life (id, version, cask, type, begun) VALUES (?, ?, ?, 'barrel', 1)", (n, n, number))
        store.execute("INSERT INTO answer_life VALUES (1, ?, ?)", (n, number))
        store.execute("INSERT INTO fill (life, event, n, spirit, start, litres) VALUES (?, ?, 1, 'malt', '2020-01-04', 200)", (n, f"{n:08x}"))
        store.execute("INSERT INTO due (life, rule, verdict) VALUES (?, 0, 'due')", (n,))
        store.execute("INSERT INTO quiet VALUES (?, '[[1, null, null, null, null, null, null]]')", (n,))
        rows = [(n, row, f"{n:08x}" if job == "fill" else f"{row}{n:07x}", f"2020-01-0{row + 1}", job) for row, job in enumerate(JOBS)]
        store.executemany("INSERT INTO event (version, row, id, date, job) VALUES (?, ?, ?, ?, ?)", rows)
    return store


@pytest.fixture(scope="module")
def indexes(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[int, tuple[Path, Answer]]]:
    """An index file of few casks and one of many, each with its answer."""
    folder = tmp_path_factory.mktemp("indexes")
    made = {}
    for casks in (FEW, MANY):
        store, file = _index(casks), folder / f"{casks}.sqlite"
        store.execute(f"VACUUM INTO '{file}'")
        made[casks] = (file, Answer(store, Snapshot(Path(), Path(), 1, date.fromisoformat(DAY)), lambda _: 1, date.fromisoformat(DAY), "", 0, number=1))
        made[casks][1].rules = [(rule.name, rule.rank) for rule in RULES]
    yield made
    for _, held in made.values():
        held.store.close()


def _steps(made: tuple[Path, Answer], sql: str) -> int:
    """How many times SQLite made a number of steps for it."""
    counted = 0

    def stepped() -> int:
        nonlocal counted
        counted += 1
        return 0

    store = guarded(str(made[0]), views(made[1], sql), made[1].stands)
    assert store is not None
    with closing(store):
        store.set_progress_handler(stepped, STEPS)
        store.execute(sql).fetchall()
    return counted


@pytest.mark.parametrize("sql", JOINED.values(), ids=JOINED)
def test_the_work_of_a_join_grows_with_the_casks(indexes: dict[int, tuple[Path, Answer]], sql: str) -> None:
    few, many = (_steps(indexes[casks], sql) for casks in (FEW, MANY))
    assert few > 10 and many < MOST_GROWTH * few, (few, many)


@pytest.mark.parametrize("casks", [[], ["\"type\" IN ('barrel')"]], ids=["all", "of some casks"])
def test_the_work_for_the_entries_of_some_days_grows_with_the_casks(indexes: dict[int, tuple[Path, Answer]], casks: list[str]) -> None:
    counted = dict.fromkeys((FEW, MANY), 0)
    for size in counted:
        answer = indexes[size][1]

        def stepped(size: int = size) -> int:
            counted[size] += 1
            return 0

        answer.store.set_progress_handler(stepped, STEPS)
        found = list(entries_of(answer, (date(2020, 1, 2), date(2020, 1, 3)), casks, []))
        answer.store.set_progress_handler(None, STEPS)
        assert len(found) == 2 * size
    assert counted[FEW] > 10 and counted[MANY] < MOST_GROWTH * counted[FEW], counted


@pytest.mark.thorough
def test_entries_stand_under_the_number_that_goes_on_for_as_long_as_it_does(tmp_path: Path) -> None:
    root = tmp_path / "book"
    (root / "casks").mkdir(parents=True)
    (root / "house.yaml").write_text("format: 1\nhouse: {name: A house, timezone: UTC}\n")
    one, other = (put_cask(root, number, *LIVES[0]) for number in (1, 2))
    before = one.read_text(encoding="utf-8")

    def told() -> tuple[list[str], list[str]]:
        names = answer(root, "query", "SELECT DISTINCT cask || ' ' || number AS c FROM event ORDER BY number", "--format", "csv")[1]
        return names.splitlines()[1:], answer(root, "query", "SELECT cask FROM cask ORDER BY 1", "--format", "csv")[1].split()[1:]

    apart = (["TH-001001 TH-001001", "TH-001002 TH-001002"], ["TH-001001", "TH-001002"])
    assert told() == apart
    one.write_text(before + "  - {id: e0000031, date: 2023-06-01, job: same-as, by: ab, of: TH-001002, why: two numbers}\n", encoding="utf-8")
    together = (["TH-001001 TH-001001", "TH-001001 TH-001002"], ["TH-001001"])
    assert told() == together
    # A file that was joined and is written to since is another life; who joins whom is as it was.
    other.write_text(other.read_text(encoding="utf-8") + "  - {id: e0000032, date: 2023-06-02, job: note, by: ab, note: dry}\n", encoding="utf-8")
    assert told() == together
    one.write_text(before, encoding="utf-8")
    assert told() == apart
