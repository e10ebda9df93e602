"""`report loss` out of the index: the same bytes as from the files, however it is divided, narrowed, sorted and cut."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.cli.commands import report
from caskbook.index import loss_years, losses
from caskbook.ledger.files import Ledger
from caskbook.loss import ranking
from caskbook.loss.account import Accounting
from caskbook.loss.account_rows import FillRow
from caskbook.loss.parts import Division
from index.book import DAY, SHIPPED, answer, commit_all, copied, make_demo, put_every_job, same
from index.test_same_answers import sabotaged

pytestmark = pytest.mark.thorough

ALL = ("--top", "100000")
ACCOUNTS = (
    ("--format", "json"), ALL, ("--top", "5"), ("--sort", "rate", "--top", "9"), ("--by", "fill", "--format", "json"), ("--by", "fill", "--format", "csv"),
    ("--by", "fill", *ALL), ("--by", "fill", "--top", "7"), ("--by", "fill", "--sort", "-share,name", "--format", "jsonl"), ("--by", "fill", "--sort", "filled", "--top", "9"),
    ("--by", "fill", "--sort", "-times,held", "--top", "3", "--format", "json"), ("--by", "fill", "--sort", "rate", "--top", "4"), ("--by", "fill", "--sort", "-name,-put_in", "--top", "6"),
    ("--by", "store", "--format", "json"), ("--by", "store", "--top", "2"), ("--by", "year", "--format", "json"), ("--by", "year", "--top", "3", "--format", "csv"),
    ("--by", "parcel", "--format", "csv"), ("--by", "type"), ("--by", "supplier", "--sort", "-share"), ("--from", "2018", "--to", "2021", "--format", "json"),
    ("--from", "2018-02-03", "--by", "type"), ("--by", "fill", "--from", "2018-02-03", "--to", "2021-08-07", "--format", "csv"), ("--by", "year", "--from", "2019"),
    ("--by", "store", "--to", "2021-05-06", "--format", "csv"), ("--by", "year", "--store", "racked four", "--to", "2022"), ("--by", "fill", "--store", "low dunnage", *ALL),
    ("--berth", "R", "--format", "csv"), ("--type", "hogshead", "--by", "parcel", "--format", "jsonl"), ("--supplier", "northquay", "--type", "barrel", *ALL),
    ("--by", "year", "--from", "2018-02-03", "--to", "2021-08-07", "--format", "json"), ("--from", "2019-02-03", "--to", "2019-11-05", "--format", "csv"), ("--to", "2022-06-01"),
    ("--store", "racked four", "--from", "2018-02-03", "--by", "type", "--format", "json"), ("--by", "store", "--store", "low dunnage", "--from", "2019", "--format", "csv"),
    ("--store", "racked four", "--store", "yard", "--by", "supplier"), ("--by", "store", "--from", "2018-02-03", "--format", "json"), ("--by", "year", "--store", "racked four", "--from", "2019-05-06"),
    ("--by", "fill", "--from", "2019-02-03", "--to", "2024-05-06", "--top", "7"), ("--by", "fill", "--from", "2018", "--sort", "held,-times", "--top", "5", "--format", "json"),
    ("--by", "fill", "--from", "2019-03-03", "--sort", "-rate", "--top", "5", "--format", "csv"), ("--by", "fill", "--to", "2023-03-03", "--sort", "-name", "--top", "5"),
    ("--parcel", "nothing"), ("--store", "nowhere", "--by", "store"), (),
)  # fmt: skip
FEWER = (ACCOUNTS[0], ACCOUNTS[1], *ACCOUNTS[4:6], *ACCOUNTS[10:13], ACCOUNTS[17], *ACCOUNTS[19:24], *ACCOUNTS[30:42])


@pytest.fixture(autouse=True)
def _any_size(monkeypatch: pytest.MonkeyPatch) -> None:
    """However few files there are, the index is asked, and what is done to some at once is done to a few."""
    monkeypatch.setattr(report, "FEW", 0)
    monkeypatch.setattr(ranking, "_MORE", 5)
    monkeypatch.setattr(loss_years, "_HELD", 40)
    monkeypatch.setattr(losses, "_AT_ONCE", 7)


def all_same(root: Path, days: tuple[str, ...], accounts: tuple[tuple[str, ...], ...] = ACCOUNTS) -> None:
    """Whatever is asked on these days, the index tells what the files tell, on standard error too."""
    for day in days:
        for words in accounts:
            same(root, "report", "loss", *words, day=day)


@pytest.mark.parametrize(("casks", "seed"), [(50, 3), pytest.param(300, 4, marks=pytest.mark.slow), pytest.param(300, 11, marks=pytest.mark.slow)])
def test_an_invented_ledger(tmp_path: Path, casks: int, seed: int) -> None:
    root = make_demo(tmp_path / "book", casks, seed)
    all_same(root, (DAY,))
    all_same(root, ("2021-12-31",), FEWER)
    all_same(root, ("2019-03-03", "1999-01-01"), FEWER if casks > 50 else FEWER[::4])


def test_fills_that_were_moved_between_stores(tmp_path: Path) -> None:
    """Of a cask that lay in two stores each has its part; of one that lay in one alone, the whole."""
    root = make_demo(tmp_path / "book", 40)
    listed = caskbook("list", "--state", "filled", "--records", str(root), "--as-of", DAY, "--columns", "cask", "--format", "csv").stdout.split()[1:]
    assert len(listed) > 8
    for n, cask in enumerate(listed[::2]):
        day, berth = f"2026-0{n % 3 + 1}-11", ("D1/01/1/2", "YD/3")[n % 2]
        said = caskbook("enter", "move", cask, "--berth", berth, "--date", day, "--by", "tb", "--yes", "--records", str(root))
        assert said.returncode == 0, said.stderr
    by_place = tuple(words for words in ACCOUNTS if {"store", "--store", "--berth"} & set(words))
    all_same(root, (DAY, "2026-02-20"), by_place)


@pytest.mark.parametrize("accounts", [FEWER[::2], pytest.param(ACCOUNTS, marks=pytest.mark.slow)])
def test_the_shipped_records(tmp_path: Path, accounts: tuple[tuple[str, ...], ...]) -> None:
    root = copied(SHIPPED, tmp_path / "book")
    all_same(root, ("2026-11-25", "2020-12-31"), accounts)


def test_a_cask_for_every_job_and_one_whose_gauges_contradict_each_other(tmp_path: Path) -> None:
    root = make_demo(tmp_path / "book", 12)
    put_every_job(root)
    all_same(root, (DAY,))
    all_same(root, ("2023-04-05",), FEWER)


@pytest.mark.parametrize("seed", [1, *(pytest.param(seed, marks=pytest.mark.slow) for seed in (2, 3, 4, 5, 6))])
def test_a_sabotaged_ledger(tmp_path: Path, seed: int) -> None:
    """Files gone, cut off, joined, misplaced, with entries that cannot be read; asked before that and after it."""
    root = make_demo(tmp_path / "book", 60, seed)
    answer(root, "report", "loss")
    sabotaged(root, seed, 0.4)
    all_same(root, (DAY, "2020-06-30"), FEWER)


def test_a_revision(tmp_path: Path) -> None:
    root = make_demo(tmp_path / "book", 40)
    commit_all(root)
    sabotaged(root, 7)
    for words in FEWER:
        same(root, "report", "loss", *words, "--at", "HEAD")


@pytest.mark.parametrize("accounts", [FEWER[::3], pytest.param(FEWER, marks=pytest.mark.slow)])
def test_an_answer_taken_over_to_later_days(tmp_path: Path, accounts: tuple[tuple[str, ...], ...]) -> None:
    """A fill that was gauged on the day itself is known to its end on that day alone; a new year begins with nothing known of it."""
    root = make_demo(tmp_path / "book", 40)
    all_same(root, ("2025-12-30", "2025-12-31", "2026-01-01", "2026-01-02", DAY, "2025-12-31"), accounts)


def test_the_whole_book_is_told_without_reading_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = make_demo(tmp_path / "book", 30)
    caskbook("due", "--records", str(root), "--as-of", DAY)
    expected = {words: answer(root, "report", "loss", *words) for words in ACCOUNTS}
    assert all(code == 0 for code, _, _ in expected.values())

    def read_all(*_: object) -> None:
        raise AssertionError("a file is read")

    for name in ("records", "read_file", "life_of"):
        monkeypatch.setattr(Ledger, name, read_all)
    assert {words: answer(root, "report", "loss", *words) for words in ACCOUNTS} == expected


def test_a_cask_of_which_one_fill_leaked_counts_once_in_a_year() -> None:
    found = Accounting("year")
    years = loss_years.ByYear(found, Division(by_year=True), date(2010, 1, 1))
    fills, verdicts = [[2001, 2003], [2003, 2005]], [["usual", None], ["act", None, [1, 2, 3.0], None]]
    leaking = years.take_sound(fills, verdicts)
    assert leaking == {1}
    rows = [
        FillRow("TH-000001", "barrel", None, None, "2nd fill", "b", date(2003, 2, 1), *(None,) * 11, None, "act", (), year=year)  # type: ignore[arg-type]
        for year in (2003, 2004, 2005)
    ]
    found.take(rows)
    years.once(fills, leaking, rows)
    years.end()
    assert {name: (sums.casks, sums.fills) for name, sums in found.groups.items()} == {
        "2001": (1, 1),
        "2002": (1, 1),
        "2003": (1, 2),
        "2004": (1, 1),
        "2005": (1, 1),
    }
    assert (found.whole.casks, found.whole.fills) == (1, 2)
