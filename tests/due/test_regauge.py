"""Gauging filled casks again."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from casks import HOUSE, ev

from caskbook.model.house import House
from due.judged import RECEIVED, day_of, decided, due_house, emptied, examined, filled, of, said

FULL = [RECEIVED, examined("2020-01-10"), filled("2020-02-29")]


def gauged(day: str, abv: float = 60.0) -> dict[str, object]:
    return ev(day, "regauge", litres=180.0, abv=abv, method="dip")


@pytest.mark.parametrize(
    ("day", "word"),
    # filled on 29 February: five years on is 1 March
    [("2025-01-29", "ok"), ("2025-01-30", "soon 2025-03-01"), ("2025-02-28", "soon 2025-03-01"), ("2025-03-01", "due 2025-03-01")],
)
def test_first_in_the_fifth_year(day: str, word: str) -> None:
    assert day_of(of("regauge", day, *FULL)) == word


@pytest.mark.parametrize(
    ("gauges", "due_on", "why"),
    [
        (["2021-06-01"], "2025-03-01", "from year 5, every 3 years"),  # three years after the gauge, but not before the fifth
        (["2024-06-01"], "2027-06-01", "from year 5, every 3 years"),
        (["2025-03-01", "2028-03-10"], "2031-03-10", "from year 5, every 3 years"),
        (["2033-06-01"], "2035-03-01", "yearly from year 15"),  # every third year would be 2036
        (["2035-04-01"], "2036-04-01", "yearly from year 15"),
    ],
)
def test_then_by_the_last_gauge(gauges: list[str], due_on: str, why: str) -> None:
    life = [*FULL, *map(gauged, gauges)]
    verdict = of("regauge", due_on, *life)
    assert day_of(verdict) == f"due {due_on}"
    assert why in said(verdict) and f"next {due_on}" in said(verdict)
    assert verdict.changes_on is None
    day_before = of("regauge", str(verdict.since.fromordinal(verdict.since.toordinal() - 1)) if verdict.since else "", *life)
    assert (day_before.verdict, str(day_before.changes_on)) == ("soon", due_on)


@pytest.mark.parametrize(
    ("rule", "gauges", "due_on", "why"),
    [
        ({"first_year": 1, "every_years": 3}, [], "2021-03-01", "from year 1, every 3 years"),  # the first gauge is not put off by the years between two
        ({"first_year": 1, "every_years": 3}, ["2020-09-01"], "2023-09-01", "from year 1, every 3 years"),  # gauged before: three years on
        ({"first_year": 1, "every_years": 3}, ["2021-03-05"], "2024-03-05", "from year 1, every 3 years"),
        ({"every_years": 8}, [], "2025-03-01", "from year 5, every 8 years"),
    ],
)
def test_the_first_gauge_is_in_its_year_however_many_years_lie_between_two(rule: dict[str, int], gauges: list[str], due_on: str, why: str) -> None:
    """Filled on 29 February 2020 and never gauged: in year 1, or 5, as the house says; once gauged, by the years since that gauge."""
    life, house = [*FULL, *map(gauged, gauges)], due_house(regauge=rule)
    verdict = of("regauge", due_on, *life, house=house)
    assert day_of(verdict) == f"due {due_on}" and why in said(verdict) and f"next {due_on}" in said(verdict)
    before = of("regauge", str(date.fromisoformat(due_on) - timedelta(days=1)), *life, house=house)
    assert (before.verdict, str(before.changes_on)) == ("soon", due_on)


def test_weak_spirit_every_year() -> None:
    assert of("regauge", "2022-05-30", *FULL, gauged("2021-06-01", 43.0)).verdict == "ok"
    verdict = of("regauge", "2022-06-01", *FULL, gauged("2021-06-01", 42.9))
    assert day_of(verdict) == "due 2022-06-01"
    assert said(verdict).startswith("gauged 2021-06-01 at 42.9 %, filled 2020-02-29: house gauges yearly under 43 %")


def test_unknown_strength_is_said() -> None:
    full = [ev("2020-01-10", "receive", verdict="accept", contents="spirit", spirit="malt")]
    before = of("regauge", "2021-01-09", *full)
    assert (before.verdict, str(before.changes_on)) == ("ok", "2021-01-10")
    verdict = of("regauge", "2021-01-10", *full)
    assert (verdict.verdict, verdict.since) == ("unknown", None)
    assert verdict.reasons[0] == "received 2020-01-10, strength not known: house gauges yearly under 43 %"
    assert day_of(of("regauge", "2025-01-10", *full)) == "due 2025-01-10"


def test_only_spirit_is_gauged() -> None:
    assert of("regauge", "2040-01-01", *FULL, emptied("2039-01-01")).verdict == "ok"
    seasoned = [RECEIVED, ev("2020-02-01", "season", wine="oloroso", litres=190.0)]
    assert of("regauge", "2040-01-01", *seasoned).verdict == "ok"


def test_by_type_lowered_and_off() -> None:
    house = House({**HOUSE.raw, "types": {"butt": {"due": {"regauge": {"first_year": 10}}}}})
    assert of("regauge", "2026-01-01", *FULL, house=house).verdict == "due"
    assert of("regauge", "2026-01-01", *FULL, house=house, type="butt").verdict == "ok"
    lowered = due_house(regauge={"first_year": [{"since": "2023-11-18", "value": 3}]})
    assert day_of(of("regauge", "2023-11-25", *FULL, house=lowered)) == "due 2023-11-18"
    assert of("regauge", "2023-11-25", *FULL, house=due_house(regauge={"off": True})).verdict == "ok"


def test_decided_until_the_next_gauge() -> None:
    kept = [*FULL, decided("2025-03-02", "regauge")]
    assert of("regauge", "2027-01-01", *kept).verdict == "ok"
    assert of("regauge", "2030-06-01", *kept, gauged("2027-06-01")).verdict == "due"
