"""What each figure of a plan of work means: its definition, what it leaves out, of how many it is, and the settings it rests on."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from caskbook.render.console import USUAL_WIDTH, safe
from caskbook.words.plural import number_of
from caskbook.work.figures import sum_of
from caskbook.work.hours import LEAST
from caskbook.work.plan import WorkPlan
from caskbook.work.weeks import WORKING_DAYS, Week
from caskbook.work.wood import RULE


def explained_text(plan: WorkPlan, narrowed: Sequence[str], *, width: int | None) -> str:
    """A paragraph for each figure, wrapped."""
    wide = min(width or USUAL_WIDTH, 90)
    return "\n".join(line for text in _paragraphs(plan, narrowed) for line in textwrap.wrap(safe(text), wide, subsequent_indent="  ", break_on_hyphens=False))


def _paragraphs(plan: WorkPlan, narrowed: Sequence[str]) -> list[str]:
    """Definition, filters, denominators and settings of each figure, in the order of the screen."""
    whole, left, first = sum_of(plan.jobs), sum_of(plan.not_fitting), plan.weeks[0]
    begins = f"on the Monday on or after {plan.day}" if plan.asked.begin is None else "with --from"
    return [
        f"casks: {plan.casks}, those that the due rules judge on {plan.day}" + (f", {', '.join(narrowed)}" if narrowed else ", all of the book") + ".",
        f"weeks: {len(plan.weeks)}, from Monday to Sunday; the first begins {begins}: {first.first} to {first.last}. "
        f"What is due before it, from {plan.day} on, is of week 1.",
        f"jobs: {whole.jobs} on {number_of(whole.casks, 'cask')}. Each due rule that is due or blocked on {plan.day}, or becomes so by {plan.weeks[-1].last} if nothing is "
        "entered, calls for its jobs on a cask; a job that two rules call for counts once. Work that the work of the plan brings, or makes needless, is not in it; only the test of a cask that planned work leaves untested is counted, apart.",
        "kinds: must is look, hold, nose and claim; test is retest with the repair it waits for; examine; re-char; gauge is regauge and loss; retire. "
        "From the tip is what those rules call for once a planned emptying is laid into the life of the cask, and did not before. "
        "The emptying itself has no hours here.",
        f"hours: {whole.hours:.1f} h of {whole.jobs - whole.unknown} jobs; {number_of(whole.unknown, 'job')} without hours count as none. A job's hours on one cask are job_hours of "
        f"house.yaml in force on the first day of the week it is put into (of what no week takes, the first in which it is due), of its type before the house's; else the median of work_minutes of the standing entries up to {plan.day} of the type, {LEAST} at least; "
        f"else that of all types, {LEAST} at least.",
        f"capacity: {_capacity(first)}, coopers × hours_a_week in force on the week's first day, unless --coopers and --hours-a-week say it for this run.",
        f"filling: by the order of the due list, each job into the first week with room for its hours, none before it is due; at the bench in the order "
        f"nose, examine, repair, char, test. A job longer than a week has one to itself. Too much is what no week took: {number_of(left.jobs, 'job')}, {left.hours:.1f} h.",
        f"left out: {number_of(len(plan.left_out), 'job')}: tests and re-chars of casks proposed for retirement, what is blocked, and gauges, and looks before the plan begins, that fall away with a tip. "
        f"{number_of(plan.unknown, 'verdict')} cannot be told.",
        "the way: stores in the order of house.yaml, berths as one walks, numbers as numbers; casks without a berth last.",
        f"wood: {RULE}. Counted once a place, of the casks whose repair is planned into a week.",
    ]  # fmt: skip


def _capacity(first: Week) -> str:
    """The hours of the first week and, where it has begun, how it has them."""
    if first.capacity is None:
        return "not set"
    whole = f"{first.coopers} × {first.hours_each:g} h"
    if not first.begun:
        return f"{whole} = {first.capacity:g} h in week 1"
    return (
        f"{whole} a week; week 1 has begun, and has {first.working_days} of {WORKING_DAYS} working days, {first.capacity:g} h (a fifth of the week for "
        "each of Monday to Friday from its first day on: common practice, no source)"
    )
