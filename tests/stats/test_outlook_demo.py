"""The ranges of the outlook over invented ledgers: how many months they hold, and that a wrong limit or a wrong rate of leaks is told by them.

A demo ledger has no history in git, so the book of then is told by its entries. Months of one year share its level, so that fewer of them count
than there are: the tolerance is three standard deviations of a binomial share of a third of the months.
"""

from __future__ import annotations

import calendar
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from caskbook.demo.block import Demo
from caskbook.demo.files import write_ledger
from caskbook.demo.house import UNTIL
from caskbook.ledger.files import open_folder
from caskbook.life.turns import month_of
from caskbook.model.house import House
from caskbook.stats.outlook import BANDS
from caskbook.stats.outlook_backtest import LAST_MEAN, LAST_YEAR, OURS, SCORED, TOGETHER, BackTest, Origin, back_test, real_counts
from caskbook.stats.outlook_book import read_lines
from caskbook.stats.outlook_counts import AT_LIMIT, LEAKS, TIPS
from caskbook.stats.stock import Limit
from caskbook.work.as_known import lines_known

LAST = month_of(UNTIL) or 0
MONTHS = [LAST - 12 * back for back in range(8, 0, -1)]
Real = dict[str, dict[int, int]]


def end(month: int) -> date:
    return date(month // 12, month % 12 + 1, calendar.monthrange(month // 12, month % 12 + 1)[1])


def limits(house: House, day: date) -> Callable[[str], Limit | None]:
    @cache
    def of(kind: str) -> Limit | None:
        rule = house.on(day, kind).due.rechar
        return None if kind in rule.off_types else Limit(rule.due_at, rule.after_rechar_due_at)

    return of


def ledger(root: Path, casks: int, seed: int) -> tuple[list[Origin], Real]:
    """Eight origins, a year apart, and what came, by the book of today."""
    list(write_ledger(root, Demo(casks, seed, UNTIL), {}, 1))
    book = open_folder(root, root)
    known, whole = lines_known(book, [end(month) for month in MONTHS], UNTIL)
    on = cache(lambda month: limits(book.house, end(month)))
    origins = [Origin(end(month), read_lines(lines.found, month, lines.casks), on(month)) for month, lines in zip(MONTHS, known, strict=True)]
    return origins, real_counts(read_lines(whole.found, LAST, whole.casks), lambda kind, month: on(month)(kind))


def lower(limit: Limit | None) -> Limit | None:
    return limit and Limit(limit.due_at - 2, 1)


def coverage(tests: list[BackTest], name: str, way: str, percent: int) -> tuple[float, float, int]:
    """(share of months in the band, share of its own draws, months) of several back-tests together."""
    scores = [one.scores[name, way, percent] for one in tests]
    n = sum(one.n for one in scores)
    return sum(one.held for one in scores) / n, sum(one.claimed for one in scores) / n, n


def holds(books: list[tuple[list[Origin], Real]]) -> None:
    """The bands hold as many months as they claim; with a limit that is two fills too low, or twice the leaks, they do not."""
    right = [back_test(origins, real, months=12, seed=1) for origins, real in books]
    for name in SCORED:
        for percent in BANDS:
            share, claimed, n = coverage(right, name, OURS, percent)
            tolerance = 3 * (claimed * (1 - claimed) / (n / 3)) ** 0.5
            print(f"{name} {percent} %: {share:.3f} of {n}, claimed {claimed:.3f}, tolerance {tolerance:.3f}")
            assert abs(share - claimed) <= tolerance, (name, percent, share, claimed, tolerance)
            assert claimed >= percent / 100
    wrong = [
        back_test([replace(one, limit_of=cache(lambda kind, of=one.limit_of: lower(of(kind)))) for one in origins], real, months=12, seed=1)
        for origins, real in books
    ]
    doubled = [back_test(origins, real, months=12, seed=1, leak_times=2.0) for origins, real in books]
    for broken, name in ((wrong, AT_LIMIT), (doubled, LEAKS)):
        for percent in BANDS:
            before, after = coverage(right, name, OURS, percent), coverage(broken, name, OURS, percent)
            print(f"{name} broken {percent} %: {before[0]:.3f} -> {after[0]:.3f}, claimed {after[1]:.3f}")
        before, after = coverage(right, name, OURS, 80), coverage(broken, name, OURS, 80)
        assert after[0] < before[0] - 0.1 and after[0] < after[1] - 0.1, name
    for name in SCORED:
        for percent in BANDS:
            share, claimed, n = coverage(right, name, TOGETHER, percent)
            tolerance = 3 * (claimed * (1 - claimed) / n) ** 0.5
            print(f"{name} together {percent} %: {share:.3f} of {n}, claimed {claimed:.3f}, tolerance {tolerance:.3f}")
            assert abs(share - claimed) <= tolerance, (name, percent, share, claimed, tolerance)
    for name in (TIPS,):
        plain = [coverage(right, name, way, 80)[0] for way in (LAST_YEAR, LAST_MEAN)]
        print(f"{name} plain 80 %: {plain}")


@pytest.mark.thorough
def test_the_ranges_hold_over_a_demo_ledger_and_fall_where_the_model_is_broken(tmp_path: Path) -> None:
    holds([ledger(tmp_path, 1500, 21)])


@pytest.mark.slow
def test_the_ranges_hold_over_several_demo_ledgers(tmp_path: Path) -> None:
    holds([ledger(tmp_path / str(seed), 2500, seed) for seed in range(31, 36)])
