"""What a cask holds from event to event: litres of pure alcohol as far as they are known, and how old the spirit is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from caskbook.checks.context import HEAD, View
from caskbook.gauging.volume20 import volume_factor
from caskbook.life.carried import oak_since_of
from caskbook.loss.gauges import amount_of
from caskbook.loss.records import vessel_at
from caskbook.model.jobs import Event
from caskbook.model.jobs.spirit.gauged import has_two_volumes, ways_measured
from caskbook.words.job_table import jobs_with

GAUGED = frozenset(jobs_with("carries-alcohol"))
_GAUGES_HELD = jobs_with("gauges-held")
_FIGURES = frozenset({"litres", "abv", "temp_c", "to", "from", "wet_mm", "dry_mm", "gross_kg"})
# Two careful measures of one liquor agree within a percent; without a temperature, 20 °C more or less is two percent.
_CAREFUL = 1.0
_UNCORRECTED = 2.0


@dataclass(slots=True)
class Step:
    """An event with liquor and what was in the cask before it: `lpa` and `oak_since` None where unknown.

    `measured` is the alcohol that a regauge or an emptying found; `slack` how far it may lie above, in percent. `taken` is
    the alcohol that a draw or a racking took out.
    """

    event: Event
    row: int
    lpa: float | None
    oak_since: date | None
    measured: float | None = None
    slack: float = 0.0
    filled: bool = False
    taken: float | None = None


def steps(view: View) -> list[Step]:
    """The gauged events of the cask in order, each with what it held before; worked out once for all rules that ask."""
    if view.carried is None:
        view.carried = list(_steps(view))
    return view.carried  # type: ignore[no-any-return]


def _steps(view: View) -> Iterator[Step]:
    """Each gauged event of the file with the litres of pure alcohol and the age that the cask held before it, None where they are not known.
    What the files joined to it tell counts, and is judged with them."""
    lpa: float | None = None
    since: date | None = None
    rough = 0.0
    filled = False
    for event, row in view.work_rows():
        e: Any = event
        if event.job in GAUGED:
            here, loose = _lpa_of(view, e, row)
            step = Step(event, HEAD if row is None else row, lpa, since, filled=filled)
            if event.job in _GAUGES_HELD:
                step.measured, step.slack = here, rough + loose
            elif event.job in ("draw", "rack-out"):
                step.taken, step.slack = here, rough + loose
            if row is not None:
                yield step
            rough = loose if event.job in ("fill", "regauge") else max(rough, loose)
            lpa, since, filled = _after(e, here, lpa, since, filled)
        elif event.job == "receive" and e.full:
            lpa, rough = _lpa_of(view, e, row)
            since, filled = oak_since_of(e), True
        elif event.job in ("season", "dispose", "convert"):
            lpa, since, filled = None, None, event.job == "season"


def _after(e: Any, here: float | None, lpa: float | None, since: date | None, filled: bool) -> tuple[float | None, date | None, bool]:
    """What the cask holds after a gauged event: (litres of pure alcohol, day the spirit went into oak, whether it is filled)."""
    match e.job:
        case "fill":
            return here, e.date if e.oak_since is None else oak_since_of(e), True
        case "regauge":
            return here, since, filled
        case "empty":
            return None, None, False
        case "rack-out":
            return (None, None, False) if e.empties else (_sum(lpa, here, -1), since, filled)
        case "draw":
            return _sum(lpa, here, -1), since, filled
    came = oak_since_of(e)
    if not filled:
        return here, came, True
    return _sum(lpa, here, 1), max(since, came) if since and came else None, True


def _sum(one: float | None, other: float | None, sign: int) -> float | None:
    return None if one is None or other is None else max(0.0, one + sign * other)


@cache
def _to_20(abv: int, temp_c: int) -> float:
    """What litres at a temperature are multiplied by to give litres at 20 °C; to a whole degree and percent: within 0.1 %."""
    return volume_factor(float(abv), float(temp_c), 20.0)


def by_dip_or_weight(view: View, e: Any) -> float | None:
    """Litres at 20 °C that a dip or a weight comes to, as the loss account has it; None where that is not known, or nobody wrote how the cask lies."""
    vessel = vessel_at(view.life, e.id)
    if e.gross_kg is None and vessel.stow is None:
        return None
    return amount_of(e, e.abv, vessel).litres_20


def _lpa_of(view: View, e: Any, row: int | None) -> tuple[float | None, float]:
    """Litres of pure alcohol that an event tells of, and by how many percent they may be out."""
    slack = _CAREFUL if e.temp_c is not None or e.at_20 else _CAREFUL + _UNCORRECTED
    slack += view.on(e.date).measuring_error.get(getattr(e, "method", None) or "meter", 0.0)
    if (e.lost & _FIGURES if row is None else view.is_spoiled(row, *_FIGURES)) or has_two_volumes(e) or len(ways_measured(e)) > 1:
        return None, slack
    shares = getattr(e, "shares", None)
    if shares is not None:
        if any(share.abv is None for share in shares):
            return None, slack
        return sum(share.litres * share.abv / 100 for share in shares), slack
    if e.litres is None and e.job == "regauge":
        litres = by_dip_or_weight(view, e)
        return (None if litres is None or e.abv is None else litres * e.abv / 100), slack
    if e.litres is None or (e.abv is None and e.litres > 0):
        return None, slack
    litres = e.litres
    if e.temp_c is not None and e.abv is not None:
        try:
            litres *= _to_20(round(e.abv), round(e.temp_c))
        except ValueError:
            return None, slack
    return litres * (e.abv or 0.0) / 100, slack
