"""What went between two days, by year and by where a fill lay: the parts add up to the whole, to the hundredth, whatever was entered."""

from __future__ import annotations

import math
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from casks import ev, life_on
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.loss import PeerTable
from caskbook.loss.account import BY, doubtful, grouped, rows_of, total
from caskbook.loss.account_rows import FillRow
from caskbook.loss.course import NONE, Course, share_gone
from caskbook.loss.doubts import doubt_of
from caskbook.loss.fills import fill_losses
from caskbook.loss.parts import Division
from caskbook.model.house import House
from loss.filled import NO_WOOD, emptied, filled, gauged, lived, lost
from loss.test_any_history import HISTORIES, life_of

STORES = House({**NO_WOOD.raw, "stores": {"D": "dunnage", "R": "racks"}})
WOOD = House({**STORES.raw, "in_drink_percent": 2})
D = Decimal


def rows(*events: dict[str, Any], house: House = STORES, day: str = "2026-11-25", **division: Any) -> list[FillRow]:
    given = {key: date.fromisoformat(value) if key in ("since", "until") else value for key, value in division.items()}
    return rows_of(lived(*events, house=house, day=day), PeerTable(), Division(**given))


def test_between_two_gauges_it_goes_at_one_rate_in_the_logarithm() -> None:
    there = [filled("2016-12-31"), gauged("2020-12-31", 180, 63.5)]
    by_year = rows(*there, by_year=True)
    assert [(row.year, row.lpa) for row in by_year if row.lpa] == [(year, _left(year - 1) - _left(year)) for year in (2017, 2018, 2019, 2020)]
    assert sum(row.lpa for row in by_year if row.lpa) == D("12.70")


def _left(year: int) -> Decimal:
    """What is there at the end of the year, what was lost being rounded."""
    time = (date(year, 12, 31) - date(2016, 12, 31)).days / 1461
    return D("127.00") - D(127 - 127 * math.pow(180 / 200, time)).quantize(D("0.01"))


def test_what_the_wood_takes_at_first_went_on_the_day_of_the_filling() -> None:
    there = [filled("2019-12-31"), gauged("2021-12-31", 180, 63.5)]
    first, second, third = rows(*there, house=WOOD, by_year=True)[:3]
    assert (first.year, first.lpa, first.held) == (2019, D("2.54"), D("127.00"))
    assert second.lpa is not None and third.lpa is not None and second.lpa > third.lpa
    assert third.held == D("127.00") - D("2.54") - second.lpa
    assert third.share == pytest.approx(float(third.lpa / third.held))


def test_what_the_wood_took_is_no_part_of_the_rate() -> None:
    there = [filled("2019-12-31"), gauged("2021-12-31", 180, 63.5)]
    second = rows(*there, house=WOOD, by_year=True)[1]
    left = 124.46 * math.pow(114.3 / 124.46, 366 / 731)
    assert second.lpa == D(127 - left).quantize(D("0.01")) - D("2.54") and abs(left - (124.46 - 10.16 * 366 / 731)) > 0.1, "and not evenly"


def test_what_is_put_in_counts_in_its_year_and_what_is_drawn_never() -> None:
    top, draw = ev("2017-05-01", "top", litres=10.0, abv=60.0, at_20=True), ev("2018-05-01", "draw", litres=20.0, abv=63.0, at_20=True)
    there = [filled("2016-12-31"), top, draw, gauged("2019-12-31", 176, 63.0)]
    assert [row.put_in for row in rows(*there, by_year=True)][:4] == [D("127.00"), D("6.00"), NONE, NONE]
    (whole,) = rows(*there)
    assert (whole.put_in, whole.held, whole.lpa) == (D("133.00"), D("133.00"), D("133.00") - D("12.60") - D("110.88"))
    held = [row.held for row in rows(*there, by_year=True)]
    assert held[2] == D("133.00") - sum(row.lpa or NONE for row in rows(*there, until="2017-12-31"))


def test_both_days_are_in_it() -> None:
    there = [filled("2020-01-01"), gauged("2020-01-11", 190, 63.5)]
    (whole,) = rows(*there)
    parts = [row.lpa for n in range(10) for row in rows(*there, since=f"2020-01-{n + 2:02d}", until=f"2020-01-{n + 2:02d}")]
    assert None not in parts and sum(part or NONE for part in parts) == whole.lpa == D("6.35")
    assert rows(*there, since="2020-01-01", until="2020-01-01")[0].lpa == NONE
    assert [row.lpa for row in rows(*there, until="2020-01-01")] == [NONE]


