"""A back-test by hand: what is scored, what is left out, and what came by the limits of its own month."""

from __future__ import annotations

import calendar
from collections import Counter
from datetime import date

from caskbook.stats.outlook import BANDS, Terms, outlook_of
from caskbook.stats.outlook_backtest import LAST_MEAN, LAST_YEAR, OURS, SCORED, TOGETHER, Origin, back_test, real_counts
from caskbook.stats.outlook_book import read_lines
from caskbook.stats.outlook_counts import AT_LIMIT, LEAKS, TIPS
from caskbook.stats.spread import by_last_mean, by_last_year
from caskbook.stats.stock import Limit

LAST = 24300


def limit_of(kind: str) -> Limit | None:
    return Limit(5, 2)


def lines(last: int, years: int = 10) -> Counter[str]:
    """Each month three come empty that lay 24 months, one of them at the limit; leaks in each second month, none where `years` is under 9."""
    found: Counter[str] = Counter({f"A|barrel|{last - 12 * years + 1}|0|1|0|0|": 80})
    for month in range(last - 12 * years + 1, last + 1):
        found |= Counter({f"F|barrel|{month - 24}|{month}|t|malt": 3, f"N|barrel|{month}|3|0|0|0": 2, f"N|barrel|{month}|5|0|0|1": 1})
        found |= Counter({f"L|{month}|{month}": 1 if month % 2 and years > 8 else 0})
    for back in range(24):
        found |= Counter({f"F|barrel|{last - back}|-|-|malt": 3, f"O|barrel|{last - back}|3|0|0|malt": 2, f"O|barrel|{last - back}|5|0|0|malt": 1})
    return +found


def origin(month: int, years: int = 10) -> Origin:
    day = date(month // 12, month % 12 + 1, calendar.monthrange(month // 12, month % 12 + 1)[1])
    return Origin(day, read_lines(lines(month, years), month, 80), limit_of)


def test_months_in_the_band_and_how_wide_it_was_by_hand() -> None:
    one = origin(LAST)
    real = {TIPS: {LAST + n: n for n in range(1, 13)}, AT_LIMIT: {LAST + 3: 1}, LEAKS: {}}
    test = back_test([one], real, months=12, seed=1)
    found = outlook_of(one.book, Terms(limit_of, 12, 1, wanted=SCORED))
    for percent in BANDS:
        bands = [found.series[TIPS].band(at, percent) for at in range(12)]
        score = test.scores[TIPS, OURS, percent]
        assert (score.n, score.held) == (12, sum(band.low <= n <= band.high for n, band in enumerate(bands, 1) if band))
        assert score.width == sum(band.high - band.low for band in bands if band)
        drawn = [course[0] for course in found.series[TIPS].drawn]
        first = bands[0]
        assert first and abs(score.claimed / 12 - sum(first.low <= count <= first.high for count in drawn) / len(drawn)) < 0.1
        plain = [by_last_year([3] * 120, at, percent) for at in range(1, 13)]
        assert test.scores[TIPS, LAST_YEAR, percent].held == sum(band.holds(n) for n, band in enumerate(plain, 1)) == 1
        assert test.scores[TIPS, LAST_MEAN, percent].held == sum(by_last_mean([3] * 120, percent).holds(n) for n in range(1, 13))
        whole = found.series[TIPS].total(range(12), percent)
        assert whole and (test.scores[TIPS, TOGETHER, percent].n, test.scores[TIPS, TOGETHER, percent].held) == (1, int(whole.low <= 78 <= whole.high))
    assert test.real == {TIPS: 78, AT_LIMIT: 1, LEAKS: 0} and abs(test.foreseen[TIPS] - 36) < 4


def test_an_origin_with_too_little_before_it_is_left_out_and_said() -> None:
    test = back_test([origin(LAST, 2), origin(LAST, 3)], {name: {} for name in SCORED}, months=12, seed=1)
    assert len(test.used) == 1 and list(test.left_out.values()) == ["24 months before it: 36 wanted"]


def test_a_count_of_too_few_ends_is_in_no_row() -> None:
    test = back_test([origin(LAST), origin(LAST, 4)], {name: {} for name in SCORED}, months=12, seed=1)
    assert test.few == {TIPS: 0, AT_LIMIT: 0, LEAKS: 1}
    assert [test.scores[name, OURS, 80].n for name in SCORED] == [24, 24, 12]


def test_what_came_is_judged_by_the_limit_of_its_own_month() -> None:
    found = Counter({f"N|barrel|{LAST}|4|0|0|-": 3, f"N|barrel|{LAST + 1}|4|0|0|-": 2, f"N|butt|{LAST}|9|0|0|-": 1, f"L|{LAST}|-": 2, f"L|{LAST}|{LAST}": 1})
    real = real_counts(read_lines(found, LAST + 1, 9), lambda kind, month: None if kind == "butt" else Limit(5 if month == LAST else 4, 2))
    assert real == {TIPS: {LAST: 4, LAST + 1: 2}, AT_LIMIT: {LAST + 1: 2}, LEAKS: {LAST: 3}}
