"""Fills with what was put in and taken out: racked parts, stores, fill bands, leaks."""

from __future__ import annotations

from decimal import Decimal

import pytest
from casks import HOUSE, ev, life_on

from caskbook.life.facts import facts_of
from caskbook.loss.gauges import Gauge
from caskbook.loss.records import fill_records
from caskbook.model.house import House
from loss.filled import NO_WOOD, START, emptied, filled, gauged, lived, losses, lost

STORES = House({**NO_WOOD.raw, "stores": {"D": "dunnage", "R": "racks"}})


def test_a_part_racked_out_is_a_gauge_and_then_gone() -> None:
    racked = ev("2018-01-01", "rack-out", to=[{"cask": "TH-004300", "litres": 90.0, "abv": 62.0}], left_l=95.0, lost_l=1.0, at_20=True, why="into a butt")
    found = lost(filled(), racked, emptied("2020-01-01", 90, 61.5))
    assert [one.lost for one in found.intervals] == [Decimal("127.00") - Decimal("115.32"), Decimal("115.32") - Decimal("56.42") - Decimal("55.35")]
    assert [(m.job, m.counted) for m in found.record.moves] == [("rack-out", Decimal("-55.80")), ("lost in racking", Decimal("-0.62"))]


def test_racked_empty_ends_the_fill_with_a_gauge() -> None:
    racked = ev("2018-01-01", "rack-out", to=[{"cask": "TH-004300", "litres": 185.0, "abv": 62.0}], at_20=True, why="into a butt")
    found = lost(filled(), racked)
    assert found.ended and found.whole is not None and found.whole.lost == Decimal("12.30")
    assert found.record.moves == []


def test_racked_in_is_a_filling_with_the_strength_of_its_parts() -> None:
    parts = [{"cask": "TH-004300", "litres": 100.0, "abv": 60.0}, {"cask": "TH-004301", "litres": 80.0, "abv": 51.0}]
    came = ev("2018-01-01", "rack-in", from_=parts, spirit="malt", oak_since="2010-01-01", at_20=True)
    found = lost(came, gauged("2021-01-01", 170, 55))
    assert found.record.gauges[0].abv == pytest.approx(56.0)
    more = ev("2019-01-01", "rack-in", from_=[{"cask": "TH-004302", "litres": 10.0, "abv": 60.0}], spirit="malt", oak_since="2010-01-01", at_20=True)
    found = lost(came, more, gauged("2021-01-01", 180, 55))
    assert [(m.job, m.counted) for m in found.record.moves] == [("rack-in", Decimal("6.00"))]


def test_a_topping_of_unknown_strength_makes_the_interval_unknown() -> None:
    more = ev("2019-01-01", "rack-in", from_=[{"cask": "TH-004302", "litres": 10.0}], spirit="malt", oak_since="2010-01-01", at_20=True)
    found = lost(filled(litres=180), more, gauged("2021-01-01", 180, 55))
    assert found.whole is not None and found.whole.share is None and "no-figure" in found.whole.flags


def test_voided_gauges_do_not_count() -> None:
    wrong = {**gauged("2018-01-01", 60), "id": "e0000009"}
    void = ev("2018-01-02", "void", of="e0000009", why="wrong cask")
    assert len(lost(filled(), wrong, void, gauged("2020-01-01", 185)).record.gauges) == 2


def test_a_fill_lies_in_the_store_where_it_lay_longest() -> None:
    there = [filled(berth="D1/2"), ev("2016-01-01", "move", berth="R3/1"), gauged("2022-01-01", 180)]
    assert lost(*there, house=STORES).record.store == "racks"
    assert lost(*there, day="2016-06-01", house=STORES).record.store == "racks", "not gauged yet: where it lies"
    early = [*there[:2], gauged("2016-06-01", 195), gauged("2022-01-01", 180)]
    assert {lost(*early, day=day, house=STORES).record.store for day in ("2016-06-01", "2016-12-31", "2021-12-31")} == {"dunnage"}, (
        "by entries alone, not by days that pass"
    )
    assert lost(*early, day="2022-01-01", house=STORES).record.store == "racks"
    assert lost(filled(), gauged("2020-01-01", 185), house=STORES).record.store is None


