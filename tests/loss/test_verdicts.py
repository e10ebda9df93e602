"""Watch and act: where the limits lie, since when, slips, leaks that stop, fills without peers, and fills that lost too much running."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from casks import HOUSE, ev

from caskbook.loss import PeerTable, excess_running
from caskbook.loss.fill_summary import FillSummary, summaries_of
from caskbook.loss.points import BROKEN
from caskbook.loss.verdicts import LossVerdict, judge_fill, judge_summary
from caskbook.loss.words import reasons_of
from caskbook.model.house import House
from loss.filled import NO_WOOD, emptied, filled, gauged, lived, losses, lost
from loss.test_peers import figure

SETTINGS = NO_WOOD.on(date(2025, 1, 1))
PEERS = PeerTable(figure(n + 1, 0.02 + 0.0002 * (n % 7 - 3), store=None) for n in range(42))


def kept(years: float, *, rate: float = 0.02, litres: float = 200.0) -> float:
    """What a sound cask holds after so many years."""
    return round(litres * (1 - rate) ** years, 1)


def judged(*events: dict[str, Any], house: House = NO_WOOD, peers: PeerTable = PEERS, day: str = "2026-11-25") -> LossVerdict:
    return judge_fill(lived(*events, house=house, day=day), lost(*events, house=house, day=day), peers)


def leaky(*gauges: tuple[str, float, float]) -> list[dict[str, object]]:
    return [filled(), *(gauged(day, litres, abv) for day, litres, abv in gauges)]


def allowing(false_alarms: float) -> House:
    return House({**NO_WOOD.raw, "due": {"loss": {"false_alarms_per_1000_casks_a_year": false_alarms}}})


# Where the limits lie


@pytest.mark.parametrize(("rate", "word"), [(0.02, "usual"), (0.024, "usual"), (0.05, "act"), (0.08, "act"), (0.5, "act")])
def test_a_rate_over_four_years(rate: float, word: str) -> None:
    assert judged(filled(), gauged("2019-01-01", kept(4, rate=rate), 63.2)).level == word


def test_from_usual_to_watch_to_act_and_never_back() -> None:
    found = [judged(filled(), gauged("2019-01-01", kept(4, rate=rate / 1000), 63.2)).level for rate in range(10, 70)]
    order = {"usual": 0, "watch": 1, "act": 2}
    assert [order[one] for one in found] == sorted(order[one] for one in found)
    assert set(found) == {"usual", "watch", "act"}


def test_who_allows_more_false_alarms_acts_on_less() -> None:
    levels = []
    for allowed in (0.01, 0.5, 20, 100):
        verdict = judged(filled(), gauged("2019-01-01", kept(4, rate=0.0275), 63.2), house=allowing(allowed))
        levels.append((verdict.level, round(verdict.limit, 2)))
    assert [limit for _, limit in levels] == sorted((limit for _, limit in levels), reverse=True)
    assert levels[0][0] != "act" and levels[-1][0] == "act"


def test_the_limit_is_the_normal_quantile_of_the_chance_that_is_allowed() -> None:
    """One look in 4 years at 0.5 false alarms per 1000 casks a year: a chance of 0.002; own figure from a table of the normal: 2.878."""
    found = judged(filled(), gauged("2019-01-01", 150), house=allowing(0.5))
    assert found.limit == pytest.approx(2.878, abs=0.002)
    assert judged(filled(), gauged("2019-01-01", 150), house=allowing(2.0)).limit == pytest.approx(2.409, abs=0.002)


@pytest.mark.parametrize(
    ("days", "litres", "word"), [(29, 40.0, "act"), (29, 192.0, "usual"), (29, 180.0, "act"), (5, 196.0, "usual"), (5, 150.0, "act"), (1, 120.0, "act")]
)
def test_a_short_stretch_is_judged_in_litres(days: int, litres: float, word: str) -> None:
    """198 L, and 29 days later 40 L: nobody needs a yearly rate for that."""
    day = str(date.fromordinal(date(2015, 1, 1).toordinal() + days))
    found = judged(filled(litres=198.0), gauged(day, litres, 63.5), house=HOUSE)
    assert found.level == word
    assert word == "usual" or found.leak is not None and (days >= 30) == (found.leak.rate is not None)


def test_the_same_loss_is_too_much_in_winter_and_in_summer_alike() -> None:
    """Half of a year may be the warm one: twice the yearly rate over it is no sign, six times is."""
    for start, end in (("2020-04-01", "2020-10-01"), ("2020-10-01", "2021-04-01")):
        assert judged(filled(start), gauged(end, kept(0.5, rate=0.03), 63.4)).level == "usual"
        assert judged(filled(start), gauged(end, kept(0.5, rate=0.12), 63.4)).level == "act"


# Courses


def test_two_two_six_is_seen_since_the_gauge_that_shows_it() -> None:
    left = [kept(4), kept(8), kept(8) * 0.94]
    events = leaky(("2019-01-01", left[0], 63.5), ("2023-01-01", left[1], 63.5), ("2024-01-01", left[2], 63.5))
    found = judged(*events)
    assert (found.level, found.since) == ("act", date(2024, 1, 1))
    assert found.leak is not None and found.leak.onset == (date(2023, 1, 1), date(2024, 1, 1))
    assert judged(*events, day="2023-06-01").level == "usual"


def test_a_leak_that_stopped_is_not_silenced_by_a_later_gauge() -> None:
    """20 L went in the second year; since then it has lost as its peers do, and after ten years its yearly rate is not far from theirs."""
    years = (1, 2, 4, 6, 8, 10)
    events = [filled(), *(gauged(f"{2015 + year}-01-01", kept(year, litres=200.0 if year < 2 else 178.0), 63.4) for year in years)]
    found = judged(*events)
    assert (found.level, found.since) == ("act", date(2017, 1, 1))
    assert found.leak is not None and found.leak.kind == "once"
    assert found.leak.onset == (date(2016, 1, 1), date(2017, 1, 1))
    truth = (200.0 - 178.0) * 0.98**10 * 0.634
    assert found.leak.least < truth < found.leak.most and found.leak.lpa == pytest.approx(truth, rel=0.15)
    assert any("and no more after" in reason for reason in reasons_of(found))


@pytest.mark.parametrize("count", [4, 9, 15, 25, 42, 300])
@pytest.mark.parametrize("rate", [0.06, 0.13])
def test_a_leak_that_runs_on_is_told_as_one_however_few_the_peers(count: int, rate: float) -> None:
    """That few peers leave a cask's own rate open makes a loss of once the surer alarm; the gauges say that it ran on, and all of it is told."""
    few = PeerTable(figure(n + 1, 0.02 + 0.0002 * (n % 7 - 3), store=None) for n in range(count))
    events = [filled(), gauged("2019-11-20", kept(4.88, rate=rate), 63.4), gauged("2023-02-12", kept(8.12, rate=rate), 63.3)]
    found = judged(*events, peers=few)
    assert found.level == "act" and found.leak is not None and found.leak.kind == "running"
    truth = 200.0 * 0.634 * (0.98**8.12 - (1 - rate) ** 8.12)
    assert found.leak.lpa == pytest.approx(truth, rel=0.1) and found.leak.least < truth < found.leak.most
    assert not any("no more after" in reason for reason in reasons_of(found))


