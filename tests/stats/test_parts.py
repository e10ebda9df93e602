"""Parts replaced in how many years, the same place again, and donors, by hand."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from scipy.stats import chi2

from caskbook.core.period import Period
from caskbook.life.mends import Broken, Counts, Mends, Repair, Replaced, Stretch
from caskbook.stats.donors import donors_of, left_of
from caskbook.stats.parts import Cask, Line, parts_of
from caskbook.stats.same_place import same_place_of

DAY = date(2026, 1, 1)
YEAR = 365.2425


def cask(number: int, start: str = "2025-01-01", end: str | None = None, **more: Any) -> Cask:
    first = date.fromisoformat(start)
    plain: dict[str, Any] = {
        "start": first, "end": end and date.fromisoformat(end) or None, "staves": 3, "hoops": 6, "bungs": ((first, 1),), "replaced": (), "repairs": (), "parents": (),
        "broken": None, "raised": (),
    }  # fmt: skip
    return Cask(f"TH-{number:06d}", Mends(**(plain | more)))


def put(part: str, name: str, source: str = "new", *, bung: bool = False, followed: bool = True) -> Replaced:
    return Replaced(date(2025, 6, 1), part, name, bung, source, followed)


def lines(*casks: Cask, by: Any = "part") -> dict[str, tuple[int, int]]:
    return {one.name: (one.replaced, round(one.years * YEAR)) for one in parts_of(casks, by, DAY).lines}


def test_the_years_are_those_of_one_such_part() -> None:
    two = cask(1, replaced=(put("stave", "1", bung=True), put("stave", "3"))), cask(2, end="2025-01-11", staves=2, hoops=8)
    assert lines(*two) == {
        "bung stave": (1, 375), "each other stave": (1, 365 * 2 + 10), "head A": (0, 375), "head B": (0, 375), "each chime hoop": (0, 750),
        "each quarter hoop": (0, 365 * 2 + 10 * 4), "each bulge hoop": (0, 750),
    }  # fmt: skip
    by_position = lines(*two, by="position")
    assert {name: by_position[name] for name in ("bung stave", "stave 2", "stave 3")} == {"bung stave": (1, 375), "stave 2": (0, 375), "stave 3": (1, 365)}
    assert "stave 1" not in by_position


def test_a_moved_bung_takes_its_time_along() -> None:
    moved = cask(1, bungs=((date(2025, 1, 1), 1), (date(2025, 1, 31), 2)))
    assert lines(moved, by="position") == lines(moved, by="position") | {"bung stave": (0, 365), "stave 1": (0, 335), "stave 2": (0, 30), "stave 3": (0, 365)}
    assert lines(moved)["each other stave"] == (0, 365 * 2)


def test_a_cask_raised_again_counts_for_both_times_and_not_for_that_between() -> None:
    """Once among the casks; each time with the staves it had."""
    first = date(2025, 1, 1)
    one = cask(
        1, end="2025-01-11", raised=(Stretch(date(2025, 5, 1), None, 2),), bungs=((first, 1), (date(2025, 5, 11), 2)), replaced=(put("stave", "2", bung=True),)
    )
    assert lines(one) == {
        "bung stave": (1, 255), "each other stave": (0, 2 * 10 + 245), "head A": (0, 255), "head B": (0, 255), "each chime hoop": (0, 510),
        "each quarter hoop": (0, 510), "each bulge hoop": (0, 510),
    }  # fmt: skip
    found = parts_of([one], "part", DAY)
    assert (found.casks, round(found.years * YEAR), found.no_staves) == (1, 255, 0)
    between = Period(date(2025, 2, 1), date(2025, 3, 1), DAY)
    assert parts_of([one], "part", DAY, between).casks == 0
    unknown = cask(1, end="2025-01-11", raised=(Stretch(date(2025, 5, 1), None, None),), replaced=(put("stave", "2"),))
    found = parts_of([unknown], "part", DAY)
    assert (found.left_out, found.no_staves, found.casks) == ({"number of staves not known": 1}, 1, 1)


def test_what_is_put_right_after_it_was_raised_is_followed_from_there() -> None:
    flags = tuple(Repair(date.fromisoformat(day), "joint-2", "flag") for day in ("2025-01-05", "2025-05-05"))
    one = cask(1, end="2025-01-11", raised=(Stretch(date(2025, 5, 1), None, 2),), repairs=flags)
    whole = same_place_of([one], DAY, within=30).whole
    assert (whole.followed, whole.open) == (1, 1)


def test_what_cannot_be_reckoned_is_left_out_and_counted() -> None:
    found = parts_of(
        [cask(1, staves=None, hoops=None, replaced=(put("stave", "7"), put("stave", "1", bung=True), put("hoop", "A-1"), put("head", "A", followed=False)))],
        "part",
        DAY,
    )
    assert found.left_out == {"number of staves not known": 1, "number of hoops not known": 1, "after it was retired or while it was knocked down": 1}
    assert [(one.name, one.replaced, round(one.years * YEAR)) for one in found.lines] == [
        ("bung stave", 1, 365), ("each other stave", 0, 0), ("head A", 0, 365), ("head B", 0, 365),
    ]  # fmt: skip
    assert (found.no_staves, found.no_hoops) == (1, 1)


def test_the_rate_has_the_exact_interval_and_says_what_it_was_replaced_with() -> None:
    staves = tuple(put("stave", "2", source) for source in ("new", "TH-000009", "TH-000009", "unknown", "reused"))
    line = parts_of([cask(1, replaced=staves)], "position", DAY).lines[1]
    assert line == Line("stave 2", 5, pytest.approx(365 / YEAR), 1, 2) and (line.other, line.small) == (2, True)
    assert line.interval == (pytest.approx(1000 * chi2.ppf(0.025, 10) / 2 / line.years), pytest.approx(1000 * chi2.ppf(0.975, 12) / 2 / line.years))
    assert Line("x", 0, 0.0).rate is None and Line("x", 0, 0.0).interval is None


def test_hoops_are_told_by_their_kind() -> None:
    assert lines(cask(1, replaced=(put("hoop", "A-1"), put("hoop", "B-2"), put("hoop", "B-3"), put("hoop", "A-3"))))["each bulge hoop"][0] == 2


def test_parts_are_told_by_the_counts_of_their_time() -> None:
    """Six hoops and three staves for 100 days, eight and four for the other 265: a hoop is of the kind that it was when it was replaced."""
    first, later = date(2025, 1, 1), date(2025, 4, 11)
    bulge = Replaced(date(2025, 2, 1), "hoop", "A-3", False, "new", True, 6)
    quarter = bulge._replace(day=date(2025, 6, 1), hoops=8)
    one = cask(1, counts=(Counts(first, 3, 6, 3), Counts(later, 4, 8, 3)), replaced=(bulge, quarter))
    assert lines(one) == {
        "bung stave": (0, 365), "each other stave": (0, 2 * 100 + 3 * 265), "head A": (0, 365), "head B": (0, 365), "each chime hoop": (0, 730),
        "each quarter hoop": (1, 2 * 100 + 4 * 265), "each bulge hoop": (1, 730),
    }  # fmt: skip
    assert {name: figures for name, figures in lines(one, by="position").items() if name.startswith("stave")} == {"stave 2": (0, 365), "stave 3": (0, 365)}
    only = {line.name: (line.replaced, round(line.years * YEAR)) for line in parts_of([one], "part", DAY, Period(first, date(2025, 4, 10), DAY)).lines}
    assert (only["each quarter hoop"], only["each bulge hoop"], only["each other stave"]) == ((0, 200), (1, 200), (0, 200))
    unknown = cask(2, counts=(Counts(first, None, None, None), Counts(later, 3, 6, 3)), staves=3, hoops=6)
    assert lines(unknown) == lines(cask(2)), "the first count holds from the beginning"


def repair(day: str, again: int | None = None, until: int | None = None, at: str = "joint-4") -> Repair:
    on = date.fromisoformat(day)
    later = [None if days is None else date.fromordinal(on.toordinal() + days) for days in (again, until)]
    return Repair(on, at, "flag", later[0], "leak" if again is not None else "", later[1])


@pytest.mark.parametrize(("one", "again", "followed", "still"), [
    (repair("2025-06-01", 100), 1, 1, 0), (repair("2025-06-01", 101), 0, 1, 0), (repair("2025-06-01"), 0, 1, 0), (repair("2025-09-24", 5), 0, 0, 1),
    (repair("2025-09-23", 5), 1, 1, 0), (repair("2025-06-01", None, 99), 0, 0, 1), (repair("2025-06-01", None, 100), 0, 1, 0), (repair("2025-06-01", 20, 30), 1, 1, 0),
])  # fmt: skip
def test_a_place_leaks_again_within_the_days_that_it_is_followed(one: Repair, again: int, followed: int, still: int) -> None:
    found = same_place_of([cask(1, repairs=(one,))], DAY, 100)
    assert (found.whole.again, found.whole.followed, found.whole.open) == (again, followed, still)
    assert len(found.list) == (one.again is not None and (one.again - one.day).days <= 100)


def test_places_are_told_by_kind_and_a_cask_that_ended_is_followed_to_its_end() -> None:
    found = same_place_of([cask(1, end="2025-07-01", repairs=(repair("2025-06-01"), repair("2025-02-01", at="head-A-joint-2")))], DAY, 100)
    assert [(one.name, one.followed, one.open) for one in found.kinds] == [("head joint", 1, 0), ("joint", 0, 1)]
    assert found.kinds[0].small and found.kinds[1].share is None and found.kinds[1].interval is None


def test_donors_both_ways_under_the_number_that_goes_on() -> None:
    giver = cask(9, broken=Broken(date(2024, 1, 1), 20, None, None))
    taker = cask(1, replaced=(put("stave", "2", "TH-000009"), put("stave", "3", "TH-000008"), put("head", "B", "TH-000009"), put("stave", "4")))
    child = cask(2, parents=(("TH-000009", 5), ("TH-000007", None)))
    states = {"TH-000009": "gone", "TH-000001": "ready", "TH-000002": "ready"}
    found = donors_of([taker, child, giver, cask(3, broken=Broken(date(2025, 1, 1), None, 2, 6))], states, {"TH-000008": "TH-000009"})
    assert [(gift.giver[-1], gift.taker[-1], gift.part, gift.number) for gift in found.gifts] == [
        ("7", "2", "made-from", None), ("9", "1", "head", 1), ("9", "1", "stave", 2), ("9", "2", "made-from", 5),
    ]  # fmt: skip
    assert (found.giving, found.taking, found.count("stave")) == (2, 2, 2)
    assert [(one.cask[-1], one.state, one.takers, left_of(one)) for one in found.givers] == [("3", None, 0, None), ("7", None, 1, None), ("9", "gone", 2, 18)]


def test_of_some_casks_what_they_gave_and_took_and_all_that_their_donor_gave() -> None:
    casks = [cask(n, replaced=(put("stave", "2", "TH-000009"),)) for n in (1, 2)] + [cask(9, broken=Broken(date(2024, 1, 1), 20, 0, 0))]
    found = donors_of(casks, {}, {}, {"TH-000001"})
    assert [gift.taker for gift in found.gifts] == ["TH-000001"]
    assert [(one.cask, one.takers, left_of(one)) for one in found.givers] == [("TH-000009", 2, 18)]


def test_nothing_at_all() -> None:
    assert parts_of([], "part", DAY).lines[0] == Line("bung stave", 0, 0.0)
    assert same_place_of([], DAY).whole == ("all", 0, 0, 0) and donors_of([], {}, {}).gifts == ()


YEAR_24 = Period(date(2024, 1, 1), date(2024, 12, 31), DAY)
BORDERS = [("2023-12-31", 0), ("2024-01-01", 1), ("2024-12-31", 1), ("2025-01-01", 0)]


@pytest.mark.parametrize(("day", "counts"), BORDERS)
def test_what_was_done_on_the_first_and_on_the_last_day_of_a_period_counts(day: str, counts: int) -> None:
    on = date.fromisoformat(day)
    one = cask(1, "2020-01-01", replaced=(put("stave", "2", "TH-000009")._replace(day=on),), repairs=(repair(day, 20),))
    lost = cask(2, "2020-01-01", replaced=(put("stave", "2", followed=False)._replace(day=on),))
    apart = cask(3, "2020-01-01", broken=Broken(on, 20, 2, 6))
    parts = parts_of([one, lost, apart], "part", DAY, YEAR_24)
    assert (parts.lines[1].replaced, sum(parts.left_out.values())) == (counts, counts)
    same = same_place_of([one], DAY, 100, YEAR_24)
    assert (same.whole.again, same.whole.followed, len(same.list)) == (counts,) * 3
    found = donors_of([one, apart], {}, {}, None, YEAR_24)
    assert (len(found.gifts), len(found.apart), len(found.givers)) == (counts, counts, 2 * counts)


@pytest.mark.parametrize(
    ("start", "end", "days", "casks"),
    [
        ("2023-06-01", None, 366, 1), ("2023-06-01", "2023-12-31", 0, 0), ("2023-06-01", "2024-01-01", 0, 1), ("2023-06-01", "2024-01-02", 1, 1),
        ("2024-12-31", None, 1, 1), ("2025-01-01", None, 0, 0), ("2024-03-01", "2024-03-11", 10, 1),
    ],
)  # fmt: skip
def test_parts_are_watched_for_their_days_in_a_period(start: str, end: str | None, days: int, casks: int) -> None:
    found = parts_of([cask(1, start, end, staves=None)], "part", DAY, YEAR_24)
    assert (found.casks, round(found.years * YEAR), found.no_staves) == (casks, days, casks)
    assert round(found.lines[0].years * YEAR) == days and {round(one.years * YEAR) for one in found.lines[4:]} <= {2 * days}


def test_a_bung_that_moved_before_or_in_a_period_takes_its_days_in_it_along() -> None:
    first, then = date(2023, 7, 1), date(2024, 1, 31)
    moved = cask(1, "2020-01-01", bungs=((date(2020, 1, 1), 1), (first, 2), (then, 3)))
    found = {one.name: round(one.years * YEAR) for one in parts_of([moved], "position", DAY, YEAR_24).lines}
    assert {name: found[name] for name in ("bung stave", "stave 1", "stave 2", "stave 3")} == {"bung stave": 366, "stave 1": 366, "stave 2": 336, "stave 3": 30}


def test_whether_a_repair_of_a_period_held_is_told_up_to_the_day() -> None:
    one = cask(1, "2020-01-01", repairs=(repair("2024-12-30", 50), repair("2023-12-30", 50, at="joint-5")))
    found = same_place_of([one], DAY, 100, YEAR_24)
    assert [(again.repair.at, again.followed) for again in found.list] == [("joint-4", True)]


def test_those_that_leaked_again_and_are_not_followed_so_long_are_told_apart() -> None:
    found = same_place_of([cask(1, repairs=(repair("2025-06-01", 20), repair("2025-11-01", 20, at="joint-5")))], DAY, 100)
    assert (found.whole.again, found.early, [one.followed for one in found.list]) == (1, 1, [False, True])


def test_what_a_donor_has_left_is_that_of_all_time() -> None:
    taker = cask(1, "2020-01-01", replaced=(put("stave", "2", "TH-000009"), put("stave", "3", "TH-000009")._replace(day=date(2024, 5, 1))))
    found = donors_of([taker, cask(9, broken=Broken(date(2023, 1, 1), 20, 0, 0))], {}, {}, None, YEAR_24)
    assert [(gift.number, str(gift.day)) for gift in found.gifts] == [(1, "2024-05-01")]
    assert [left_of(one) for one in found.givers] == [18] and found.apart == ()
