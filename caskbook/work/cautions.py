"""Cautions for the work of a plan: each danger in it, with how many casks it is about and how large the largest is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date

from caskbook.core.days import add_days
from caskbook.entry.caution import REMINDER, caution_in_short, head_mm_by_size
from caskbook.gauging.pressure import thrust_n, tonnes_force
from caskbook.model.jobs import JOBS
from caskbook.words import CASK_TYPES
from caskbook.words.plural import number_of
from caskbook.work.plan import WorkPlan

_TIPPED = "empty"
_AIR = "air-test"


Limits = Sequence[tuple[date, float]]
"""The house's limit of a test, psi, and from which day on it is another."""


def caution(plan: WorkPlan, limit_on: Callable[[date], float], capacities: Callable[[], Mapping[str, float]]) -> str | None:
    """A line for each danger of the planned work and of the tips, as `caution_of` has it. `limit_on`: the house's limit of a test on a day, psi."""
    jobs = [*((_TIPPED, cask, "") for cask in plan.tipped), *((job.job, job.cask, job.type) for job in plan.jobs)]
    return caution_of(jobs, _limits(plan, limit_on), capacities)


def _limits(plan: WorkPlan, limit_on: Callable[[date], float]) -> Limits:
    """Those in force on the days of the weeks that have an air test; where one fits into none, of all weeks."""
    weeks = {job.week for job in plan.jobs if JOBS[job.job].caution == _AIR}
    found: list[tuple[date, float]] = []
    for week in plan.weeks:
        if None in weeks or not weeks or week.number in weeks:
            for day in (add_days(week.first, n) for n in range((week.last - week.first).days + 1)):
                psi = limit_on(day)
                if not found or found[-1][1] != psi:
                    found.append((day, psi))
    return found


def caution_of(jobs: Iterable[tuple[str, str, str]], limits: Limits, capacities: Callable[[], Mapping[str, float]]) -> str | None:
    """A line for each danger of these (job, cask, its type); None where there is none. `limits`: in order of their days;
    `capacities`: cask → litres it holds, asked where there is any danger."""
    casks: dict[str, dict[str, str]] = {}
    for word, cask, kind in jobs:
        danger = JOBS[word].caution
        if danger:
            casks.setdefault(danger, {})[cask] = kind
    if not casks:
        return None
    known = capacities()
    return "\n".join([*(_told(danger, found, known, limits) for danger, found in casks.items()), REMINDER])


def _told(danger: str, casks: dict[str, str], known: Mapping[str, float], limits: Limits) -> str:
    """ "Air test: nobody in line with a head (12 casks, to 500 L: …)." """
    usual = {kind: about.litres for kind, about in CASK_TYPES.items()}
    sizes = [size for cask, kind in casks.items() if (size := known.get(cask) or usual.get(kind))]
    many = number_of(len(casks), "cask")
    if not sizes:
        return f"{caution_in_short(danger).rstrip('.')} ({many})."
    largest = max(sizes)
    return f"{caution_in_short(danger).rstrip('.')} ({many}{', to' if len(casks) > 1 else ' of'} {largest:g} L{_thrust(largest, limits) if danger == _AIR else ''})."


def _thrust(litres: float, limits: Limits) -> str:
    """What the house's limit would press on the head of such a cask with; each of them, where it changes."""
    head = head_mm_by_size(litres)
    newtons = [thrust_n(psi, head) for _, psi in limits]
    named = " and ".join(f"{f'from {day} ' if n else ''}{psi:g} psi" for n, (day, psi) in enumerate(limits))
    pressed = ", and ".join(f"{one / 1000:.0f} kN, {tonnes_force(one):.1f} tonnes" for one in newtons)
    return f"; the house's limit, {named}, presses on a {head / 1000:.2f} m head with {pressed}"
