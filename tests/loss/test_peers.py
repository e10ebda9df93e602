"""Who is a peer, the middle and the spread, the house's table, and sizes."""

from __future__ import annotations

import math
from datetime import date

import pytest
from casks import HOUSE
from hypothesis import given
from hypothesis import strategies as st

from caskbook.loss.expected import by_size
from caskbook.loss.figures import FillFigure
from caskbook.loss.peers import Middle, PeerTable, spread_of
from caskbook.model.house import House, Settings


def figure(cask: int = 0, steady: float | None = 0.02, **more: object) -> FillFigure:
    usual: dict[str, object] = {
        "cask": f"TH-{cask:06d}", "fill": "e0000001", "type": "barrel", "store": "racks", "band": "1st fill", "litres": 200.0,
        "years": 5.0, "steady": steady, "sigma": 0.001, "drift": -0.1,
    }  # fmt: skip
    return FillFigure(**{**usual, **more})  # type: ignore[arg-type]


def settings(**more: object) -> Settings:
    return House({**HOUSE.raw, **more}).on(date(2025, 1, 1))


def table(rates: list[float], **more: object) -> PeerTable:
    return PeerTable(figure(n + 1, rate, **more) for n, rate in enumerate(rates))


def test_median_and_spread_by_hand() -> None:
    # median 3; distances 2 1 0 1 97, their median 1; × 1.48
    assert spread_of([1, 2, 3, 4, 100]) == (3, 1.48)
    rates = [0.018, 0.019, 0.020, 0.020, 0.020, 0.021, 0.022] * 3
    expected = table(rates).expected(figure(steady=None), settings())
    assert expected is not None
    assert (expected.rate, expected.count) == (pytest.approx(0.020), 21)
    own = 0.001 * 0.98  # the error of a rate of 2 % whose logarithm errs by 0.001 a year
    casks, usual = (1.48 * 0.001) ** 2 - own**2, (0.2 * 0.02) ** 2  # the usual spread counts for fifteen casks
    assert expected.spread == pytest.approx(math.sqrt((21 * casks + 15 * usual) / 36))
    assert (expected.freedom, expected.middle_error) == (35.0, pytest.approx(1.25 * math.hypot(expected.spread, own) / math.sqrt(21)))
    assert expected.source == "21 peers (barrel, racks, 1st fill)"
    assert expected.drift == -0.1


def test_fewer_than_fifteen_others_are_leaned_on_the_houses_table() -> None:
    fifteen = table([0.02] * 15)
    assert fifteen.expected(figure(steady=None), settings()).count == 15  # type: ignore[union-attr]
    own = fifteen.expected(figure(1), settings(loss_table={"barrel": 2.4}))
    assert own is not None and own.count == 14 and 0.02 < own.rate < 0.0205
    assert own.source == "14 peers (barrel, racks, 1st fill), with house table (barrel)"
    lower = settings(due={"loss": {"fewest_peers": 14}}, loss_table={"barrel": 2.4})
    assert fifteen.expected(figure(1), lower).rate == pytest.approx(0.02)  # type: ignore[union-attr]


def test_the_fewer_the_peers_the_nearer_to_what_they_are_leaned_on() -> None:
    tabled = settings(loss_table={"barrel": 2.0})
    found = [table([0.03] * count).expected(figure(steady=None), tabled) for count in (0, 1, 2, 4, 8, 14)]
    rates = [one.rate for one in found if one is not None]
    assert rates[0] == 0.02 and rates == sorted(rates) and rates[-1] < 0.03
    errors = [one.middle_error for one in found if one is not None]
    assert errors == sorted(errors, reverse=True)
    # by hand, for one peer: variance of the table (0.005² + 0.004²) and of the peer, 1.25² × (15/16 × (0.2 × 0.03)² + (0.001 × 0.97)²)
    before, own = 0.005**2 + 0.004**2, 1.25**2 * (15 / 16 * (0.2 * 0.03) ** 2 + (0.001 * 0.97) ** 2)
    assert rates[1] == pytest.approx((0.03 * before + 0.02 * own) / (before + own))


@pytest.mark.parametrize("count", [15, 25, 61])
def test_peers_err_by_no_more_than_they_are_seen_to_lie_apart(count: int) -> None:
    """Told to err by 1 % a year each, they lie within 0.1 % of each other: what errs by 1 % is the same in all, and no doubt of where their middle lies."""
    rates = [0.02 + 0.0005 * (n % 5 - 2) for n in range(count)]
    near = PeerTable(figure(n + 1, rate, sigma=0.01) for n, rate in enumerate(rates)).expected(figure(steady=None), settings())
    sure = PeerTable(figure(n + 1, rate, sigma=0.0001) for n, rate in enumerate(rates)).expected(figure(steady=None), settings())
    assert near is not None and sure is not None and sure.middle_error < near.middle_error
    # own arithmetic: they lie 1.48 × 0.0005 apart, of which half is left as the casks' own spread and the rest is the gauges'; the 1 % told counts for five
    apart, told, others = 1.48 * 0.0005, 0.01 * 0.98, count - 1
    noise = math.sqrt((others * 0.75 * apart**2 + 5 * told**2) / (others + 5))
    assert near.middle_error == pytest.approx(1.25 * math.hypot(near.spread, noise) / math.sqrt(count), rel=1e-6)


def test_few_peers_of_a_kind_are_leaned_on_the_whole_store() -> None:
    book = PeerTable([*(figure(n, 0.03) for n in range(3)), *(figure(n + 50, 0.02, type="hogshead") for n in range(40))])
    found = book.expected(figure(99, None), settings())
    assert found is not None and 0.02 < found.rate < 0.03 and found.count == 3
    assert found.source == "3 peers (barrel, racks, 1st fill), with 43 peers of every size, scaled by size (racks, 1st fill)"
    assert found.freedom == 17.0  # of three, and of fifteen that the usual spread counts for


