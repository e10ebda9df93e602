"""Litres at 20 °C and of pure alcohol from what an entry tells: litres, dips, weights; their errors; what cannot be told."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from casks import HOUSE, ev, life_on

from caskbook.gauging.volume import Dimensions, at_dip
from caskbook.gauging.volume20 import kg_of_litres, litres_at_20
from caskbook.loss import fill_losses
from caskbook.model.house import House
from loss.filled import NO_WOOD, emptied, filled, gauged, lost

INSIDE = {"bung": 660, "head": 560, "length": 840}
MEASURED = ev("2014-12-20", "measure", dims_mm=INSIDE, capacity_l=255, tare_kg=56)


def test_litres_are_brought_to_20_degrees() -> None:
    (gauge,) = lost(filled(litres=198.4, temp_c=14.5)).record.gauges
    assert gauge.litres_20 == pytest.approx(litres_at_20(198.4, 63.5, 14.5), rel=1e-12)
    assert gauge.lpa == pytest.approx(gauge.litres_20 * 0.635)
    assert (gauge.corrected, gauge.notes) == (True, ("method not written: taken as meter",))


def test_an_uncorrected_gauge_says_so_and_errs_more() -> None:
    bare, good = lost(filled(at_20=None)).record.gauges[0], lost(filled()).record.gauges[0]
    assert (bare.corrected, bare.litres_20) == (False, 200.0)
    assert "uncorrected: no temperature" in bare.notes
    # own arithmetic: 0.3 % of the litres, 0.3 L of 200, 0.1 of 63.5 % vol, 1 % for the temperature, in quadrature
    assert good.error == pytest.approx(math.sqrt(0.003**2 + 0.0015**2 + (0.1 / 63.5) ** 2))
    assert bare.error == pytest.approx(math.sqrt(0.003**2 + 0.0015**2 + (0.1 / 63.5) ** 2 + 0.01**2))


@pytest.mark.parametrize(("method", "usual", "own"), [("meter", 0.3, 0.5), ("weigh", 0.2, 0.1), ("dip", 1.0, 2.0)])
def test_errors_are_the_houses_by_method(method: str, usual: float, own: float) -> None:
    house = House({**HOUSE.raw, "measuring_error": {method: own}, "strength_error": 0.001})
    gauge = lost(filled(), gauged("2018-01-01", 180, method=method), house=house).record.gauges[1]
    # a meter and a scale err by 0.3 L at least; 2.5 mm of a dip of 180 L in 200 L are about 2.5 × 1.27 × (200 / 620) × 2 × √(0.9 × 0.1) L
    least = (2.5 * 1.27 * 200 / 620 * 0.6 if method == "dip" else 0.3) / 180
    assert gauge.error == pytest.approx(math.hypot(own / 100, least), rel=1e-3)
    plain = House({**HOUSE.raw, "strength_error": 0.001})
    assert lost(filled(), gauged("2018-01-01", 180, method=method), house=plain).record.gauges[1].error == pytest.approx(
        math.hypot(usual / 100, least), rel=1e-3
    )


@pytest.mark.parametrize(("stance", "wet"), [("bilge", 330.0), ("bilge", 640.0), ("upright-A", 420.0)])
def test_a_dip_errs_by_two_and_a_half_millimetres_of_the_cask_there(stance: str, wet: float) -> None:
    """At half the depth they are most litres; near the bung next to none."""
    dipped = ev("2018-01-01", "regauge", wet_mm=wet, abv=62.0, method="dip", at_20=True)
    gauge = lost(MEASURED, filled(litres=240, stow=stance), dipped).record.gauges[1]
    inside, how = Dimensions(660, 560, 840), "lying" if stance == "bilge" else "standing"
    one = [at_dip(inside, wet_mm=wet - n, stance=how, measured_l=255).litres for n in (0, 1)]
    assert gauge.error == pytest.approx(math.sqrt(0.01**2 + (2.5 * (one[0] - one[1]) / one[0]) ** 2 + (0.1 / 62) ** 2), rel=1e-6)


def test_a_meter_errs_by_three_tenths_of_a_litre_however_little_it_measures() -> None:
    small = lost(filled(), gauged("2018-01-01", 2.0)).record.gauges[1]
    assert small.error == pytest.approx(math.sqrt(0.003**2 + 0.15**2 + (0.1 / 62) ** 2))


@pytest.mark.parametrize(("method", "part"), [("meter", 0.2), ("weigh", 0.5)])
def test_a_part_of_the_error_is_the_same_by_a_method(method: str, part: float) -> None:
    """Of the variance; what a lacking temperature makes is apart from it."""
    one = lost(filled(), gauged("2018-01-01", 180, method=method)).record.gauges[1]
    assert (one.same, one.warm) == (pytest.approx(math.sqrt(part) * one.error), 0.0)
    bare = lost(filled(), gauged("2018-01-01", 180, method=method, at_20=None)).record.gauges[1]
    assert (bare.same, bare.warm) == (pytest.approx(one.same), 0.01)


def test_nine_tenths_of_what_the_inside_makes_a_dip_err_are_the_same_at_every_dip() -> None:
    """The millimetres and the strength are read anew each time; by litres too, where the capacity says how many a millimetre makes."""
    by_rod = ev("2018-01-01", "regauge", wet_mm=500.0, abv=62.0, method="dip", at_20=True)
    for dipped in (by_rod, gauged("2018-01-01", 180, method="dip")):
        assert lost(MEASURED, filled(litres=240), dipped).record.gauges[1].same == pytest.approx(math.sqrt(0.9) * 0.01)
    house = House({**NO_WOOD.raw, "measuring_error": {"dip": 0.5}})
    assert lost(MEASURED, filled(litres=240), by_rod, house=house).record.gauges[1].same == pytest.approx(math.sqrt(0.9) * 0.005)


@pytest.mark.parametrize(("full", "least"), [(0.85, 0.97), (0.75, 0.94), (0.5, 0.89)])
def test_an_inside_that_is_off_errs_alike_at_every_level(full: float, least: float) -> None:
    """Own arithmetic: the litres by the same dip in a cask of which bung and head, or the length, are one part in a hundred larger than measured."""

    def errors(share: float) -> list[float]:
        true, wet = Dimensions(660, 560, 840), 660.0 * share
        litres = at_dip(true, wet_mm=wet).litres
        return [math.log(at_dip(other, wet_mm=wet).litres / litres) for other in (Dimensions(660 / 1.01, 560 / 1.01, 840), Dimensions(660, 560, 840 / 1.01))]

    depths = [next(n / 200 for n in range(1, 201) if at_dip(Dimensions(660, 560, 840), wet_mm=3.3 * n).litres >= part * 255) for part in (0.97, full)]
    one, other = errors(depths[0]), errors(depths[1])
    apart = sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) / sum(a * a + b * b for a, b in zip(one, other, strict=True))
    assert 1.0 - apart >= least


@pytest.mark.parametrize(("field", "value"), [("wet_mm", 500.0), ("dry_mm", 160.0)])
def test_a_dip_is_turned_into_litres_by_the_measured_inside(field: str, value: float) -> None:
    dipped = ev("2018-01-01", "regauge", **{field: value}, abv=62.0, method="dip", temp_c=12.0)
    gauge = lost(MEASURED, filled(litres=240), dipped).record.gauges[1]
    there = at_dip(Dimensions(660, 560, 840), wet_mm=500.0, measured_l=255).litres
    assert gauge.litres_20 == pytest.approx(litres_at_20(there, 62.0, 12.0), rel=1e-9)
    assert gauge.method == "dip"


def test_a_standing_cask_is_dipped_along_its_length() -> None:
    dipped = ev("2018-01-01", "regauge", wet_mm=420.0, abv=62.0, method="dip", at_20=True)
    gauge = lost(MEASURED, filled(litres=240, stow="upright-A"), dipped).record.gauges[1]
    assert gauge.litres_20 == pytest.approx(127.5)  # half the length holds half of 255 L


def test_a_dip_of_a_cask_of_which_nobody_wrote_how_it_lies_says_what_it_is_taken_for() -> None:
    dipped = ev("2018-01-01", "regauge", wet_mm=500.0, abv=62.0, method="dip", at_20=True)
    unsaid, lying, standing = (lost(MEASURED, filled(litres=240, **how), dipped).record.gauges[1] for how in ({}, {"stow": "bilge"}, {"stow": "upright-A"}))
    assert unsaid.notes == ("how it lay is not written: taken as on its bilge",) and lying.notes == standing.notes == ()
    assert unsaid.litres_20 == lying.litres_20 != standing.litres_20


def test_a_measure_made_later_is_not_used_before() -> None:
    later = {**MEASURED, "date": "2019-01-01"}
    dipped = ev("2018-01-01", "regauge", wet_mm=500.0, abv=62.0, method="dip", temp_c=12.0)
    gauge = lost(filled(), dipped, later).record.gauges[1]
    assert (gauge.lpa, gauge.counted) == (None, None)
    assert gauge.notes == ("dipped, but its inside is not known by then: enter measure with dims_mm, dated 2018-01-01 or before",)


def test_a_weight_less_the_cask_empty_gives_litres_in_air() -> None:
    shown = 56 + kg_of_litres(180.0, 62.0, in_air=True)
    weighed = ev("2018-01-01", "regauge", gross_kg=shown, abv=62.0, method="weigh")
    gauge = lost(MEASURED, filled(litres=240), weighed).record.gauges[1]
    assert gauge.litres_20 == pytest.approx(180.0, rel=1e-9)
    assert gauge.corrected
    bare = lost(filled(), weighed).record.gauges[1]
    assert bare.lpa is None and "weight empty is not known by then: enter measure with tare_kg, dated 2018-01-01 or before" in bare.notes[0]
    light = ev("2018-01-01", "regauge", gross_kg=50, abv=62.0, method="weigh")
    assert "less than the cask empty" in lost(MEASURED, filled(litres=240), light).record.gauges[1].notes[0]


def test_a_dip_beyond_the_cask_is_told_and_not_used() -> None:
    deep = ev("2018-01-01", "regauge", wet_mm=900.0, abv=62.0, method="dip", at_20=True)
    found = lost(MEASURED, filled(litres=240), deep)
    assert found.whole is None
    assert "wet dip 900 mm is outside 0 to 660 mm" in found.record.gauges[1].notes[0]


@pytest.mark.parametrize(
    ("rules", "counted"),
    [([], "125.66"), (["lpa-down-0.01"], "125.65"), (["strength-down-0.1", "lpa-down-0.01"], "125.52")],
)
def test_what_counts_is_rounded_as_the_house_is_told(rules: list[str], counted: str) -> None:
    """197.37 L at 63.666 % is 125.65758 L; with the strength cut to 63.6 % it is 125.52732: own arithmetic."""
    house = House({**NO_WOOD.raw, "rounding": rules})
    (gauge,) = lost(filled(litres=197.37, abv=63.666), house=house).record.gauges
    assert gauge.counted == Decimal(counted)


def test_no_binary_surprise() -> None:
    """0.57 × 50 and 0.29 × 100 are 28.499999… and 28.999999… in binary."""
    house = House({**NO_WOOD.raw, "rounding": ["lpa-down-0.01"]})
    for litres, abv, counted in ((50.0, 57.0, "28.50"), (100.0, 29.0, "29.00"), (0.29, 50.0, "0.14")):
        (gauge,) = lost(filled(litres=litres, abv=abv), house=house).record.gauges
        assert gauge.counted == Decimal(counted)


def test_nothing_came_out() -> None:
    found = lost(filled(), ev("2018-01-01", "empty", litres=0, why="leaked-out"))
    assert found.record.gauges[1].lpa == 0.0
    assert found.whole is not None and (found.whole.share, found.whole.per_year) == (1.0, 1.0)
    assert found.whole.lost == Decimal("127.00")


def test_unknown_strength_or_litres_of_what_was_received_full() -> None:
    for known, note in (({"litres": 190.0, "at_20": True}, "strength not known"), ({"abv": 63.0}, "litres not written")):
        full = ev("2014-12-01", "receive", verdict="accept", contents="spirit", spirit="malt", **known)
        (found,) = fill_losses(life_on("2026-11-25", full, emptied("2020-01-01", 150), house=NO_WOOD))
        assert found.record.gauges[0].lpa is None and note in found.record.gauges[0].notes
        assert found.whole is None


def test_litres_at_two_temperatures_are_unknown() -> None:
    """Measured at 2 °C and at 20 °C are two volumes: neither is taken; at 20 °C both are one."""
    found = lost(filled(), gauged("2018-01-01", 190, 60, temp_c=2, at_20=True), emptied("2020-01-01", 180))
    gauge = found.record.gauges[1]
    assert gauge.litres_20 is None and gauge.lpa is None and "measured at 2 °C and at 20 °C: both are written" in gauge.notes
    assert lost(filled(), gauged("2018-01-01", 190, 60, temp_c=20, at_20=True)).record.gauges[1].litres_20 == 190


@pytest.mark.parametrize("more", [{"wet_mm": 300}, {"dry_mm": 300}, {"gross_kg": 200}])
def test_litres_beside_another_measurement_are_unknown(more: dict[str, float]) -> None:
    gauge = lost(MEASURED, filled(), gauged("2018-01-01", 190, 60, **more)).record.gauges[1]
    assert gauge.litres_20 is None and "which of them was measured is not known" in gauge.notes[-1]


@pytest.mark.parametrize(("dry", "known"), [(360, True), (358, True), (362, True), (357, False), (363, False)])
def test_two_dips_are_one_measurement_of_the_bung_diameter(dry: float, known: bool) -> None:
    """Bung diameter 660 mm: 300 mm wet leave 360 mm dry, a millimetre more or less on each."""
    both = {**gauged("2018-01-01", 1, 60, method="dip"), "wet_mm": 300, "dry_mm": dry}
    del both["litres"]
    assert (lost(MEASURED, filled(), both).record.gauges[1].litres_20 is not None) is known
