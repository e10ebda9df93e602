"""Short ways to write the events that the due rules ask about, and to ask one rule on one day."""

from __future__ import annotations

from typing import Any

from casks import HOUSE, ev, life_on

from caskbook.due import Verdict, judge
from caskbook.life.facts import facts_of
from caskbook.model.house import House

RECEIVED = ev("2020-01-10", "receive", verdict="accept")


def of(rule: str, day: str, *events: dict[str, Any], house: House = HOUSE, excess_losses: int = 0, **head: Any) -> Verdict:
    """The verdict of one rule on a day."""
    life = life_on(day, *events, house=house, **head)
    return next(v for v in judge(life, facts_of(life), excess_losses=excess_losses) if v.rule == rule)


def said(verdict: Verdict) -> str:
    """All its reasons in one text."""
    return " | ".join(verdict.reasons)


def day_of(verdict: Verdict) -> str:
    """(verdict word, since) in one text: "due 2020-01-10"."""
    return f"{verdict.verdict} {verdict.since}" if verdict.since else verdict.verdict


def examined(day: str, **fields: Any) -> dict[str, Any]:
    return ev(day, "examine", **{"verdict": "sound", **fields})


def passed(day: str) -> dict[str, Any]:
    return ev(day, "test", psi=11, result="pass")


def failed(day: str, at: str = "joint-1") -> dict[str, Any]:
    return ev(day, "test", psi=11, result="fail", leaks=[{"at": at}])


def filled(day: str, **fields: Any) -> dict[str, Any]:
    return ev(day, "fill", **{"spirit": "malt", "litres": 190.0, "abv": 63.5, **fields})


def emptied(day: str) -> dict[str, Any]:
    return ev(day, "empty", litres=150.0, abv=58.0)


def fills(*years: int) -> list[dict[str, Any]]:
    """A fill on 1 March of each year, emptied on 1 October."""
    return [event for year in years for event in (filled(f"{year}-03-01"), emptied(f"{year}-10-01"))]


def nosed(day: str, verdict: str, *faults: str) -> dict[str, Any]:
    return ev(day, "nose", verdict=verdict, **({"faults": list(faults)} if faults else {}))


def decided(day: str, rule: str, outcome: str = "keep", until: str | None = None) -> dict[str, Any]:
    more = {"until": until} if until else {}
    return ev(day, "decide", rule=rule, outcome=outcome, why="seen by us", approved_by="K. Dunmore", **more)


def due_house(**rules: Any) -> House:
    """The tests' house with due settings."""
    return House({**HOUSE.raw, "due": rules})
