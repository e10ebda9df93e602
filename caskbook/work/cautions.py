"""Cautions for the work of a plan: each danger in it, with how many casks it is about and how large the largest is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from caskbook.entry.caution import REMINDER, caution_in_short, head_mm_by_size
from caskbook.gauging.pressure import thrust_n, tonnes_force
from caskbook.model.jobs import JOBS
from caskbook.words import CASK_TYPES
from caskbook.words.plural import number_of
from caskbook.work.plan import WorkPlan

_TIPPED = "empty"
_AIR = "air-test"


def caution(plan: WorkPlan, limit_psi: float, capacities: Callable[[], Mapping[str, float]]) -> str | None:
    """A line for each danger of the planned work and of the tips, as `caution_of` has it."""
    return caution_of([*((_TIPPED, cask, "") for cask in plan.tipped), *((job.job, job.cask, job.type) for job in plan.jobs)], limit_psi, capacities)


def caution_of(jobs: Iterable[tuple[str, str, str]], limit_psi: float, capacities: Callable[[], Mapping[str, float]]) -> str | None:
    """A line for each danger of these (job, cask, its type); None where there is none. `limit_psi`: the house's limit of a test;
    `capacities`: cask → litres it holds, asked where there is any danger."""
    casks: dict[str, dict[str, str]] = {}
    for word, cask, kind in jobs:
        danger = JOBS[word].caution
        if danger:
            casks.setdefault(danger, {})[cask] = kind
    if not casks:
        return None
    known = capacities()
    return "\n".join([*(_told(danger, found, known, limit_psi) for danger, found in casks.items()), REMINDER])


def _told(danger: str, casks: dict[str, str], known: Mapping[str, float], limit_psi: float) -> str:
    """ "Air test: nobody in line with a head (12 casks, to 500 L: …)." """
    usual = {kind: about.litres for kind, about in CASK_TYPES.items()}
    sizes = [size for cask, kind in casks.items() if (size := known.get(cask) or usual.get(kind))]
    many = number_of(len(casks), "cask")
    if not sizes:
        return f"{caution_in_short(danger).rstrip('.')} ({many})."
    largest = max(sizes)
    return f"{caution_in_short(danger).rstrip('.')} ({many}{', to' if len(casks) > 1 else ' of'} {largest:g} L{_thrust(largest, limit_psi) if danger == _AIR else ''})."


def _thrust(litres: float, psi: float) -> str:
    """What the house's limit would press on the head of such a cask with."""
    head = head_mm_by_size(litres)
    newtons = thrust_n(psi, head)
    return f"; the house's limit, {psi:g} psi, presses on a {head / 1000:.2f} m head with {newtons / 1000:.0f} kN, {tonnes_force(newtons):.1f} tonnes"