def test_an_early_loss_is_no_in_drink() -> None:
    """The line through later gauges meets the filling 5 % below; the wood takes half of that, give or take."""
    house = House({key: value for key, value in NO_WOOD.raw.items() if key != "in_drink_percent"})
    events = [filled(), *(gauged(f"{2015 + year}-01-01", kept(year, litres=178.0), 63.4) for year in (1, 3, 6, 9))]
    found = judged(*events, house=house)
    assert found.level == "act" and found.leak is not None and found.leak.onset[0] == date(2015, 1, 1)
    usual = [filled(), *(gauged(f"{2015 + year}-01-01", kept(year, litres=195.0), 63.4) for year in (1, 3, 6, 9))]
    assert judged(*usual, house=house).level == "usual"


def test_a_draw_between_gauges_is_no_loss() -> None:
    draw = ev("2017-01-01", "draw", litres=100.0, abv=63.4, at_20=True)
    left = (kept(2) - 100.0) * 0.98**2
    assert judged(filled(), draw, gauged("2019-01-01", round(left, 1), 63.3)).level == "usual"
    assert judged(filled(), draw, gauged("2019-01-01", round(left * 0.8, 1), 63.3)).level == "act"


def test_each_store_counts_for_the_time_it_lay_there() -> None:
    """Two years at 2 %, then two at 8 % in the loft: usual for a cask that was moved there, a leak for one that was not."""
    rates = {"low": 0.02, "loft": 0.08}
    peers = PeerTable(figure(100 * k + n, rate + 0.0005 * (n % 5 - 2), store=store) for k, (store, rate) in enumerate(rates.items()) for n in range(30))
    house = House({**NO_WOOD.raw, "stores": {"L": "low", "T": "loft"}})
    left = kept(2) * 0.92**2
    moved = [filled(berth="L/1"), ev("2017-01-01", "move", berth="T/1"), gauged("2019-01-01", round(left, 1), 63.0)]
    stayed = [filled(berth="L/1"), gauged("2019-01-01", round(left, 1), 63.0)]
    assert judged(*moved, house=house, peers=peers).level == "usual"
    assert judged(*stayed, house=house, peers=peers).level == "act"


