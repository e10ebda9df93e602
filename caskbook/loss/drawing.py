"""What a picture of a fill shows: its gauges, what a sound cask would hold by each of them, and where the loss begins. Shares of the first gauge's alcohol."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from caskbook.core.days import years_between
from caskbook.life import Life
from caskbook.loss.evidence import fill_name
from caskbook.loss.fill_summary import FillSummary, summary_of
from caskbook.loss.fills import fill_losses
from caskbook.loss.model import Sound
from caskbook.loss.peers import PeerTable
from caskbook.loss.verdicts import judge_summary, least_limit, sound_of
from caskbook.model.house import Settings


@dataclass(frozen=True, slots=True)
class Mark:
    """One gauge: its day, years after the first, the share kept, and the least and most a sound cask would hold by then, errors of this gauge included."""

    day: date
    years: float
    kept: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Drawing:
    """A fill to be drawn. `begins`: places of the gauges between which the loss begins, None where none stands out. `score`: standard deviations that the
    band reaches to each side, which is where the house acts."""

    marks: tuple[Mark, ...]
    begins: tuple[int, int] | None
    score: float


def drawings_of(life: Life, peers: PeerTable) -> list[tuple[str, Drawing]]:
    """(what the fill is called, its picture) of each fill that can be drawn, oldest first."""
    settings = life.state.settings
    pairs = [(fill_name(loss), drawing_of(summary_of(life, loss), peers, settings)) for loss in fill_losses(life)]
    return [(name, drawing) for name, drawing in pairs if drawing is not None]


def drawing_of(summary: FillSummary, peers: PeerTable, settings: Settings) -> Drawing | None:
    """The picture of a fill; None with fewer than two gauges, or where nobody can say what a sound cask would have lost."""
    verdict = judge_summary(summary, peers, settings)
    sound = sound_of(summary, verdict.expected, peers, settings)
    if sound is None:
        return None
    limit = verdict.limit or least_limit(sound)
    places = [point.day for point in summary.points]
    begins = None if verdict.leak is None else (places.index(verdict.leak.onset[0]), places.index(verdict.leak.onset[1]))
    marks = [Mark(summary.points[0].day, 0.0, 1.0, 1.0, 1.0), *_marks(summary, sound, limit, begins[0] if begins else 0)]
    return Drawing(tuple(marks), begins, limit)


def _marks(summary: FillSummary, sound: Sound, limit: float, begins: int) -> list[Mark]:
    """The marks of all gauges after the first. From the gauge on after which a loss begins, a sound cask is one that went on as this one had until then."""
    first, found = summary.points[0].day, []
    for place, point in enumerate(summary.points[1:]):
        mean, spread = sound.band(place, begins) if place + 1 > begins else sound.band(place)
        if place + 1 == begins:
            mean, spread = point.fallen, point.error
        least, most = math.exp(-mean - limit * spread), math.exp(-mean + limit * spread)
        found.append(Mark(point.day, years_between(first, point.day), math.exp(-point.fallen), least, min(1.0, most)))
    return found