def test_a_fill_of_another_time_has_no_row() -> None:
    there = [filled("2015-01-01"), emptied("2018-01-01", 180)]
    assert rows(*there, since="2018-01-02") == [] and rows(*there, until="2014-12-31") == []
    assert len(rows(*there, since="2018-01-01", until="2018-01-01")) == 1


def test_behind_the_last_gauge_nothing_is_known() -> None:
    there = [filled("2015-01-01"), gauged("2020-06-30", 180)]
    by_year = rows(*there, by_year=True, day="2022-03-01")
    assert [(row.year, row.lpa is not None, row.complete) for row in by_year][-3:] == [(2020, True, False), (2021, False, False), (2022, False, False)]
    assert [row.complete for row in by_year][:5] == [True] * 5
    whole = total(by_year)
    assert (whole.fills, whole.gauged, whole.complete) == (1, 1, 0)
    assert total(rows(*there, day="2020-06-30")).complete == 1


def test_a_first_gauge_behind_the_filling_leaves_the_beginning_unknown() -> None:
    came = ev("2015-01-01", "receive", verdict="accept", spirit="malt", oak_since="2012-01-01")
    life = life_on("2018-01-01", came, gauged("2016-01-01", 190), gauged("2018-01-01", 185), house=STORES)
    assert [row.doubt for row in rows_of(life, PeerTable())] == [None]
    by_year = {row.year: row for row in rows_of(life, PeerTable(), Division(by_year=True))}
    assert by_year[2015].lpa is None and not by_year[2016].complete and by_year[2017].complete


def test_a_fill_that_moved_is_shared_out_over_its_stores() -> None:
    there = [filled("2015-12-31", berth="D1"), ev("2017-12-31", "move", berth="R3"), ev("2018-05-01", "move", berth="R4"), gauged("2019-12-31", 180, 63.5)]
    (whole,) = rows(*there)
    old, new = rows(*there, by_store=True)
    assert (whole.store, old.store, new.store) == ("dunnage", "dunnage", "racks")
    assert old.lpa is not None and new.lpa is not None and old.lpa > new.lpa and old.lpa + new.lpa == whole.lpa
    assert new.held == D("127.00") - old.lpa and (old.first, old.last, new.first) == (date(2015, 12, 31), date(2017, 12, 31), date(2017, 12, 31))
    assert rows(*there, stores=("racks",)) == [new]
    (berth,) = rows(*there, berths=("R4",))
    assert berth.store == "racks" and berth.lpa is not None and berth.lpa < new.lpa
    assert total([old, new]).held == total([whole]).held == D("127.00")


def test_moved_on_the_day_of_the_filling_it_lies_where_it_lay_that_evening() -> None:
    there = [filled("2015-12-31", berth="D1"), ev("2015-12-31", "move", berth="R3"), gauged("2019-12-31", 180, 63.5)]
    assert [row.store for row in rows(*there, by_store=True, house=WOOD)] == ["racks"]


def test_where_all_is_gone_it_went_evenly() -> None:
    found = lost(filled("2015-01-01"), emptied("2015-01-11", 0))
    assert [share_gone(found.intervals[0], date(2015, 1, day)) for day in (1, 6, 11)] == [0.0, 0.5, 1.0]


def test_only_what_is_there_loses() -> None:
    """Half is drawn at half time: of what goes afterwards there is half as much."""
    one = lost(filled("2016-01-01"), ev("2018-01-01", "draw", litres=98.0, abv=63.5, at_20=True), gauged("2020-01-01", 90, 63.5)).intervals[0]
    assert one.kept is not None
    half = share_gone(one, date(2018, 1, 1)) * float(one.lost or 0)
    assert half == pytest.approx(127 * (1 - math.sqrt(one.kept)), rel=1e-2)
    assert float(one.lost or 0) - half < half * 0.55


RACKED_IN = ev("2016-01-01", "rack-in", from_=[{"cask": "TH-004302", "litres": 10.0}], spirit="malt", oak_since="2010-01-01", at_20=True)


