"""What the house is against and the fold does not judge: a hand it does not know, unusual figures, a thing entered twice."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from caskbook.enter.entry import Entry
from caskbook.enter.page import Page, ordered_event
from caskbook.finding import Fault
from caskbook.ledger import Ledger
from caskbook.life.standing import corrections

_NOT_COMPARED = ("id", "by", "sheet", "note", "why", "answers")
_MAY_REPEAT = ("note", "void", "moved", "same-as", "look")


def _twin(page: Page, entry: Entry) -> str | None:
    """The id of an entry that stands there already and says the same of the same day: a thing entered twice."""
    if page.first is None or entry.job in _MAY_REPEAT or entry.data.get("replaces"):
        return None
    fallen = corrections(page.first.cask.events).fallen if page.first.cask else {}
    new = {key: value for key, value in ordered_event({**entry.data, "id": "a0000000"}).items() if key not in _NOT_COMPARED}
    for one in (page.first.content or {}).get("events") or []:
        old = {key: value for key, value in one.items() if key not in _NOT_COMPARED}
        if old == new and one.get("id") not in fallen:
            return str(one["id"])
    return None


def house_rules(ledger: Ledger, page: Page, entries: Sequence[Entry]) -> list[Fault]:
    """What the fold does not judge: who did it, figures out of the usual range, and an entry made twice."""
    found = []
    for entry in entries:
        twin = _twin(page, entry)
        if twin:
            found.append(Fault("entered-twice", "warning", f"the same {entry.job} of {entry.day} stands there already ({twin})", (), "leave it out, unless it was done twice"))
        why = unknown_crew(ledger, entry.data.get("by"), entry.day)
        if why:
            found.append(Fault("unknown-crew", "warning", why, (), "correct --by, or add the person to `crew` in house.yaml"))
        limit = ledger.house.on(entry.day).test_limit_psi
        doubts = [doubt for doubt in entry.doubts if doubt[0] != "psi" or entry.data.get("psi", 0) <= limit]  # over the limit it is told already
        found += [Fault("implausible-value", "warning", f"`{key}` is {text}", (), "correct the figure, or its unit") for key, text in doubts]
    return list(dict.fromkeys(found))


def unknown_crew(ledger: Ledger, by: Any, day: date) -> str | None:
    """Why the house does not know who did it: not of the crew, gone or not yet there on the day, or a shop not listed."""
    settings = ledger.house.on(day)
    if by is None or not (settings.crew or settings.shops):
        return None
    if str(by).startswith("shop-"):
        return None if not settings.shops or str(by) in settings.shops or str(by)[5:] in settings.shops else f"{by} is no shop the house names"
    person = settings.person(str(by))
    if person is None:
        return f"{by} is not of the crew"
    if (person.from_ and day < person.from_) or (person.until and day > person.until):
        return f"{by} was not of the crew on {day}"
    return None
