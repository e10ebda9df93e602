"""Looking again at leaks of full casks."""

from __future__ import annotations

import pytest
from casks import HOUSE, ev

from caskbook.model.house import House
from due.judged import RECEIVED, day_of, decided, due_house, emptied, examined, filled, of, said

FULL = [RECEIVED, examined("2020-01-10"), filled("2020-01-20")]


def leak(day: str, severity: str, at: str = "joint-3", **fields: object) -> dict[str, object]:
    return ev(day, "leak", at=at, severity=severity, **fields)


@pytest.mark.parametrize(
    ("day", "word"),
    [("2020-03-07", "ok"), ("2020-03-08", "soon 2020-03-15"), ("2020-03-14", "soon 2020-03-15"), ("2020-03-15", "due 2020-03-15")],
)
def test_a_weep_after_a_fortnight(day: str, word: str) -> None:
    verdict = of("look", day, *FULL, leak("2020-03-01", "weep"))
    assert day_of(verdict) == word
    assert said(verdict) == "weep at joint-3 seen 2020-03-01: house looks again after 14 days, 2020-03-15"


@pytest.mark.parametrize(("severity", "rank"), [("drip", 2), ("run", 3)])
def test_a_drip_and_a_run_the_same_day(severity: str, rank: int) -> None:
    verdict = of("look", "2026-11-24", *FULL, leak("2026-11-24", severity, "head-A-joint-2"))
    assert (day_of(verdict), verdict.severity) == ("due 2026-11-24", rank)
    assert said(verdict) == f"{severity} at head-A-joint-2 seen 2026-11-24: house looks again the same day"


def test_a_look_moves_it_and_dry_closes_it() -> None:
    seen = [*FULL, leak("2020-03-01", "drip"), ev("2020-03-02", "look", seen="weep")]
    assert day_of(of("look", "2020-03-15", *seen)) == "soon 2020-03-16"
    assert of("look", "2020-03-15", *seen, ev("2020-03-15", "look", seen="dry")).verdict == "ok"


def test_a_day_of_its_own() -> None:
    own = [*FULL, leak("2020-03-01", "drip", look_again="2020-03-20")]
    assert of("look", "2020-03-12", *own).verdict == "ok"
    assert day_of(of("look", "2020-03-20", *own)) == "due 2020-03-20"


def test_the_gravest_leads_and_many_are_told_short() -> None:
    many = [*FULL, leak("2020-03-01", "weep"), leak("2020-03-20", "drip", "joint-4"), leak("2020-03-21", "run", "croze-A")]
    verdict = of("look", "2020-03-21", *many)
    assert (verdict.severity, day_of(verdict), len(verdict.reasons)) == (3, "due 2020-03-15", 3)
    assert verdict.reasons[0].startswith("run at croze-A")
    more = of("look", "2020-03-21", *many, leak("2020-03-21", "drip", "joint-9"))
    assert more.reasons[-1] == "and 1 more to look at"


def test_none_once_emptied() -> None:
    assert of("look", "2020-04-02", *FULL, leak("2020-03-01", "run"), emptied("2020-04-01")).verdict == "ok"


def test_new_fills_only_where_the_house_asks() -> None:
    assert of("look", "2020-01-22", *FULL).verdict == "ok"
    house = due_house(look={"new_fill_days": [2, 7, 30]})
    looked = ev("2020-01-22", "look", seen="dry")
    assert day_of(of("look", "2020-01-21", *FULL, house=house)) == "soon 2020-01-22"
    assert day_of(of("look", "2020-01-24", *FULL, house=house)) == "due 2020-01-22"
    assert day_of(of("look", "2020-01-24", *FULL, looked, house=house)) == "soon 2020-01-27"
    assert day_of(of("look", "2020-01-27", *FULL, looked, house=house)) == "due 2020-01-27"
    assert of("look", "2020-03-20", *FULL, looked, house=house).verdict == "due"
    assert of("look", "2020-03-21", *FULL, looked, house=house).verdict == "ok"


def test_days_by_type_and_lowered_last_week() -> None:
    house = House({**HOUSE.raw, "types": {"barrel": {"due": {"look": {"weep_days": [{"since": "2020-03-10", "value": 3}]}}}}})
    weep = [*FULL, leak("2020-03-01", "weep")]
    assert day_of(of("look", "2020-03-11", *weep, house=house)) == "due 2020-03-10"
    assert of("look", "2020-03-11", *weep, house=house, type="hogshead").verdict == "soon"
    assert str(of("look", "2020-03-09", *weep, house=house).changes_on) == "2020-03-10"


def test_put_off_until_a_new_leak() -> None:
    weep = [*FULL, leak("2020-03-01", "weep"), decided("2020-03-16", "look", "defer", until="2020-05-01")]
    assert of("look", "2020-05-01", *weep).verdict == "ok"
    assert of("look", "2020-05-02", *weep).verdict == "due"
    assert of("look", "2020-04-01", *weep, leak("2020-04-01", "drip", "joint-9")).verdict == "due"
    assert of("look", "2020-04-01", *weep, ev("2020-04-01", "look", seen="run")).verdict == "due"
    assert of("look", "2020-04-01", *weep, house=due_house(look={"off": True})).verdict == "ok"
