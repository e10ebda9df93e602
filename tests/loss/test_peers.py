"""Who is a peer, the middle and the spread, the house's table, and sizes."""

from __future__ import annotations

from datetime import date

import pytest
from casks import HOUSE
from hypothesis import given
from hypothesis import strategies as st

from caskbook.loss.figures import FillFigure
from caskbook.loss.peers import Middle, PeerTable, by_size, spread_of
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
    assert expected.spread == pytest.approx(1.48 * 0.001)
    assert expected.source == "21 peers (barrel, racks, 1st fill)"
    assert expected.drift == -0.1


def test_fewer_than_fifteen_others_and_the_houses_table_counts() -> None:
    fifteen = table([0.02] * 15)
    assert fifteen.expected(figure(steady=None), settings()).count == 15  # type: ignore[union-attr]
    own = fifteen.expected(figure(1), settings(loss_table={"barrel": 2.4}))
    assert own is not None and (own.rate, own.count, own.source) == (0.024, 0, "house table (barrel)")
    lower = settings(due={"loss": {"fewest_peers": 14}}, loss_table={"barrel": 2.4})
    assert fifteen.expected(figure(1), lower).count == 14  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("names", "rate"),
    [
        ({"barrel": 2.0, "barrel/racks": 2.2, "racks": 1.0}, 0.022),
        ({"barrel": 2.0, "barrel/loft": 2.2, "racks": 1.0}, 0.020),
        ({"butt": 2.0, "racks": 1.6}, 0.016),
        ({"butt": 2.0}, 0.02),  # usual in a temperate store (trade press)
    ],
)
def test_the_table_by_type_in_store_then_type_then_store(names: dict[str, float], rate: float) -> None:
    expected = PeerTable().expected(figure(), settings(loss_table=names))
    assert expected is not None and expected.rate == pytest.approx(rate)
    assert expected.spread == pytest.approx(rate / 4)


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
    assert PeerTable(odd).expected(figure(), settings(due={"loss": {"fewest_peers": 2}})).count == 0  # type: ignore[union-attr]


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
