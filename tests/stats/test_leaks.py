"""The account of leaks by hand: cask-years of each place, what came of the leaks, months, and what stands apart."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import pairwise
from typing import Any

import pytest
from scipy.stats import chi2

from caskbook.core.days import add_days
from caskbook.core.period import Period
from caskbook.life.leaks import HEALED, NO_LEAK, OPEN, REPAIRED, Leak, Lying, Spell
from caskbook.stats.leaks import By, Cask, Leaks, leaks_of

DAY = date(2026, 1, 1)
DUNNAGE, RACKS, AWAY = Lying("here", "dunnage", "D1/02", "malt"), Lying("here", "racks", "R7/1", "malt"), Lying("away", None, None, "malt")


def spell(lying: Lying, start: str, end: str | None) -> Spell:
    return Spell(lying, date.fromisoformat(start), end and date.fromisoformat(end) or None)


def leak(lying: Lying, day: str, outcome: str = OPEN, ended: str | None = None, **more: Any) -> Leak:
    severity = more.pop("severity", "weep")
    return Leak(date.fromisoformat(day), more.pop("at", "joint-4"), severity, lying, "e1", outcome=outcome, seen=more.pop("seen", severity),
                ended=ended and date.fromisoformat(ended) or None, **more)  # fmt: skip


def cask(number: int, spells: Sequence[Spell], *leaks: Leak, **facts: Any) -> Cask:
    return {"cask": f"TH-{number:06d}", "type": "barrel", "supplier": "northquay"} | facts, leaks, spells


MOVED = cask(
    1, [spell(DUNNAGE, "2024-01-01", "2025-01-01"), spell(RACKS, "2025-01-01", None)],
    leak(DUNNAGE, "2024-06-01", HEALED, "2024-06-11"), leak(RACKS, "2025-06-01", REPAIRED, "2025-07-01", by="peg"),
)  # fmt: skip
STAYED = cask(2, [spell(RACKS, "2025-07-01", "2025-08-01")], leak(RACKS, "2025-07-03", at="head-A-2"), type="butt", supplier=None)


def groups(casks: Sequence[Cask], by: By, **places: Sequence[str]) -> dict[str, tuple[int, int]]:
    return {one.name: (one.leaks, round(one.years * 365.2425)) for one in leaks_of(casks, by, DAY, places).groups}


def test_a_cask_that_moved_counts_for_each_place_for_its_time() -> None:
    assert groups([MOVED, STAYED], "store") == {"dunnage": (1, 366), "racks": (2, 365 + 31)}
    assert groups([MOVED, STAYED], "row") == {"D1/02": (1, 366), "R7/1": (2, 396)}
    assert groups([MOVED, STAYED], "type") == {"barrel": (2, 731), "butt": (1, 31)}
    assert groups([MOVED, STAYED], "supplier") == {"northquay": (2, 731), "?": (1, 31)}
    assert groups([MOVED, STAYED], "spirit") == {"malt": (3, 762)}


def test_by_position_the_cask_years_are_those_of_all() -> None:
    assert groups([MOVED, STAYED], "position") == {"joint": (2, 762), "head piece": (1, 762)}


def test_filters_of_the_place_hold_for_leaks_and_for_time() -> None:
    assert groups([MOVED, STAYED], "type", store=["dunnage"]) == {"barrel": (1, 366)}
    assert groups([MOVED, STAYED], "store", berth=["R7"]) == {"racks": (2, 396)}
    found = leaks_of([MOVED, STAYED], "store", DAY, {"store": ["dunnage"]})
    assert (found.casks, found.whole.leaks, found.open) == (1, 1, ())


def test_the_rate_has_the_exact_interval() -> None:
    whole = leaks_of([MOVED, STAYED], "store", DAY).whole
    years = 762 / 365.2425
    assert whole.rate == pytest.approx(3000 / years)
    assert whole.interval == (pytest.approx(1000 * chi2.ppf(0.025, 6) / 2 / years), pytest.approx(1000 * chi2.ppf(0.975, 8) / 2 / years))
    assert whole.small and not leaks_of([cask(n, [spell(RACKS, "2016-01-01", None)]) for n in range(11)], "store", DAY).whole.small


def test_what_came_of_them_and_after_how_long() -> None:
    found = leaks_of([MOVED, STAYED], "store", DAY)
    assert (found.whole.ends[HEALED], found.whole.ends[REPAIRED], found.whole.ends[OPEN]) == (1, 1, 1)
    assert (found.healed_after, found.repaired_after, found.by_job) == (10, 30, {"peg": 1})


def test_each_month_has_what_was_found_and_ended_in_it_and_its_days() -> None:
    months = {one.month: one for one in leaks_of([MOVED, STAYED], "store", DAY).months}
    assert len(months) == 25 and list(months) == sorted(months)
    assert months["2024-06"][1:4] == (1, 1, 0) and months["2025-06"][1:4] == (1, 0, 0) and months["2025-07"][1:4] == (1, 0, 1)
    assert [round(months[name].years * 365.2425) for name in ("2024-02", "2025-07", "2025-08", "2026-01")] == [29, 62, 31, 0]
    assert sum(one.years for one in months.values()) * 365.2425 == pytest.approx(762)


def test_what_is_no_leak_is_in_no_figure_and_the_same_again_counts_once() -> None:
    found = leaks_of(
        [cask(1, [spell(RACKS, "2025-01-01", None)], leak(RACKS, "2025-02-01", NO_LEAK, again=3), leak(RACKS, "2025-03-01", again=2))], "store", DAY
    )
    assert (found.whole.leaks, found.again, found.no_leak) == (1, 2, 1)


def test_the_open_ones_stand_the_worst_first() -> None:
    """As they were last seen; and where the cask lies now, wherever it lay when they were found."""
    leaks = [leak(RACKS, "2025-02-01", severity="run", seen="weep"), leak(RACKS, "2025-03-01", seen="run"), leak(RACKS, "2025-01-01")]
    leaks += [leak(RACKS, "2025-01-01", severity="drip")]
    found = leaks_of([cask(1, [spell(RACKS, "2025-01-01", "2025-06-01"), spell(DUNNAGE, "2025-06-01", None)], *leaks)], "store", DAY).open
    assert [(one.leak.seen, one.leak.day.month) for one in found] == [("run", 3), ("drip", 1), ("weep", 1), ("weep", 2)]
    assert {one.lies for one in found} == {DUNNAGE}


def test_away_and_nothing_at_all() -> None:
    assert groups([cask(1, [spell(AWAY, "2025-01-01", "2025-02-01")])], "store") == {"(away)": (0, 31)}
    nothing = leaks_of([], "store", DAY)
    assert (nothing.groups, nothing.months, nothing.whole.rate, nothing.whole.interval) == ((), (), None, None)


def year_of(*casks: Cask, by: By = "store", **places: Sequence[str]) -> Leaks:
    """The account of 2024, as the book has it a year later."""
    return leaks_of(casks, by, DAY, places, Period(date(2024, 1, 1), date(2024, 12, 31), DAY))


@pytest.mark.parametrize(("day", "counts"), [("2023-12-31", 0), ("2024-01-01", 1), ("2024-12-31", 1), ("2025-01-01", 0)])
def test_a_leak_of_the_first_and_of_the_last_day_of_a_period_counts(day: str, counts: int) -> None:
    one = cask(1, [spell(RACKS, "2023-01-01", None)], leak(RACKS, day))
    none = cask(2, [spell(RACKS, "2023-01-01", None)], leak(RACKS, day, NO_LEAK))
    found = year_of(one, none)
    assert (found.whole.leaks, found.groups[0].leaks, len(found.open), found.no_leak) == (counts,) * 4
    assert sum(month.found for month in found.months) == counts


@pytest.mark.parametrize(
    ("start", "end", "days"),
    [
        ("2023-06-01", None, 366), ("2023-06-01", "2024-01-01", 0), ("2023-06-01", "2024-01-02", 1), ("2024-12-31", "2025-06-01", 1),
        ("2025-01-01", None, 0), ("2024-03-01", "2024-03-11", 10), ("2023-06-01", "2025-06-01", 366),
    ],
)  # fmt: skip
def test_a_spell_over_the_border_of_a_period_counts_for_its_days_in_it(start: str, end: str | None, days: int) -> None:
    found = year_of(cask(1, [spell(RACKS, start, end)]))
    assert round(found.whole.years * 365.2425) == days == round(sum(month.years for month in found.months) * 365.2425)
    assert {one.name for one in found.groups} == ({"racks"} if days else set())
    assert found.casks == (start != "2025-01-01")  # On the first of January it lay filled until it was emptied.


def test_what_came_of_the_leaks_of_a_period_is_told_up_to_the_day() -> None:
    found = year_of(
        cask(1, [spell(RACKS, "2023-01-01", None)], leak(RACKS, "2024-12-30", HEALED, "2025-02-08"), leak(RACKS, "2023-12-30", HEALED, "2024-01-04"))
    )
    assert (found.whole.leaks, found.whole.ends[HEALED], found.healed_after) == (1, 1, 40)


def test_the_months_of_a_period_say_what_they_say_without_one() -> None:
    """What was found before the period heals in its month all the same."""
    casks = [MOVED, STAYED, cask(3, [spell(RACKS, "2023-05-20", None)], leak(RACKS, "2023-12-30", HEALED, "2024-01-04"))]
    whole = {one.month: one for one in leaks_of(casks, "store", DAY).months}
    of_period = {one.month: one for one in year_of(*casks).months}
    assert list(of_period) == [f"2024-{n:02d}" for n in range(1, 13)] and of_period["2024-01"].healed == 1
    assert of_period == {month: one for month, one in whole.items() if month.startswith("2024")}
    half = leaks_of(casks, "store", DAY, None, Period(date(2024, 6, 10), date(2024, 6, 12), DAY)).months
    assert [(one.month, one.found, one.healed, round(one.years * 365.2425)) for one in half] == [("2024-06", 0, 1, 6)]


def test_periods_that_follow_on_one_another_add_up() -> None:
    ends = [None, date(2024, 5, 31), date(2025, 6, 1), date(2025, 7, 20), None]
    casks = [MOVED, STAYED]
    parts = [leaks_of(casks, "store", DAY, None, Period(since and add_days(since, 1), until, DAY)).whole for since, until in pairwise(ends)]
    whole = leaks_of(casks, "store", DAY).whole
    assert sum(one.leaks for one in parts) == whole.leaks == 3
    assert sum(one.years for one in parts) == pytest.approx(whole.years)


def test_a_cask_that_was_filled_leaked_and_emptied_on_one_day_is_told() -> None:
    found = leaks_of([cask(1, [], leak(RACKS, "2025-03-01", "emptied"))], "store", DAY)
    assert (found.casks, found.whole.leaks, found.months[0][:2]) == (1, 1, ("2025-03", 1))
