"""Of years that a period cuts, the figures are those which dividing the fill itself gives."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from caskbook.index.loss_cut import Cut
from caskbook.index.loss_sums import ALWAYS, IN_DOUBT, NEVER, OUTSIDE, in_years
from caskbook.loss.account_fill import AccountFill, hundredths
from caskbook.loss.parts import Division, parts_of

FIRST, TODAY = date(2012, 6, 1), date(2018, 9, 10)
DAYS = (TODAY - FIRST).days


@st.composite
def fills(draw: st.DrawFn) -> AccountFill:
    """A fill with gauges, and what was drawn and topped up between them; it lasts, or ended on some day from the last gauge on."""
    days = sorted(draw(st.lists(st.integers(0, DAYS), min_size=2, max_size=5)))
    full = draw(st.floats(20, 300))
    gauges: list[list[Any]] = [[(FIRST + timedelta(days[0])).toordinal(), full, round(full * 100)]]
    steps = []
    for before, after in zip(days, days[1:], strict=False):
        moves = [
            [(FIRST + timedelta(day)).toordinal(), litres, round(litres * 100)]
            for day, litres in sorted(draw(st.lists(st.tuples(st.integers(before, after), st.floats(-5, 5)), max_size=2)))
        ]
        lost = draw(st.floats(0, full / 8))
        start, full = full, full + sum(move[1] for move in moves) - lost
        gauges.append([(FIRST + timedelta(after)).toordinal(), full, None])
        steps.append(
            [moves, round(lost * 100), draw(st.none() | st.integers(0, 4000)), draw(st.sampled_from([0.0, 0.02])), draw(st.none() | st.just(full / start))]
        )
    start = date.fromordinal(gauges[0][0]) - timedelta(draw(st.integers(0, 400)))
    end = draw(st.none() | st.integers(days[-1], DAYS))
    known = [[0.1, 0.02, 0.001, 0.02, 0.001], gauges, steps]
    return AccountFill.from_row(["b", start.toordinal(), None if end is None else (FIRST + timedelta(end)).toordinal(), "1st fill", None, [], (), None, known])


@given(fills(), st.integers(-400, DAYS), st.integers(0, DAYS + 400))
def test_the_years_of_a_period_are_those_of_the_divided_fill(fill: AccountFill, since: int, length: int) -> None:
    division = Division(FIRST + timedelta(since), FIRST + timedelta(since + length), by_year=True)
    kept = in_years(fill, TODAY)
    assert kept != IN_DOUBT
    cut = Cut(division, TODAY)
    found = cut.years_of(fill.as_row(), kept)
    parts = parts_of(fill, TODAY, division)
    if not parts:
        assert found == OUTSIDE
        return
    begun, ended, *more = found  # type: ignore[misc]
    assert (begun, ended) == (parts[0].year, parts[-1].year)
    expected = [(part.year, part.complete, *map(hundredths, (part.lpa, part.litres, part.put_in, part.held))) for part in parts if part.lpa is not None]
    told = [(year, to_end == ALWAYS or to_end != NEVER and to_end >= TODAY.toordinal(), *figures) for year, to_end, *figures in (more[1] if more else ())]
    assert told == expected
    if begun in cut.years or ended in cut.years:
        assert cut.touches([kept])


def test_a_fill_without_a_second_gauge_has_years_and_no_figures() -> None:
    fill = AccountFill("b", date(2015, 3, 4), date(2017, 5, 6), "1st fill", None, (), (), None, None, None)
    kept = in_years(fill, TODAY)
    assert Cut(Division(date(2016, 2, 3)), TODAY).years_of(fill.as_row(), kept) == (2016, 2017)
    assert Cut(Division(date(2017, 5, 7)), TODAY).years_of(fill.as_row(), kept) == OUTSIDE
    assert Cut(Division(date(2016, 2, 3)), TODAY).years_of(fill.as_row(), IN_DOUBT) == IN_DOUBT
