"""What the retirement sheet of one cask rests on: its signs and what is not known of them, and what it would take to have it ready, if it is kept."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from caskbook.due import judge, rule_named
from caskbook.due.case import Case, case_of
from caskbook.due.retire import signs_of
from caskbook.due.spent_worn import mended_in_visits
from caskbook.due.verdict import Verdict
from caskbook.life import Life
from caskbook.life.facts import Facts, facts_of
from caskbook.loss import PeerTable, losses_of
from caskbook.loss.words import reasons_of
from caskbook.model.jobs.base import plain
from caskbook.words.repairs import Part
from caskbook.work.coming import Files, laid_in, tipped
from caskbook.work.hours import Hours
from caskbook.work.readiness import Way, way_of
from caskbook.work.ready import hours_of
from caskbook.work.wood import parts_wanted

RULE = "retire"


@dataclass(frozen=True, slots=True)
class SeenSign:
    """A sign, the day it showed, and whether it is enough alone."""

    day: date
    text: str
    hard: bool


@dataclass(frozen=True, slots=True)
class Retirement:
    """One cask. `verdict`: of the rule, None where it is not asked (away, missing or gone); `needed`: from how many signs the house proposes; `unknown`: what may be
    a sign more and is not known; `not_seen`: what nobody looked at, so that it is no sign; `mended`: place → the days of the visits in which it was mended; `way`: the jobs by which it would be
    ready if it is kept, None where it cannot be asked; `hours`: of each step; `parts`: the wood that open findings ask for; `tip`: it has to be emptied before all that."""

    life: Life
    facts: Facts
    verdict: Verdict | None
    signs: tuple[SeenSign, ...]
    needed: int
    unknown: tuple[str, ...]
    not_seen: tuple[str, ...]
    mended: dict[str, list[date]]
    way: Way | None
    hours: tuple[float | None, ...]
    parts: Counter[Part]
    tip: bool

    @property
    def over(self) -> str | None:
        """Why nothing is decided about it any more, or here: "retired", "gone", "away", "missing"; None where it is the house's to decide."""
        if "retired" in self.life.state.marks and self.facts.state != "gone":
            return "retired"
        return self.facts.state if self.facts.state in ("gone", "away", "missing") else None


def retirement_of(files: Files, day: date, peers: PeerTable, hours: Hours) -> Retirement:
    """What is known of the cask on the day. `peers`: what every fill of the book loses; `hours`: of a job on a type of cask."""
    life = files.life(day)
    facts, losses = facts_of(life), losses_of(life, peers)
    running = losses.running() if len(life.state.fillings) >= life.state.settings.due.retire.loss_fills else 0
    case = case_of(life, facts, running, losses)
    rule = rule_named(RULE)
    found = judge(life, facts, (rule,), excess_losses=running) if rule is not None else []
    off, signs = case.rules.retire.off, signs_of(case)
    seen = () if off else tuple(SeenSign(on, text, hard) for hard, rows in ((True, signs.hard), (False, signs.points)) for on, text in rows)
    way = None if found == [] or "retired" in life.state.marks else way_if_kept(files, day, life, running)
    times = () if way is None else tuple(hours_of(step, life.cask.head.type, hours) for step in way.steps)
    unread = [f"cannot be read: {', '.join(life.unread)}"] if life.unread else []
    return Retirement(
        life, facts, found[0] if found else None, seen, case.rules.retire.points, (*unread, *(() if off else signs.unknown)), tuple(_not_seen(case)), mended_in_visits(case), way, times,
        parts_wanted(life.state.defects), life.state.filled,
    )  # fmt: skip


def way_if_kept(files: Files, day: date, life: Life, excess_losses: int) -> Way:
    """The cheapest way of jobs to ready, a decision to keep it and, of a filled one, its emptying laid in before: both are planned, and nothing is written."""
    before: Files | str = tipped(files, day) if life.state.filled else files
    if not isinstance(before, str):
        keep = {"job": "decide", "rule": RULE, "outcome": "keep", "until": day, "why": "planned", "approved_by": "planned"}
        before = laid_in(before, day, keep)
    return Way("no way known", why=before) if isinstance(before, str) else way_of(before, before.life(day), excess_losses)


def _not_seen(case: Case) -> Iterator[str]:
    """What nobody measured or can judge, and why it is no sign."""
    st, floor = case.st, case.settings.stave_floor_mm
    if st.stave_mm is None:
        yield "its staves were never measured here" + ("" if floor is None else f": nobody knows whether they are near the floor of {plain(floor)} mm")
    elif floor is None:
        yield f"the house has no floor for the staves of a {case.life.cask.head.type} (stave_floor_mm): {plain(st.stave_mm)} mm says nothing"
    if st.soaked is None:
        yield "no examination said how deep the liquor has soaked in"
    last = case.losses.latest() if case.losses is not None else None
    if last is not None and last.level in ("unknown", "doubtful"):
        yield f"whether its last fill lost too much: {reasons_of(last)[-1]}"
