"""caskbook's facts beside those of the second fold."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from caskbook.due import judge
from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.cask import Cask, read_cask
from caskbook.model.house import House
from second.dues import dues
from second.facts import facts
from second.fold import folded, later

WORD = {"due": "now", "blocked": "now", "at-emptying": "later"}
CREW = {"crew": [{"initials": "ab"}], "shops": ["rivet"]}


def read(data: dict[str, Any]) -> Cask:
    cask, faults = read_cask(data)
    assert cask is not None and not faults, faults
    return cask


def plain(value: Any) -> Any:
    """Dates as text, tuples as lists, mappings as dicts: so that both sides compare."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    return [plain(inner) for inner in value] if isinstance(value, list | tuple) else value


def differences(data: dict[str, Any], house: dict[str, Any], day: date, joined: list[dict[str, Any]] | None = None) -> dict[str, tuple[Any, Any]]:
    """Name of each fact that differs: (what the second fold tells, what caskbook tells)."""
    life = live(read(data), House({**house, **CREW}), day, tuple(read(other) for other in joined or []))
    theirs = facts_of(life)
    fold = folded(data, house, day, joined)
    mine = facts(fold, day)
    if mine["state"] == "gone":
        del mine["test_needed"]  # nothing is needed of it any more; the contract says nothing
    pairs = {name: (plain(value), plain(getattr(theirs, name))) for name, value in mine.items()}
    if life.begun:
        spoken = {v.rule: WORD.get(v.verdict, "no") for v in judge(life, theirs) if not v.decided}
        pairs |= {f"due {rule}": (word, spoken[rule]) for rule, word in dues(fold, day).items() if rule in spoken}
    pairs = {name: (mine, sorted(theirs) if name == "marks" and theirs else theirs) for name, (mine, theirs) in pairs.items()}
    return {name: pair for name, pair in pairs.items() if pair[0] != pair[1]}


def days_of(data: dict[str, Any], last: date) -> list[date]:
    """The days worth asking: of each event and around each limit counted from one."""
    days = {date.fromisoformat(e["date"]) for e in data["events"]}
    far = {day + timedelta(days=n) for day in days for n in (0, 0, 1, 6, 7, 10, 11, 13, 14, 20, 21, 30, 31, 60, 61, 90)}
    far |= {later(day, n) for day in days for n in (1, 3, 5, 15)}
    return sorted(day for day in far if day <= last) + [last]