def test_what_came_out_of_it_was_nothing() -> None:
    found = judged(filled(), ev("2018-01-01", "empty", litres=0, why="leaked-out"))
    assert found.level == "act" and "nothing came out of it 2018-01-01" in reasons_of(found)
    assert found.leak is not None and found.leak.lpa == pytest.approx(127 * 0.98**3, rel=0.03)


# Slips


def test_a_gauge_in_gallons_is_doubted_and_no_leak() -> None:
    found = judged(*leaky(("2019-01-01", round(kept(4) / 3.785, 1), 63.2)))
    assert found.level == "doubtful" and found.doubt is not None and found.doubt.day == date(2019, 1, 1)
    assert "US gal?" in reasons_of(found)[0] and "Gauge again" in reasons_of(found)[0]


def test_the_gauge_of_another_cask_is_asked_about() -> None:
    """Litres and strength both jump within half a year: no leak takes the strength along."""
    found = judged(*leaky(("2019-01-01", kept(4), 63.1), ("2019-07-01", 150.0, 60.2)))
    assert found.level == "doubtful" and "is it the gauge of this cask?" in reasons_of(found)[0]
    assert judged(*leaky(("2019-01-01", kept(4), 63.1), ("2019-07-01", 150.0, 63.0))).level == "act"
    again = judged(*leaky(("2019-01-01", kept(4), 63.1), ("2019-07-01", 150.0, 60.2), ("2020-01-01", 148.5, 60.2)))
    assert again.level == "act"


@pytest.mark.parametrize("strength", [63.1, 60.2])
def test_two_gauges_of_one_day_leave_the_air_no_time(strength: float) -> None:
    found = judged(*leaky(("2019-01-01", kept(4), 63.1), ("2019-01-01", 150.0, strength)))
    assert found.level == ("act" if strength > 63 else "doubtful")


def test_centimetres_read_as_millimetres_are_asked_about() -> None:
    """Next to nothing is left by that reading; by the other it is usual."""
    inside = ev("2014-12-03", "measure", dims_mm={"bung": 660, "head": 560, "length": 840}, capacity_l=255)
    dipped = ev("2019-01-01", "regauge", wet_mm=52.0, abv=63.1, method="dip", at_20=True)
    found = judged(inside, filled(litres=240.0), dipped)
    assert found.level == "doubtful" and "52 cm is 520 mm: did you mean cm?" in reasons_of(found)[0]


@pytest.mark.parametrize(("times", "question"), [(3.785, "US gal?"), (4.546, "UK gal?"), (10.0, "133 L?")])
def test_a_pool_on_the_floor_that_nobody_saw_is_sooner_a_slip(times: float, question: str) -> None:
    """Where casks lose a third a year and unlike each other, a leak and a slip within half a year look alike in the figures; not on the floor."""
    hot = PeerTable(figure(n + 1, 0.36 + 0.04 * (n % 7 - 3), store=None) for n in range(21))
    before = (("2015-07-01", 166.0, 63.4),)
    found = judged(*leaky(*before, ("2016-01-01", round(133 / times, 1), 63.4)), peers=hot)
    assert found.level == "doubtful" and "did you mean" in reasons_of(found)[0] and question in reasons_of(found)[0]
    assert judged(*leaky(*before, ("2016-01-01", 62.0, 63.4)), peers=hot).level == "act"
    assert judged(*leaky(*before, ("2016-01-01", round(133 / times, 1), 63.4), ("2016-07-01", round(110 / times, 1), 63.4)), peers=hot).level == "act"


