"""Watch and act: the limits one by one, the sign of a leak, and fills that lost too much running."""

from __future__ import annotations

import json
import math
from datetime import date

import pytest
from casks import ev

from caskbook.core.days import DAYS_PER_YEAR
from caskbook.loss import PeerTable, excess_running
from caskbook.loss.fill_summary import FillSummary, stretch_of, summaries_of
from caskbook.loss.intervals import interval
from caskbook.loss.peers import Expected
from caskbook.loss.verdicts import excess_in, judge_fill, judge_summary
from caskbook.loss.words import reasons_of, signature
from caskbook.model.house import House
from loss.filled import NO_WOOD, emptied, filled, gauged, lived, losses, lost
from loss.test_intervals import gauge
from loss.test_peers import figure

SETTINGS = NO_WOOD.on(date(2025, 1, 1))
PEERS = PeerTable(figure(n + 1, 0.02 + 0.0002 * (n % 7 - 3), store=None) for n in range(42))


def level(rate: float, expected: Expected, *, years: float = 10.0, error: float = 1e-6, **more: object) -> str:
    """What is thought of a stretch with this yearly rate."""
    days = round(years * DAYS_PER_YEAR)
    one = interval(gauge(0, 200, error=error), gauge(days, 200 * (1 - rate) ** (days / DAYS_PER_YEAR), error=error), [])
    excess = excess_in(stretch_of(one), expected, figure(litres=199.0, **more), SETTINGS)
    return excess.level if excess else "usual"


WIDE, NARROW = Expected(0.01, 0.02, 40, "peers"), Expected(0.01, 0.001, 40, "peers")


@pytest.mark.parametrize(
    ("expected", "rate", "word"),
    [
        # by times alone, the spread being wide: watch above 1.75 times, act above 2.5 times
        (WIDE, 0.01749, "usual"), (WIDE, 0.01751, "watch"), (WIDE, 0.02499, "watch"), (WIDE, 0.02501, "act"),
        # by standard deviations alone: watch above 2, act above 3
        (NARROW, 0.01199, "usual"), (NARROW, 0.01201, "watch"), (NARROW, 0.01299, "watch"), (NARROW, 0.01301, "act"),
    ],
)  # fmt: skip
def test_the_limits(expected: Expected, rate: float, word: str) -> None:
    assert level(rate, expected) == word


def test_five_percent_a_year_is_too_much_for_large_casks_in_a_temperate_store() -> None:
    hot = Expected(0.04, 0.02, 40, "peers")
    days = round(10 * DAYS_PER_YEAR)
    for rate, litres, store, word in (
        (0.0501, 200.0, "racks", "act"),
        (0.0499, 200.0, "racks", None),
        (0.0501, 199.9, "racks", None),
        (0.0501, 200.0, "loft", None),
    ):
        settings = House({**NO_WOOD.raw, "temperate_stores": ["racks"]}).on(date(2025, 1, 1))
        one = interval(gauge(0, 200, error=1e-6), gauge(days, 200 * (1 - rate) ** (days / DAYS_PER_YEAR), error=1e-6), [])
        excess = excess_in(stretch_of(one), hot, figure(litres=litres, store=store), settings)
        assert (excess.level if excess else None) == word


def test_in_any_case_more_than_the_measuring_error() -> None:
    """3 times what is expected, but gauged to 2 % a year only."""
    assert level(0.03, WIDE, years=1.0, error=0.005) == "act"  # ± 1.4 % a year
    assert level(0.03, WIDE, years=1.0, error=0.008) == "usual"  # ± 2.3 % a year


def test_spread_and_measuring_error_count_together() -> None:
    spread, error = 0.002, 0.01 * math.sqrt(2) / 10  # of a stretch of ten years between gauges that err by 1 %
    expected, both = Expected(0.02, spread, 40, "peers"), math.hypot(spread, error)
    assert level(0.02 + 3.05 * both, expected, error=0.01) == "act"
    assert level(0.02 + 2.95 * both, expected, error=0.01) == "watch"


def test_part_of_a_year_may_be_the_warm_one() -> None:
    assert level(0.0145, NARROW, years=0.5) == "usual"
    assert level(0.0145, NARROW, years=2.0) == "act"


def leaky(*gauges: tuple[str, float, float]) -> list[dict[str, object]]:
    return [filled(), *(gauged(day, litres, abv) for day, litres, abv in gauges)]


def test_two_two_six_is_seen() -> None:
    """Two percent, two percent, then six: the fill as a whole is within its limits, the last interval is not."""
    kept = [200 * 0.98**4, 200 * 0.98**8, 200 * 0.98**8 * 0.94**1]
    events = leaky(("2019-01-01", kept[0], 63.5), ("2023-01-01", kept[1], 63.5), ("2024-01-01", kept[2], 63.5))
    found = judge_fill(lived(*events), lost(*events), PEERS)
    assert (found.level, found.since) == ("act", date(2024, 1, 1))
    assert found.worst is not None and found.worst.stretch.first == date(2023, 1, 1)
    before = judge_fill(lived(*events, day="2023-06-01"), lost(*events, day="2023-06-01"), PEERS)
    assert before.level == "usual"


