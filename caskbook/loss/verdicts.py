"""Leak or evaporation: a fill's loss, whole and interval by interval, held against what its peers lose."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from caskbook.life import Life
from caskbook.loss.figures import FillFigure
from caskbook.loss.fill_summary import FillSummary, Stretch, summaries_of, summary_of
from caskbook.loss.fills import FillLoss
from caskbook.loss.intervals import COVERAGE
from caskbook.loss.peers import Expected, PeerTable, is_temperate
from caskbook.model.house import LossRule, Settings

Level = Literal["act", "watch", "usual", "doubtful", "unknown"]
"""act and watch: too much. doubtful: the gauges contradict each other. unknown: not gauged, or nothing to compare with."""
LARGE_LITRES = 200.0
SEASON_SHARE = 0.5
"""How far the yearly rate of part of a year may lie from that of the year, as a share of it: casks lose more in the warm months."""


@dataclass(frozen=True, slots=True)
class Excess:
    """One stretch that loses too much. `times`: of what is expected. `sigmas`: standard deviations above it. `limit`: which was passed."""

    level: Literal["act", "watch"]
    stretch: Stretch
    times: float
    sigmas: float
    limit: str


@dataclass(frozen=True, slots=True)
class LossVerdict:
    """What is to be thought of a fill. `worst`: the stretch it is judged by, None where nothing is too much; `since`: the day of the
    gauge that first showed it."""

    level: Level
    summary: FillSummary
    expected: Expected | None
    worst: Excess | None = None
    since: date | None = None


def judge_fill(life: Life, loss: FillLoss, peers: PeerTable) -> LossVerdict:
    """The verdict on one fill of a life: watch and act limits of the house's due.loss settings."""
    return judge_summary(summary_of(life, loss), peers, life.state.settings)


def judge_summary(summary: FillSummary, peers: PeerTable, settings: Settings) -> LossVerdict:
    """The verdict on a fill by its summary."""
    expected = peers.expected(summary.figure, settings)
    if summary.doubtful is not None:
        return LossVerdict("doubtful", summary, expected)
    if not summary.stretches or summary.stretches[0].steady is None or expected is None:
        return LossVerdict("unknown", summary, expected)
    found = [excess for one in summary.stretches if (excess := excess_in(one, expected, summary.figure, settings))]
    for level in ("act", "watch"):
        at_level = [excess for excess in found if excess.level == level]
        if at_level:
            worst = max(at_level, key=lambda excess: excess.sigmas)  # Of two alike the whole is taken, which comes first.
            return LossVerdict(level, summary, expected, worst, min(excess.stretch.last for excess in at_level))
    return LossVerdict("usual", summary, expected)


def excess_in(one: Stretch, expected: Expected, figure: FillFigure, settings: Settings) -> Excess | None:
    """Whether a stretch loses too much: by more than its measuring error (two standard deviations) in any case, and then by
    standard deviations of spread and measuring error together, by times, or by what is too much by itself."""
    if one.steady is None:
        return None
    rule = settings.due.loss
    above = one.steady - expected.rate
    if above <= COVERAGE * one.sigma:
        return None
    season = SEASON_SHARE * expected.rate * max(0.0, 1.0 - one.years)
    sigma = math.hypot(expected.spread, one.sigma, season)
    sigmas = above / sigma if sigma > 0 else math.inf
    times = one.steady / expected.rate if expected.rate > 0 else math.inf
    return _level(one, times, sigmas, rule, figure, settings)


def _level(one: Stretch, times: float, sigmas: float, rule: LossRule, figure: FillFigure, settings: Settings) -> Excess | None:
    """The limit that a loss exceeds, act before watch; None where it is usual. `times` is of the peers' middle, `sigmas` are standard deviations."""
    large = figure.litres >= LARGE_LITRES and is_temperate(figure.store, settings)
    if times > rule.act_times:
        return Excess("act", one, times, sigmas, f"house acts above {rule.act_times:g} times")
    if sigmas > rule.act_sigma:
        return Excess("act", one, times, sigmas, f"house acts above {rule.act_sigma:g} standard deviations")
    if large and (one.steady or 0.0) * 100 > rule.act_percent:
        return Excess("act", one, times, sigmas, f"house acts above {rule.act_percent:g} % a year for {LARGE_LITRES:g} L or more in a temperate store")
    if times > rule.watch_times:
        return Excess("watch", one, times, sigmas, f"house watches above {rule.watch_times:g} times")
    if sigmas > rule.watch_sigma:
        return Excess("watch", one, times, sigmas, f"house watches above {rule.watch_sigma:g} standard deviations")
    return None


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
