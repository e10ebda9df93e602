"""The loss on the bench card and as data."""

from __future__ import annotations

import pytest
from casks import HOUSE, ev

from caskbook.loss import PeerTable, loss_facts, loss_parts
from caskbook.loss.evidence import evidence
from loss.filled import NO_WOOD, emptied, filled, gauged, lived
from loss.test_verdicts import PEERS


def test_the_line_of_the_card() -> None:
    life = lived(filled("2015-04-02", 198.4, 63.5), emptied("2023-05-16", 182.0, 61.5), house=HOUSE)
    assert loss_parts(life, PEERS) == [
        "last fill: 14.1 L of alcohol, 11.2 % in 8.1 years", "1.45 % a year ± 0.1", "1.20 % a year after 2.0 % in-drink", "peers 2.0 %",
    ]  # fmt: skip


def test_without_peers_there_is_no_verdict() -> None:
    life = lived(filled(), gauged("2020-01-01", 180))
    found = loss_facts(life)
    assert found is not None
    assert (found["verdict"], found["expected"], found["reasons"]) == (None, None, [])
    assert loss_parts(life) == ["15.4 L of alcohol, 12.1 % in 5.0 years", "2.6 % a year ± 0.2"]


def test_a_share_is_that_of_the_litres_beside_it_on_every_paper() -> None:
    """122.80 L of alcohol, then 100.39: 22.41 of 122.80 are 18.249 %; of the litres before they were rounded it would be 18.254 %."""
    life = lived(filled("2015-04-02", 194.0, 63.3), gauged("2023-05-16", 162.7, 61.7))
    assert loss_parts(life)[0] == "22.4 L of alcohol, 18.2 % in 8.1 years"
    (rows,) = [rows for name, rows in evidence(life, PEERS) if name == "from gauge to gauge"]
    assert rows[1][3:5] == ("22.41", "18.2 %")


def test_the_keys() -> None:
    found = loss_facts(lived(filled(), gauged("2018-01-01", 190), gauged("2020-01-01", 180)), PEERS)
    assert found is not None
    assert (found["litres_20"], found["lpa"]) == (20.0, 15.4)
    assert found["share"] == pytest.approx(15.4 / 127, abs=1e-6)
    assert found["per_year"] == pytest.approx(1 - (111.6 / 127) ** (1 / 4.9994), abs=1e-5)
    assert [one["lpa"] for one in found["intervals"]] == [9.2, 6.2]
    assert [one["events"] for one in found["intervals"]] == [["e0000003", "e0000004"], ["e0000004", "e0000005"]]
    assert found["verdict"] in ("act", "watch", "usual") and found["expected"] == pytest.approx(0.02)
    assert found["plus_minus"] > 0 and found["trend"] is not None and found["in_drink_fitted"] is None


def filled_and_gauged(taken: float, *years: int) -> list[dict[str, object]]:
    """A fill of which the wood takes so much at once, then 2 % a year goes."""
    return [filled(litres=200, abv=60), *(gauged(f"{2015 + n}-01-01", 200 * (1 - taken) * 0.98**n, 60) for n in years)]


def test_in_drink_from_the_line_once_there_are_three_gauges_after_the_filling() -> None:
    found = loss_facts(lived(*filled_and_gauged(0.03, 2, 4, 6), house=HOUSE), PEERS)
    assert found is not None
    assert found["in_drink_fitted"] == pytest.approx(0.03, abs=1e-3)
    assert (found["in_drink_from"], found["in_drink"]) == ("gauges", found["in_drink_fitted"])
    assert found["after_in_drink"] == pytest.approx(0.02, abs=3e-4)
    early = loss_facts(lived(*filled_and_gauged(0.03, 2, 4), house=HOUSE), PEERS)
    assert early is not None
    assert (early["in_drink_fitted"], early["in_drink_from"], early["in_drink"]) == (None, "usual", 0.02)


def test_the_houses_own_figure_comes_first_and_an_early_leak_is_no_in_drink() -> None:
    own = loss_facts(lived(*filled_and_gauged(0.03, 2, 4, 6), house=NO_WOOD), PEERS)
    assert own is not None and (own["in_drink_from"], own["in_drink"]) == ("house", 0.0)
    leak = loss_facts(lived(*filled_and_gauged(0.20, 2, 4, 6), house=HOUSE), PEERS)
    assert leak is not None
    assert leak["in_drink_fitted"] == pytest.approx(0.2, abs=1e-2)
    assert (leak["in_drink_from"], leak["in_drink"], leak["verdict"]) == ("usual", 0.02, "act")


def test_never_filled_not_gauged_and_doubtful() -> None:
    assert loss_facts(lived(), PEERS) is None and loss_parts(lived(), PEERS) == []
    assert loss_parts(lived(filled()), PEERS) == ["not gauged since it was filled 2015-01-01"]
    found = loss_facts(lived(filled()), PEERS)
    assert found is not None and (found["lpa"], found["verdict"], found["intervals"]) == (None, "unknown", [])
    rising = lived(filled(litres=150), gauged("2018-01-01", 170), house=NO_WOOD)
    assert loss_parts(rising, PEERS)[-1] == "more than before, beyond the error"
    gone = lived(filled(), ev("2018-01-01", "dispose", how="sold"))
    assert loss_parts(gone, PEERS) == ["its last fill was not gauged at its end"]


def test_too_much_is_said() -> None:
    life = lived(filled(), gauged("2019-01-01", 150, 63.5))
    assert loss_parts(life, PEERS)[-2:] == ["peers 2.0 %", "TOO MUCH: see due"]


def test_an_earlier_day_knows_no_later_gauge() -> None:
    life = lived(filled(), gauged("2019-01-01", 150, 63.5), day="2018-01-01")
    assert loss_parts(life, PeerTable()) == ["not gauged since it was filled 2015-01-01"]


def test_what_is_gone_beyond_the_usual_stands_apart() -> None:
    found = loss_facts(lived(filled(), gauged("2017-01-01", 192, 63.5), gauged("2019-01-01", 150, 63.5)), PEERS)
    assert found is not None and found["verdict"] == "act"
    excess = found["excess"]
    assert (str(excess["after"]), str(excess["seen"])) == ("2017-01-01", "2019-01-01")
    # a sound cask would hold 192 × 0.98² = 184.4 L, so 34.4 L at 63.5 % vol are gone
    assert excess["least"] < 34.4 * 0.635 < excess["most"] and excess["lpa"] == pytest.approx(34.4 * 0.635, rel=0.03)
    assert found["score"] > found["acts_from"] > 2
    sound = loss_facts(lived(filled(), gauged("2017-01-01", 192, 63.5)), PEERS)
    assert sound is not None and (sound["excess"], sound["score"]) == (None, None)
