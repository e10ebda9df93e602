"""Casks and events for tests, written as a person would write the YAML, with as little as each test needs."""

from __future__ import annotations

from datetime import date
from typing import Any

from caskbook.life import Life, live
from caskbook.life.facts import Facts, facts_of
from caskbook.model.cask import Cask, read_cask
from caskbook.model.house import House

HOUSE = House({"crew": [{"initials": "ab"}, {"initials": "kd"}], "minimum_age": 3})


def ev(day: str, job: str, **fields: Any) -> dict[str, Any]:
    """An event without its id; `from_`, `for_` and `with_` stand for the keys Python has reserved."""
    tidy = {key.rstrip("_"): value for key, value in fields.items()}
    return {"date": day, "job": job, "by": "ab", **tidy}


def numbered(events: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Ids in the order given: e0000001, e0000002 …; an event that has one keeps it."""
    return [{"id": f"e{n:07d}", **event} for n, event in enumerate(events, 1)]


def cask_data(*events: dict[str, Any], **head: Any) -> dict[str, Any]:
    """A cask file's data: a barrel of 200 L, 31 staves, one bourbon fill before us, charred 2011, unless said otherwise."""
    base: dict[str, Any] = {
        "cask": "TH-004217", "format": 1, "type": "barrel", "capacity_l": 200, "staves": 31, "heads": [5, 5], "hoops": 6,
        "prior": [{"contents": "bourbon", "fills": 1}], "charred": 2011,
    }  # fmt: skip
    base.update(head)
    return {key: value for key, value in base.items() if value != "absent"} | {"events": numbered(list(events))}


def cask_of(*events: dict[str, Any], **head: Any) -> Cask:
    """The cask read; its form must be faultless."""
    cask, faults = read_cask(cask_data(*events, **head))
    assert cask is not None and not faults, faults
    return cask


def life_on(day: str, *events: dict[str, Any], house: House = HOUSE, **head: Any) -> Life:
    """The life on a day."""
    return live(cask_of(*events, **head), house, date.fromisoformat(day))


def facts_on(day: str, *events: dict[str, Any], house: House = HOUSE, **head: Any) -> Facts:
    """The facts on a day."""
    return facts_of(life_on(day, *events, house=house, **head))


def codes(life: Life) -> list[str]:
    """Codes of what the life found impossible or unwise."""
    return [fault.code for fault in life.faults]