@pytest.mark.parametrize(("events", "kind", "said"), [
    ([filled(), gauged("2017-01-01", 250)], "gauges in contradiction", "127.0 L of alcohol 2015-01-01"),
    ([filled(), RACKED_IN, gauged("2017-01-01", 180)], "no figure", "how strong: rack-in 2016-01-01"),
    ([filled(), ev("2016-01-01", "regauge", wet_mm=500, abv=62.0, method="dip")], "no figure", "its inside is not known"),
    ([filled(), *(gauged(f"201{n}-01-01", 191 + 1.5 * n, 63.5) for n in (7, 8, 9))], "gain beyond error", "127.0 L of alcohol 2015-01-01"),
])  # fmt: skip
def test_a_fill_in_doubt_is_in_no_sum(events: list[dict[str, Any]], kind: str, said: str) -> None:
    for division in ({}, {"by_year": True}, {"by_store": True}):
        found = rows(*events, **division)
        assert {row.doubt for row in found} == {kind} and said in str(found[0].reason)
        assert (total(found).lpa, total(found).gauged, total(found).doubtful, total(found).fills) == (NONE, 0, 1, 1)
        assert all((row.lpa, row.share, row.after_in_drink, row.complete) == (None, None, None, False) for row in found)
        assert len(doubtful(found)) == 1


def test_a_fill_not_gauged_again_is_not_in_doubt() -> None:
    (row,) = rows(filled())
    assert (row.lpa, row.doubt) == (None, None)


DAYS = st.dates(date(2011, 6, 1), date(2030, 1, 1))


@settings(max_examples=many(60), deadline=None)
@given(HISTORIES, st.lists(DAYS, max_size=4, unique=True))
def test_parts_close_with_the_whole(history: list[tuple[dict[str, Any], int]], days: list[date]) -> None:
    """By year, by store, and between any days that follow each other, what was lost and put in adds up to the whole, by every name."""
    life, peers = life_of(history), PeerTable()
    whole = total(rows_of(life, peers))
    days.sort()
    begins = [None, *(day + timedelta(1) for day in days)]
    spans = [Division(begin, end) for begin, end in zip(begins, [*days, None], strict=True)]
    for by_year, by_store in ((False, False), (True, False), (False, True), (True, True)):
        found = [row for one in spans for row in rows_of(life, peers, Division(one.since, one.until, by_year, by_store))]
        assert (total(found).lpa, total(found).litres, total(found).put_in) == (whole.lpa, whole.litres, whole.put_in)
        assert (total(found).fills, total(found).gauged, total(found).doubtful) == (whole.fills, whole.gauged, whole.doubtful)
        for by in BY:
            groups = grouped(found, by)
            assert sum((group.lpa for group in groups), NONE) == whole.lpa and sum((group.put_in for group in groups), NONE) == whole.put_in


@settings(max_examples=many(60), deadline=None)
@given(HISTORIES)
def test_what_is_not_in_doubt_has_a_figure(history: list[tuple[dict[str, Any], int]]) -> None:
    """A fill gauged again is in doubt, or each of its stretches has litres that can be added."""
    for loss in fill_losses(life_of(history)):
        if doubt_of(loss) is None and loss.whole is not None:
            assert None not in [part.lost for part in (loss.whole, *loss.intervals)] and None not in [part.litres for part in loss.intervals]


@settings(max_examples=many(60), deadline=None)
@given(HISTORIES)
def test_what_went_never_comes_back(history: list[tuple[dict[str, Any], int]]) -> None:
    """From day to day each interval goes one way, from none of it to all of it, and what is there meets the gauges."""
    for loss in _known(history):
        assert loss.whole is not None
        course = Course(loss.whole, loss.intervals)
        assert course.gone(loss.whole.last.day) == (loss.whole.lost, loss.whole.litres)
        assert course.there(loss.whole.last.day) == loss.whole.last.counted
        for one in loss.intervals:
            length = (one.last.day - one.first.day).days
            shares = [share_gone(one, one.first.day + timedelta(n)) for n in range(0, length + 1, max(1, length // 7))]
            assert all(0.0 <= share <= 1.0 for share in shares)
            if one.lost and one.lost > 0 and not any(move.litres_20 < 0 for move in one.moves):
                assert all(late >= early - 1e-9 for early, late in zip(shares, shares[1:], strict=False))


def _known(history: list[tuple[dict[str, Any], int]]) -> list[Any]:
    return [one for one in fill_losses(life_of(history)) if one.whole is not None and None not in [part.lost for part in (one.whole, *one.intervals)]]