@pytest.mark.parametrize(
    ("prior", "bands"),
    [
        ([{"contents": "bourbon", "fills": 1}], ["1st fill", "2nd fill", "3rd fill or later"]),
        ([{"contents": "malt", "fills": 1}], ["2nd fill", "3rd fill or later", "3rd fill or later"]),
        ([], ["1st fill", "2nd fill", "3rd fill or later"]),
        ("absent", ["fill not known"] * 3),
        ([{"contents": "malt"}], ["fill not known"] * 3),
    ],
)
def test_bands_count_the_houses_class_of_spirit(prior: object, bands: list[str]) -> None:
    again = [event for year in (2015, 2017, 2019) for event in (filled(f"{year}-03-01"), emptied(f"{year}-10-01", 190))]
    assert [found.record.band for found in losses(*again, prior=prior)] == bands


def test_leaks_are_those_of_the_fill() -> None:
    leak, look = ev("2016-03-01", "leak", at="joint-3", severity="weep"), ev("2016-03-15", "look", seen="dry")
    first, second = losses(filled(), leak, look, emptied("2018-01-01", 180), filled("2018-02-01"), gauged("2020-01-01", 190))
    assert [event.job for event in first.record.leaks] == ["leak", "look"]
    assert second.record.leaks == []


def test_a_seasoning_and_a_wine_are_no_fills() -> None:
    assert fill_records(lived(ev("2015-01-01", "season", wine="oloroso", litres=190.0))) == []
    wine = ev("2014-12-01", "receive", verdict="accept", contents="port", litres=190.0)
    assert fill_records(life_on("2020-01-01", wine, house=HOUSE)) == []


def test_gone_with_the_spirit_in_it_ends_without_a_gauge() -> None:
    found = lost(filled(), gauged("2018-01-01", 190), ev("2019-01-01", "dispose", how="sold"))
    assert found.ended and len(found.record.gauges) == 2


def test_every_gauge_is_of_its_own_fill() -> None:
    history = [*START, filled(), gauged("2016-01-01", 195), emptied("2018-01-01", 180), filled("2018-02-01"), gauged("2020-01-01", 190)]
    first, second = losses(*history[2:])
    assert [g.job for g in first.record.gauges] == ["fill", "regauge", "empty"]
    assert [g.job for g in second.record.gauges] == ["fill", "regauge"]
    assert all(isinstance(g, Gauge) for g in second.record.entries)


def test_a_receipt_full_of_wine_is_no_fill_of_a_band() -> None:
    """The band is the number that `fills_of_class` had on that day, as the trade counts its first fill."""
    wine = [ev("2010-01-01", "receive", verdict="accept", contents="wine", spirit="oloroso", litres=480, abv=18), emptied("2010-02-01", 470, 18)]
    twice = [event for year in (2015, 2017) for event in (filled(f"{year}-03-01"), emptied(f"{year}-10-01", 190))]
    life = life_on("2020-01-01", *wine, *twice, prior=[])
    assert [found.band for found in fill_records(life)] == ["1st fill", "2nd fill"] and facts_of(life).fills_of_class == 2


def test_a_cask_missing_and_found_again_lies_where_it_lay() -> None:
    """Its berth is the last one written, as the facts have it; only away or gone it has none."""
    stood = [ev("2014-12-03", "move", berth="W1/01/1"), filled(), ev("2016-01-01", "missing")]
    for events in ([*stood, ev("2017-01-01", "found")], stood):
        life = lived(*events, gauged("2019-01-01", 180))
        (record,) = fill_records(life)
        assert [stay.berth for stay in record.stays] == ["W1/01/1"] * len(record.stays) and record.stays[-1].berth == facts_of(life).berth