def test_how_it_reads() -> None:
    events = leaky(("2019-01-01", 200 * 0.93**4, 63.1))
    events.insert(1, ev("2017-01-01", "leak", at="joint-3", severity="drip"))
    reasons = reasons_of(judge_fill(lived(*events), lost(*events), PEERS))
    assert reasons == (
        "7.1 % a year ± 0.2, 2015-01-01 to 2019-01-01",
        "41 peers (barrel, no store, 1st fill): 2.0 % a year, spread 0.06; that is 3.6 times; house acts above 2.5 times",
        "the volume falls while the strength keeps to its peers' (-0.10 % vol a year, theirs -0.10): as a leak does",
        "leaks seen: drip at joint-3 2017-01-01",
    )


def test_the_sign_of_a_leak() -> None:
    expected = Expected(0.02, 0.002, 40, "peers", -0.1, 0.03)
    leak = interval(gauge(0, 200, 63.5), gauge(1461, 150, 63.1), [])
    assert "as a leak does" in signature(stretch_of(leak), expected)
    air = interval(gauge(0, 200, 63.5), gauge(1461, 150, 60.0), [])
    assert "another way" in signature(stretch_of(air), expected)
    assert signature(stretch_of(leak), Expected(0.02, 0.002, 40, "peers")) == ""


def test_what_came_out_of_it_was_nothing() -> None:
    events = [filled(), ev("2018-01-01", "empty", litres=0, why="leaked-out")]
    found = judge_fill(lived(*events), lost(*events), PEERS)
    assert found.level == "act" and "nothing came out of it 2018-01-01" in reasons_of(found)


def test_a_gauge_in_gallons_is_asked_about() -> None:
    events = leaky(("2019-01-01", round(200 * 0.98**4 / 3.785, 1), 63.2))
    found = judge_fill(lived(*events), lost(*events), PEERS)
    assert found.level == "act"
    assert any("US gallons?" in reason for reason in reasons_of(found))


def test_not_gauged_doubtful_and_nothing_to_compare_with() -> None:
    assert judge_fill(lived(filled()), lost(filled()), PEERS).level == "unknown"
    rising = [filled(litres=150), gauged("2018-01-01", 170)]
    found = judge_fill(lived(*rising), lost(*rising), PEERS)
    assert found.level == "doubtful" and "gauge again" in reasons_of(found)[0]
    house = House({**NO_WOOD.raw, "temperate_stores": []})
    events = leaky(("2019-01-01", 185, 63.0))
    assert judge_fill(lived(*events, house=house), lost(*events, house=house), PeerTable()).level == "unknown"


def test_fills_running_that_lost_too_much() -> None:
    def fill(year: int, left: float) -> list[dict[str, object]]:
        return [filled(f"{year}-03-01"), emptied(f"{year + 2}-02-01", left, 63.5)]

    bad, good = 170.0, 193.0
    for left, count in (((bad, bad), 2), ((good, bad), 1), ((bad, good), 0), ((bad, bad, bad), 3), ((bad, good, bad), 1), ((), 0)):
        life = lived(*(event for n, litres in enumerate(left) for event in fill(2015 + 2 * n, litres)))
        assert excess_running(life, PEERS) == count, left
    running = [*fill(2015, bad), *fill(2017, bad), filled("2019-03-01")]
    assert excess_running(lived(*running), PEERS) == 2  # the present fill has not been gauged yet
    assert excess_running(lived(*running, gauged("2021-03-01", 193, 63.5)), PEERS) == 0
    assert len(losses(*running)) == 3


def test_a_kept_gist_is_judged_and_told_alike() -> None:
    """As an index keeps it: in JSON; for earlier fills without what only the words need."""
    events = leaky(("2017-01-01", 180, 63.4), ("2019-01-01", 200 * 0.93**4, 63.1))
    events.insert(1, ev("2017-01-02", "leak", at="joint-3", severity="drip"))
    for history in (events, [filled(litres=150), gauged("2018-01-01", 170)], [filled()], [filled(), ev("2018-01-01", "empty", litres=0, why="leaked-out")]):
        life = lived(*history)
        for summary in summaries_of(life):
            figure = summary.figure
            for brief in (False, True):
                kept = FillSummary.from_row(json.loads(json.dumps(summary.as_row(brief=brief))), figure.cask, figure.type)
                whole, found = judge_summary(summary, PEERS, SETTINGS), judge_summary(kept, PEERS, SETTINGS)
                assert (found.level, found.since, found.expected) == (whole.level, whole.since, whole.expected)
                assert brief or reasons_of(found) == reasons_of(whole)