def test_one_leaker_among_few_is_not_held_against_itself() -> None:
    pair = PeerTable([figure(1, 0.02), figure(2, 0.2)])
    found, other = pair.expected(figure(2, 0.2), settings(loss_table={"barrel": 2.0})), pair.expected(figure(1, 0.02), settings(loss_table={"barrel": 2.0}))
    assert found is not None and found.rate == pytest.approx(0.02)
    assert other is not None and other.rate > 0.02


def test_in_another_store_a_fill_is_held_against_the_peers_there() -> None:
    book = PeerTable([*(figure(n, 0.02) for n in range(20)), *(figure(n + 50, 0.05, store="loft") for n in range(20))])
    there = book.in_store("loft", figure(3), settings())
    assert there is not None and (there.rate, there.count) == (pytest.approx(0.05), 20)
    assert book.in_store("racks", figure(3), settings()).count == 19  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("names", "rate"),
    [
        ({"barrel": 2.0, "barrel/racks": 2.2, "racks": 1.0}, 0.022),
        ({"barrel": 2.0, "barrel/loft": 2.2, "racks": 1.0}, 0.020),
        ({"butt": 2.0, "racks": 1.6}, 0.016),
        ({"butt": 2.0}, 0.02),  # usual in a temperate store (trade press), and told as such
    ],
)
def test_the_table_by_type_in_store_then_type_then_store(names: dict[str, float], rate: float) -> None:
    expected = PeerTable().expected(figure(), settings(loss_table=names))
    assert expected is not None and expected.rate == pytest.approx(rate)
    assert expected.spread == pytest.approx(rate / 4)
    assert expected.usual == (names == {"butt": 2.0})


def test_without_peers_table_or_temperate_store_nobody_can_say() -> None:
    hot = settings(temperate_stores=["dunnage"])
    assert PeerTable().expected(figure(), hot) is None
    assert PeerTable().expected(figure(store=None), hot) is None


def test_another_size_is_scaled_by_wall_to_contents() -> None:
    assert by_size(1600) == pytest.approx(0.5) and by_size(200) == 1.0 and by_size(25) == pytest.approx(2.0)
    mixed = table([0.02] * 20).expected(figure(litres=100.0), settings())
    assert mixed is not None and mixed.rate == pytest.approx(0.02 * 2 ** (1 / 3))
    butts = table([0.02] * 20).expected(figure(type="butt", litres=500.0), settings())
    assert butts is not None and butts.rate == pytest.approx(0.02 * 2.5 ** (-1 / 3))
    assert butts.source == "19 peers of every size, scaled by size (racks, 1st fill)"
    other_band = table([0.02] * 20).expected(figure(band="2nd fill"), settings())
    assert other_band is not None and other_band.source == "19 peers of every size, scaled by size (racks)"


def test_a_store_in_the_table_is_meant_for_a_barrel() -> None:
    expected = PeerTable().expected(figure(type="butt", litres=1600.0), settings(loss_table={"racks": 2.0}))
    assert expected is not None and expected.rate == pytest.approx(0.01)


def test_short_doubtful_and_lost_fills_are_no_peers() -> None:
    odd = [figure(1, None), figure(2, 1.0), figure(3, 0.02, years=0.99)]
    assert PeerTable(odd).expected(figure(), settings(due={"loss": {"fewest_peers": 2}})).usual  # type: ignore[union-attr]


def test_middles_are_enough_to_judge_by() -> None:
    whole = table([0.018, 0.019, 0.020, 0.021, 0.022] * 5)
    kept = PeerTable.of_middles(Middle.from_row(middle.as_row()) for middle in whole.middles())
    for one in (figure(), figure(type="butt", litres=500.0), figure(band="2nd fill"), figure(store="loft")):
        assert kept.expected(one, settings()) == whole.expected(one, settings())
    assert kept.middles() == whole.middles()
    assert len(whole.middles()) == 3


def test_a_row_is_kept_and_read_again() -> None:
    one = figure(7, 0.031, drift=None, store=None)
    assert FillFigure.from_row(one.as_row()) == one


@given(st.lists(st.floats(0.001, 0.2), min_size=16, max_size=60), st.floats(0.1, 20.0))
def test_few_leakers_do_not_move_the_middle(rates: list[float], times: float) -> None:
    plain = table(rates).expected(figure(), settings())
    leaky = table([*rates, min(0.9, max(rates) * times)]).expected(figure(), settings())
    assert plain is not None and leaky is not None
    assert min(rates) <= plain.rate * 1.0000001 and plain.rate <= max(rates) * 1.0000001
    inner = sorted(rates)[len(rates) // 2 - 1 : len(rates) // 2 + 2]
    assert inner[0] * 0.999999 <= leaky.rate <= inner[-1] * 1.000001


def test_one_that_leaks_beside_a_table_spreads_nothing() -> None:
    tabled = settings(loss_table={"barrel": 2.0})
    sound, leaking = (PeerTable([figure(1, rate), figure(2, 0.02)]).expected(figure(2, 0.02), tabled) for rate in (0.02, 0.22))
    assert sound is not None and leaking is not None
    assert leaking.rate < 0.03 and leaking.spread < 1.5 * sound.spread and leaking.few and leaking.table == 0.02
    enough = PeerTable([figure(n, 0.02) for n in range(20)]).expected(figure(1, 0.02), tabled)
    assert enough is not None and not enough.few
