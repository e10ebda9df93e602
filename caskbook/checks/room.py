"""Whether the litres go in and come out: room for what is added, enough for what is taken, a word for what is missing."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from caskbook.checks.carried import Step, by_dip_or_weight, steps
from caskbook.checks.context import View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import plain
from caskbook.model.jobs.spirit import EMPTIED_WHY

# A year in wood may make room for this share: a cask filled to the bung and topped within the year is judged with so much spared.
_SPARED = 0.06
_RECENT_DAYS = 366
# Litres at two temperatures, and two measures, may differ by so much.
_ROUGH = 1.03
# Where less than this share of the alcohol came out of an emptied cask, somebody has to say why.
_LITTLE = 0.5


def no_room(view: View) -> Iterable[Fault]:
    """Litres added to a cask with liquor in it, or found in it, beyond what it holds; `over-capacity`, as for a fill.

    What is in it is carried from its last gauge; only where that is not older than a year, for an old one may well have made room.
    """
    room, held, gauged = view.head.capacity_l, None, None
    for event, row in view.work_rows():
        e: Any = event
        if event.job == "measure" and e.capacity_l is not None:
            room = e.capacity_l
        found = _found(view, event) if event.job == "regauge" else None
        if row is None:  # It stands in another file, which tells of it.
            held, gauged = _carried(e, held, gauged, found)
            continue
        if found is not None and room is not None and found > room * 1.01 and _judged(view, event, row):
            yield _over(event, row, f"{plain(round(found, 1))} L found in a cask of {plain(room)} L")
        if event.job in ("top", "rack-in") and held is not None and room is not None and gauged is not None and _judged(view, event, row):
            recent = (event.date - gauged).days <= _RECENT_DAYS
            if recent and held * (1 - _SPARED) + e.litres > room * 1.01:
                yield _over(event, row, f"{plain(e.litres)} L put to {plain(round(held, 1))} L in a cask of {plain(room)} L")
        if event.job == "rack-out" and e.left_l and event.source is None and not view.is_spoiled(row, "left_l", "to"):
            yield from _left(event, row, room, held)
        held, gauged = _carried(e, held, gauged, found)


def _found(view: View, event: Any) -> float | None:
    """Litres that a regauge found, be it by a dip or a weight; None where they are not known."""
    return event.litres if event.litres is not None else by_dip_or_weight(view, event)


def _left(event: Event, row: int, room: float | None, held: float | None) -> Iterable[Fault]:
    """What a racking leaves in the cask: no more than it has room for, and with what was racked no more than it held."""
    e: Any = event
    racked, remedy = sum(part.litres for part in e.to), "correct the litres racked, or those left"
    if room is not None and e.left_l > room * 1.01:
        yield fault(row, "over-capacity", f"{plain(e.left_l)} L left in a cask of {plain(room)} L", remedy, "left_l", of=event)
    elif held is not None and racked <= held * _ROUGH < racked + e.left_l:
        text = f"{plain(round(racked, 1))} L racked and {plain(e.left_l)} L left: it held {plain(round(held, 1))} L"
        yield fault(row, "drawn-more-than-held", text, remedy, "left_l", of=event)


def _over(event: Event, row: int, message: str) -> Fault:
    field = (
        "from"
        if event.job == "rack-in"
        else next((name for name in ("litres", "gross_kg", "wet_mm", "dry_mm") if getattr(event, name, None) is not None), "litres")
    )
    return fault(row, "over-capacity", message, "correct the litres, or measure the cask", field, of=event)


def _judged(view: View, event: Event, row: int) -> bool:
    return event.source is None and not view.is_spoiled(row, "litres", "from", "gross_kg", "wet_mm", "dry_mm")


def _carried(e: Any, held: float | None, gauged: Any, found: float | None) -> tuple[float | None, Any]:
    """(litres, day of the gauge they rest on) in the cask after the event; both are None where the litres are no longer known."""
    match e.job:
        case "fill" | "receive" | "season":
            return e.litres, e.date
        case "regauge":
            return (found, e.date) if found is not None else (None, None)
        case "empty":
            return None, None
        case "rack-out":
            return e.left_l or None, e.date
        case "rack-in":
            return (held or 0.0) + e.litres, e.date if held is None else gauged
        case "top":
            return (None if held is None else held + e.litres), gauged
        case "draw":
            return (None if held is None else max(0.0, held - e.litres)), gauged
    return held, gauged


def more_than_seasoned(view: View) -> Iterable[Fault]:
    """More litres out of a seasoned cask than went in; `drawn-more-than-held`, by litres, since a seasoning has no strength of its own."""
    held: float | None = None
    room = view.head.capacity_l
    for event, row in view.work_rows():
        e: Any = event
        taken = e.litres if event.job in ("draw", "empty") else sum(part.litres for part in e.to) if event.job == "rack-out" else None
        told = event.job == "empty" and room is not None and taken is not None and taken > room * _ROUGH  # As more than it has room for.
        more = held is not None and taken is not None and taken > held * _ROUGH
        if row is not None and more and not told and _judged(view, event, row) and not view.is_spoiled(row, "to"):
            text = f"{plain(round(taken or 0, 1))} L taken: it held {plain(round(held or 0, 1))} L"
            field = "to" if event.job == "rack-out" else "litres"
            yield fault(row, "drawn-more-than-held", text, "correct the litres, or enter what was added", field, of=event)
        if event.job == "season" or held is not None:
            found = _found(view, event) if event.job == "regauge" else None
            held = None if event.job in ("fill", "receive") else _carried(e, held, None, found)[0]


def not_there(view: View) -> Iterable[Fault]:
    """drawn-more-than-held: more alcohol drawn or racked out than was in it; out of a seasoned cask, more litres.

    Why: the litres, the cask or the day are wrong, and the cask would hold less than nothing.
    Wrong:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 180, abv: 63.5,
           at_20: true}
        - {id: e1000002, date: 2020-06-03, job: draw, by: ab, litres: 500, abv: 63, at_20: true}
    Right:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 180, abv: 63.5,
           at_20: true}
        - {id: e1000002, date: 2020-06-03, job: draw, by: ab, litres: 50, abv: 63, at_20: true}
    """
    for step in steps(view):
        if step.taken is not None and step.lpa is not None and step.event.source is None and step.taken > step.lpa * (1 + step.slack / 100) + 0.1:
            field = "litres" if step.event.job == "draw" else "to"
            text = f"{step.taken:.1f} L of alcohol taken: it held {step.lpa:.1f} L"
            yield fault(step.row, "drawn-more-than-held", text, "correct the litres or the strength, or enter what was added", field, of=step.event)


def not_accounted(view: View) -> Iterable[Fault]:
    """emptied-unaccounted: less than half of the alcohol came out, and no word of why.

    Why: what leaked, burst or was lost wants its reason on the day, or nobody will know it later.
    Wrong:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
           at_20: true}
        - {id: e1000002, date: 2022-01-03, job: empty, by: ab, litres: 0}
    Right:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
           at_20: true}
        - {id: e1000002, date: 2022-01-03, job: empty, by: ab, litres: 0, why: leaked-out}
    """
    for step in steps(view):
        if step.event.job == "empty" and step.lpa is not None and step.event.source is None and _says_nothing(step):
            out = step.measured or 0.0
            if out < step.lpa * _LITTLE and (step.measured is not None or step.event.litres == 0):  # type: ignore[attr-defined]
                text = f"{out:.1f} L of alcohol came out: it held {step.lpa:.1f} L, and no `why`"
                yield fault(step.row, "emptied-unaccounted", text, "void it and enter it with why: leaked-out, burst or lost", "litres", of=step.event)


def _says_nothing(step: Step) -> bool:
    """Whether nothing tells where the rest went: what was drawn came out, and the reason of putting an entry right is none of the loss."""
    return step.event.why not in EMPTIED_WHY or step.event.why == "drawn"


RULES = (
    Rule(no_room, {"over-capacity": "warning", "drawn-more-than-held": "warning"}, on=("top", "rack-in", "rack-out", "regauge")),
    Rule(more_than_seasoned, {"drawn-more-than-held": "warning"}, on=("season",)),
    Rule(not_there, {"drawn-more-than-held": "warning"}, on=("draw", "rack-out")),
    Rule(not_accounted, {"emptied-unaccounted": "warning"}, on=("empty",)),
)
