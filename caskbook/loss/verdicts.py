"""Leak or evaporation: the course of a fill over all its gauges, held against what its peers lose."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from typing import Literal

from caskbook.life import Life
from caskbook.loss.bare import bare_excess
from caskbook.loss.chances import limit_of
from caskbook.loss.doubt import Doubt, likelier_misread
from caskbook.loss.expected import Expected
from caskbook.loss.fill_summary import FillSummary, summaries_of, summary_of
from caskbook.loss.fills import FillLoss
from caskbook.loss.leak import Leak, leak_of
from caskbook.loss.model import Deficit, Sound
from caskbook.loss.peers import PeerTable
from caskbook.model.house import Settings

Level = Literal["act", "watch", "usual", "doubtful", "unknown"]
"""act and watch: too much. doubtful: a gauge is likelier misread than true. unknown: not gauged, or nothing to compare with."""
WATCHED = 4.0
"""The house watches so many times as many sound casks as it acts on."""


@dataclass(frozen=True, slots=True)
class LossVerdict:
    """What is to be thought of a fill. `leak`: what is gone beyond what a sound cask would have lost, None where nothing stands out; `since`: the day of
    the gauge that first showed it. `score`, `limit`: how far it stands out, and above what the house acts. `doubt`: the gauge that is likelier misread.
    `bare`: why it is too much whatever the peers lose, where there are too few.
    """

    level: Level
    summary: FillSummary
    expected: Expected | None
    leak: Leak | None = None
    since: date | None = None
    score: float = 0.0
    limit: float = 0.0
    doubt: Doubt | None = None
    bare: str | None = None


def judge_fill(life: Life, loss: FillLoss, peers: PeerTable) -> LossVerdict:
    """The verdict on one fill of a life, at the false alarms that the house's due.loss settings allow."""
    return judge_summary(summary_of(life, loss), peers, life.state.settings)


def judge_summary(summary: FillSummary, peers: PeerTable, settings: Settings) -> LossVerdict:
    """The verdict on a fill by its summary."""
    expected = peers.expected(summary.figure, settings)
    if summary.doubtful is not None:
        return LossVerdict("doubtful", summary, expected)
    if len(summary.points) < 2 or all(point.walk >= 1.0 for point in summary.points[1:]):
        return LossVerdict("unknown", summary, expected)
    if expected is None or expected.usual and not expected.count:
        bare = bare_excess(summary, settings)
        return LossVerdict("unknown" if bare is None else "act", summary, expected, since=summary.points[-1].day if bare else None, bare=bare)
    found = _judged(summary, expected, peers, settings)
    if found.level in ("usual", "watch") and expected.few and (bare := bare_excess(summary, settings, expected.table)):
        # A few that all leak are like each other: what is too much by itself is so beside them too.
        return replace(found, level="act", since=summary.points[-1].day, bare=bare)
    return found


def _judged(summary: FillSummary, expected: Expected, peers: PeerTable, settings: Settings) -> LossVerdict:
    """The verdict on a fill that there is something to compare with."""
    sound = _sound(summary, expected, peers, settings)
    allowed, lowest = sound.allowed, least_limit(sound)
    usual = LossVerdict("usual", summary, expected, limit=lowest)
    if sound.fit() <= least_limit(sound, WATCHED) ** 2:
        return usual
    worst = sound.worst()
    act = worst.limit(allowed)
    if worst.score <= worst.limit(WATCHED * allowed):
        return usual
    found = sound.likeliest(allowed if worst.score > act else WATCHED * allowed)
    leak = leak_of(sound, found)
    doubt = likelier_misread(sound, found, expected)
    if doubt is not None:
        return LossVerdict("doubtful", summary, expected, leak, None, worst.score, act, doubt)
    if worst.score <= act:
        return LossVerdict("watch", summary, expected, leak, None, worst.score, act)
    return LossVerdict("act", summary, expected, leak, _first_shown(summary, sound, found), worst.score, act)


def _sound(summary: FillSummary, expected: Expected, peers: PeerTable, settings: Settings) -> Sound:
    @cache
    def in_store(store: str | None) -> Expected:
        return expected if store == summary.figure.store else peers.in_store(store, summary.figure, settings) or expected

    return Sound(summary.points, in_store, summary.in_drink, settings.due.loss.false_alarms_per_1000_casks_a_year)


def sound_of(summary: FillSummary, expected: Expected | None, peers: PeerTable, settings: Settings) -> Sound | None:
    """What a sound cask would have lost by the gauges of this fill; None with fewer than two of them, or where nobody can say."""
    if expected is None or len(summary.points) < 2 or any(point.walk >= 1.0 for point in summary.points[1:]):
        return None
    return _sound(summary, expected, peers, settings)


def least_limit(sound: Sound, times: float = 1.0) -> float:
    """A score that no limit of the fill lies below, where so many times as many false alarms are allowed."""
    return limit_of(times * sound.allowed, sound.years[-1], len(sound.years), 1.0, from_first=True)


def _first_shown(summary: FillSummary, sound: Sound, worst: Deficit) -> date:
    """The day of the gauge by which the fill would first have been acted on."""
    last = len(summary.points) - 1
    for gauges in range(worst.begun + 1, last):
        found = sound.worst(gauges)
        if found.score > found.limit(sound.allowed):
            return summary.points[gauges].day
    return summary.points[last].day


class Losses:
    """The fills of one cask held against their peers, the latest first, each judged once and only when asked for."""

    __slots__ = ("_summaries", "_judged", "peers", "settings")

    def __init__(self, summaries: Iterable[FillSummary], peers: PeerTable, settings: Settings) -> None:
        self._summaries, self.peers, self.settings = iter(summaries), peers, settings
        self._judged: list[LossVerdict] = []

    def latest(self, back: int = 0) -> LossVerdict | None:
        """The verdict on the present or last fill, or on the one so many before it; None where there was none."""
        while len(self._judged) <= back:
            summary = next(self._summaries, None)
            if summary is None:
                return None
            self._judged.append(judge_summary(summary, self.peers, self.settings))
        return self._judged[back]

    def misread(self) -> list[tuple[int, FillSummary]]:
        """(how many fills before the latest, its summary) of each fill of which a gauge is likelier misread than true."""
        return [(back, one.summary) for back, one in enumerate(self.every()) if one.doubt is not None]

    def every(self) -> list[LossVerdict]:
        """The verdicts on all fills, the latest first."""
        while self.latest(len(self._judged)) is not None:
            pass
        return self._judged

    def running(self) -> int:
        """How many fills running, the latest ones, lost too much (act). A fill not gauged yet is passed over while it lasts."""
        count = back = 0
        while (verdict := self.latest(back)) is not None:
            if verdict.level == "act":
                count += 1
            elif verdict.summary.ended or verdict.level in ("usual", "watch"):
                break
            back += 1
        return count


def losses_of(life: Life, peers: PeerTable) -> Losses:
    """The fills of a life, held against these peers."""
    return Losses(summaries_of(life), peers, life.state.settings)


def excess_running(life: Life, peers: PeerTable) -> int:
    """How many fills running, the latest ones, lost too much."""
    return losses_of(life, peers).running()
