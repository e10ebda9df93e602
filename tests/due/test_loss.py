"""The due rule loss: due, to watch, unknown, decided, and what it adds to retirement."""

from __future__ import annotations

from casks import ev, life_on
from loss.filled import NO_WOOD, START, emptied, filled, gauged
from loss.test_verdicts import PEERS

from caskbook.due import Verdict, judge
from caskbook.life.facts import facts_of
from caskbook.loss import PeerTable
from caskbook.model.house import House
from due.judged import decided, said

LEAKY = [filled(), gauged("2019-01-01", 150, 63.1)]


def of(rule: str, day: str, *events: dict[str, object], house: House = NO_WOOD, peers: PeerTable | None = PEERS, **head: object) -> Verdict:
    life = life_on(day, *START, *events, house=house, **head)
    return next(v for v in judge(life, facts_of(life), peers=peers) if v.rule == rule)


def test_due_since_the_gauge_that_showed_it() -> None:
    verdict = of("loss", "2020-01-01", *LEAKY)
    assert (verdict.verdict, str(verdict.since), verdict.changes_on) == ("due", "2019-01-01", None)
    assert verdict.reasons[0] == "7.1 % a year ± 0.2, 2015-01-01 to 2019-01-01"
    assert of("loss", "2018-12-31", *LEAKY).verdict == "ok"


def test_to_watch_is_soon_without_a_day() -> None:
    watched = of("loss", "2020-01-01", filled(), gauged("2019-01-01", 200 * 0.9765**4, 63.5))
    assert (watched.verdict, watched.since) == ("soon", None)
    assert "house watches above 2 standard deviations" in said(watched)


def test_unknown_and_ok() -> None:
    assert of("loss", "2020-01-01", filled(litres=150), gauged("2019-01-01", 170)).verdict == "unknown"
    assert said(of("loss", "2020-01-01")) == "never filled with spirit here"
    assert of("loss", "2020-01-01", filled()).verdict == "ok"
    off = House({**NO_WOOD.raw, "due": {"loss": {"off": True}}})
    assert said(of("loss", "2020-01-01", *LEAKY, house=off)) == "off in house.yaml"


def test_without_a_table_it_is_not_asked() -> None:
    life = life_on("2020-01-01", *START, *LEAKY, house=NO_WOOD)
    assert "loss" not in {v.rule for v in judge(life, facts_of(life))}


def test_a_decision_stands_for_that_fill_for_good() -> None:
    explained = [*LEAKY, decided("2019-02-01", "loss", "explained")]
    quiet = of("loss", "2025-01-01", *explained, gauged("2022-01-01", 120, 62.8))
    assert (quiet.verdict, quiet.decided) == ("ok", "explained by K. Dunmore: seen by us")
    again = [*explained, emptied("2022-01-01", 118), ev("2022-01-02", "examine", verdict="sound"), filled("2022-02-01"), gauged("2026-01-01", 150, 63.1)]
    assert of("loss", "2026-02-01", *again).verdict == "due"


def test_an_emptied_cask_is_still_asked_about_until_it_is_filled_again() -> None:
    ended = [filled(), emptied("2019-01-01", 150, 63.1)]
    assert str(of("loss", "2020-01-01", *ended).since) == "2019-01-01"
    assert of("loss", "2020-03-01", *ended, ev("2020-02-01", "examine", verdict="sound"), filled("2020-02-02")).verdict == "ok"


def test_house_limits_and_dated_ones() -> None:
    lax = House({**NO_WOOD.raw, "due": {"loss": {"act_times": 10, "act_sigma": 1000, "act_percent": 90}}})
    assert of("loss", "2020-01-01", *LEAKY, house=lax).verdict == "soon"
    lowered = {"loss": {"act_times": [{"since": "2000-01-01", "value": 10}, {"since": "2020-06-01", "value": 2.5}], "act_sigma": 1000, "act_percent": 90}}
    dated = House({**NO_WOOD.raw, "due": lowered})
    before = of("loss", "2020-05-31", *LEAKY, house=dated)
    assert (before.verdict, str(before.changes_on)) == ("soon", "2020-06-01")
    assert of("loss", "2020-06-01", *LEAKY, house=dated).verdict == "due"


def test_two_fills_running_speak_for_retirement() -> None:
    def fill(year: int) -> list[dict[str, object]]:
        return [ev(f"{year}-02-01", "examine", verdict="sound"), filled(f"{year}-03-01"), emptied(f"{year + 2}-01-01", 170, 63.5)]

    once, twice = fill(2015), [*fill(2015), *fill(2017)]
    assert "lost too much" not in said(of("retire", "2019-06-01", *once))
    verdict = of("retire", "2019-06-01", *twice, made=1950)
    assert "lost too much in 2 fills running; house limit 2" in verdict.reasons
    assert verdict.verdict == "due"


def test_a_decision_stands_for_its_fill_alone_whichever_way_the_next_one_came() -> None:
    """What was racked into the empty cask is another fill; what was racked on top of it is not."""
    explained = [*LEAKY, decided("2019-02-01", "loss", "explained")]
    came = ev("2020-03-01", "rack-in", from_=[{"cask": "TH-004300", "litres": 190.0, "abv": 63.0}], spirit="malt", oak_since="2010-01-01", at_20=True)
    assert of("loss", "2021-04-01", *explained, came).verdict == "ok"
    for again in (came, filled("2020-03-01")):
        leaking = [*explained, emptied("2020-02-01", 140, 63), again, gauged("2024-03-01", 140, 63.1)]
        assert of("loss", "2024-04-01", *leaking).verdict == "due", again["job"]