def test_a_leak_that_two_gauges_show_is_no_slip() -> None:
    left = round(kept(4) / 3.785, 1)
    found = judged(*leaky(("2019-01-01", left, 63.2), ("2021-01-01", round(left * 0.96, 1), 63.1)))
    assert found.level == "act"


def test_a_loss_that_no_usual_slip_explains_is_a_leak() -> None:
    found = judged(*leaky(("2017-01-01", kept(2), 63.4), ("2019-01-01", 150.0, 63.2)))
    assert found.level == "act" and "its last gauge alone shows it: gauge again" in reasons_of(found)


def test_of_a_fill_that_is_out_no_other_gauge_can_be_made() -> None:
    found = judged(*leaky(("2017-01-01", kept(2), 63.4)), emptied("2019-01-01", 150.0, 63.2))
    reasons = reasons_of(found)
    assert found.level == "act" and "its last gauge alone shows it, and no other can be made: the fill is out" in reasons and "auge again" not in str(reasons)


def test_a_gauge_of_a_fill_that_is_out_is_put_right_and_not_made_again() -> None:
    above = reasons_of(judged(filled(litres=150), emptied("2018-01-01", 170)))
    assert above[0] == "a gauge lies above an earlier one: which is wrong cannot be told, and the fill is out: correct the one that is wrong"
    left = round(kept(4) / 3.785, 1)
    slip = judged(*leaky(("2017-01-01", kept(2), 63.4)), emptied("2019-01-01", left, 63.2))
    assert slip.level == "doubtful" and "auge again" not in str(reasons_of(slip)) and "The fill is out: correct it if it was" in reasons_of(slip)[0]


def test_a_gauge_that_cannot_be_is_set_aside() -> None:
    found = judged(*leaky(("2017-01-01", kept(2), 63.4), ("2019-01-01", 50.0, 63.2), ("2021-01-01", kept(6), 63.0)))
    assert found.level == "usual"


# Without peers


def test_never_usual_for_want_of_peers() -> None:
    none = PeerTable()
    for left in (kept(4), kept(4, rate=0.035), kept(4, rate=0.001)):
        found = judged(filled(), gauged("2019-01-01", left, 63.2), peers=none)
        assert found.level == "unknown"
        assert "no peers" in reasons_of(found)[1]


@pytest.mark.parametrize(("rate", "litres", "word"), [(0.053, 200.0, "act"), (0.049, 200.0, "unknown"), (0.053, 199.0, "unknown")])
def test_five_percent_a_year_counts_only_where_nothing_better_is_known(rate: float, litres: float, word: str) -> None:
    events = [filled(litres=litres), gauged("2024-12-31", kept(10, rate=rate, litres=litres), 62.5)]
    life = lived(*events, capacity_l=litres)
    (found,) = losses(*events, capacity_l=litres)
    verdict = judge_fill(life, found, PeerTable())
    assert verdict.level == word and (word == "unknown" or "5 % a year" in (verdict.bare or ""))
    hot = PeerTable(figure(n + 1, rate + 0.0004 * (n % 7 - 3), store=None) for n in range(42))
    assert judge_fill(life, found, hot).level == "usual"


def test_half_is_gone_whatever_the_peers_lose() -> None:
    house = House({**NO_WOOD.raw, "temperate_stores": []})
    found = judged(filled(), gauged("2016-01-01", 80.0, 63.2), peers=PeerTable(), house=house)
    assert found.level == "act" and any("more than half of it went" in reason for reason in reasons_of(found))
    slowly = judged(filled(), gauged("2025-01-01", 80.0, 63.2), peers=PeerTable(), house=house)
    assert slowly.level == "unknown"


def test_few_peers_tell_little_and_the_more_the_more() -> None:
    events = leaky(("2019-01-01", kept(4, rate=0.04), 63.2))
    tabled = House({**NO_WOOD.raw, "loss_table": {"barrel": 2.0}})
    scores = [judged(*events, peers=PeerTable(figure(n + 1, 0.02, store=None) for n in range(count)), house=tabled).score for count in (1, 3, 8, 14, 40)]
    assert scores == sorted(scores)


# What it says


