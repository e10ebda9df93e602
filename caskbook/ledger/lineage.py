"""What a cask takes over from others: the figures a child inherits, and how a cask stood just before an event."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from caskbook.core.days import When
from caskbook.core.finding import CaskbookError
from caskbook.life import Life, corrections, live
from caskbook.life.facts import Facts, facts_of
from caskbook.life.past import WOOD_MARKS
from caskbook.model.cask import Cask
from caskbook.model.house import House
from caskbook.model.standing import CORRECTORS

COUNTS = ("fills_life", "fills_of_class", "fills_since_char", "fills_since_fire", "char_count", "rechar_count")


def life_before(cask: Cask, house: House, day: date, event_id: str, joined: Sequence[Cask] = (), *, without: str | None = None) -> Life:
    """The cask as it stood just before the event of that day and id, by what is now known of its history, that of the files `joined` to it included.

    `without`: the id of an event that shall not count, as one that is to be replaced.
    """
    return live(_before(cask, day, event_id, without), house, day, [_before(other, day, event_id, without) for other in joined])


def _before(cask: Cask, day: date, event_id: str, without: str | None) -> Cask:
    fallen = corrections(cask.events).fallen
    pairs = [
        (event, row)
        for event, row in zip(cask.events, cask.rows, strict=True)
        if event.id not in fallen and event.id != without and event.job not in CORRECTORS and (event.date, event.id) < (day, event_id)
    ]
    return replace(cask, events=tuple(event for event, _ in pairs), rows=tuple(row for _, row in pairs))


def refuse_in_part(lives: Sequence[Life]) -> None:
    """CaskbookError for a parent of whose files something cannot be read: what its children inherit would be a guess, and written for good."""
    for life in lives:
        if life.in_part:
            number = life.cask.id
            raise CaskbookError(f"{number} cannot be read whole ({', '.join(life.unread)}), so what is inherited of it is not known: caskbook check {number}")


def inherited_from(parents: Sequence[Life], unnumbered: bool) -> dict[str, Any]:
    """The figures a child of these parents inherits, as `inherited` of made-from writes them; None is unknown.

    Counts are the highest parent's, last_char and last_fire the earliest; None where any parent's is unknown, or where a
    parent has no number. `tainted`, `sulphured` and `tainted_wood` stand there only where a parent is so.
    """
    facts = [facts_of(life) for life in parents]
    figures: dict[str, Any] = {name: _highest([getattr(one, name) for one in facts], unnumbered) for name in COUNTS}
    figures["fills_life_min"] = max((one.fills_life_min or 0 for one in facts), default=0)
    figures["last_char"] = _earliest([_last_char(life, one) for life, one in zip(parents, facts, strict=True)], unnumbered)
    figures["last_fire"] = _earliest([_last_fire(life) for life in parents], unnumbered)
    figures["held"] = _held([held_by(life) for life in parents], unnumbered)
    for mark in WOOD_MARKS:
        bore = [{"cask": life.cask.id, "since": set_.since, "why": set_.why} for life in parents if (set_ := life.state.marks.get(mark))]
        figures.update({mark: bore} if bore else {})
    wood = [{"cask": life.cask.id, "since": day, "why": part} for life in parents for day, part in life.state.tainted_parts]
    return figures | ({"tainted_wood": wood} if wood else {})


def held_by(life: Life) -> str:
    """wine, spirit, none or unknown: the strongest that the cask ever held, here or before. Where wine may have been, it is unknown."""
    if life.state.wine_held is not False:
        return "wine" if life.state.wine_held else "unknown"
    return "spirit" if life.state.held_liquor else life.state.past.held


def _held(words: Iterable[str], unnumbered: bool) -> str:
    found = {*words} | ({"unknown"} if unnumbered else set())
    return next((word for word in ("wine", "unknown", "spirit") if word in found), "none")


def _highest(counts: list[int | None], unnumbered: bool) -> int | None:
    known = [count for count in counts if count is not None]
    return max(known, default=None) if len(known) == len(counts) and not unnumbered else None


_NEVER = When(date.max, date.max, False, "")


def _last_char(life: Life, facts: Facts) -> When | None:
    if facts.never_charred:
        return _NEVER
    own = life.state.last_char
    return When(own, own, False, own.isoformat()) if own else life.state.past.last_char


def _last_fire(life: Life) -> When | None:
    own = life.state.last_fire
    if own is None and life.state.past.last_fire is None and life.state.past.never_charred:
        return _NEVER
    return When(own, own, False, own.isoformat()) if own else life.state.past.last_fire


def _earliest(days: list[When | None], unnumbered: bool) -> date | int | str | None:
    if unnumbered or None in days or not days:
        return None
    first = min((day for day in days if day is not None), key=lambda day: day.day if day is not _NEVER else date.max)
    if first is _NEVER:
        return None
    if not first.approximate:
        return first.first
    return int(first.text) if first.text.isdigit() else first.text