def test_how_it_reads() -> None:
    events = leaky(("2019-01-01", 200 * 0.93**4, 63.1))
    events.insert(1, ev("2017-01-01", "leak", at="joint-3", severity="drip"))
    assert reasons_of(judged(*events)) == (
        "22.7 L of alcohol (19.6 to 25.9) are gone beyond what its peers lose, since 2015-01-01, first seen 2019-01-01",
        "7.1 % a year ± 0.3, 2015-01-01 to 2019-01-01; that is 3.6 times what they lose",
        "41 peers (barrel, no store, 1st fill): 2.0 % a year, spread 0.2",
        "12.5 standard deviations above; the house acts from 2.9",
        "the strength keeps to its peers' (-0.10 % vol a year, theirs -0.10), while the volume falls: as a leak does",
        "leaks seen: drip at joint-3 2017-01-01",
    )


@pytest.mark.parametrize(
    ("theirs", "last", "words"),
    [
        (-0.3, 62.3, "as a leak does"),  # keeps to its peers' -0.3 a year
        (-0.3, 59.1, "as the air does, not a leak alone"),  # much faster, as the volume
        (-0.3, 64.9, "another way"),
        (-0.01, 63.46, "cannot tell"),  # 3.6 times next to nothing is next to nothing
    ],
)
def test_the_strength_is_a_sign_only_where_it_can_tell(theirs: float, last: float, words: str) -> None:
    peers = PeerTable(figure(n + 1, 0.02 + 0.0002 * (n % 7 - 3), store=None, drift=theirs + 0.005 * (n % 3 - 1)) for n in range(42))
    found = judged(*leaky(("2019-01-01", 200 * 0.93**4, last)), peers=peers)
    assert sum(words in reason for reason in reasons_of(found)) == 1


def test_not_gauged_doubtful_and_nothing_to_compare_with() -> None:
    assert judged(filled()).level == "unknown"
    found = judged(filled(litres=150), gauged("2018-01-01", 170))
    assert found.level == "doubtful" and "gauge again" in reasons_of(found)[0]
    house = House({**NO_WOOD.raw, "temperate_stores": []})
    assert judged(*leaky(("2019-01-01", 185, 63.0)), house=house, peers=PeerTable()).level == "unknown"


def test_litres_put_in_that_nobody_wrote_leave_nothing_to_be_told() -> None:
    (summary,) = summaries_of(lived(*leaky(("2019-01-01", 100.0, 63.2))))
    first, last = summary.points
    found = judge_summary(replace(summary, points=(first, replace(last, walk=BROKEN))), PEERS, SETTINGS)
    assert found.level == "unknown" and "litres put in or taken out are not known: nothing can be told" in reasons_of(found)


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


def test_a_kept_summary_is_judged_and_told_alike() -> None:
    """As an index keeps it: in JSON; for earlier fills without what only the words need."""
    events = leaky(("2017-01-01", 180, 63.4), ("2019-01-01", 200 * 0.93**4, 63.1))
    events.insert(1, ev("2017-01-02", "leak", at="joint-3", severity="drip"))
    slip = leaky(("2019-01-01", round(kept(4) / 3.785, 1), 63.2))
    histories = (events, slip, [filled(litres=150), gauged("2018-01-01", 170)], [filled()], [filled(), ev("2018-01-01", "empty", litres=0, why="leaked-out")])
    for history in histories:
        for summary in summaries_of(lived(*history)):
            one = summary.figure
            for brief in (False, True):
                again = FillSummary.from_row(json.loads(json.dumps(summary.as_row(brief=brief))), one.cask, one.type)
                whole, found = judge_summary(summary, PEERS, SETTINGS), judge_summary(again, PEERS, SETTINGS)
                assert (found.level, found.since, found.expected, found.score) == (whole.level, whole.since, whole.expected, whole.score)
                assert brief or reasons_of(found) == reasons_of(whole)


def test_a_hundred_gauges_are_thinned_and_judged_alike() -> None:
    months = [date(2015 + n // 12, 1 + n % 12, 28) for n in range(1, 120)]
    sound = [filled(), *(gauged(str(day), kept((day - date(2015, 1, 1)).days / 365.2425), 63.5) for day in months)]
    assert judged(*sound).level == "usual"
    (summary,) = summaries_of(lived(*sound))
    assert len(summary.points) <= 48 and math.isclose(summary.points[-1].fallen, -10 * math.log(0.98), rel_tol=0.02)
    years = sum(years for point in summary.points[1:] for _, years in point.stays)
    assert years == pytest.approx((months[-1] - date(2015, 1, 1)).days / 365.2425)
