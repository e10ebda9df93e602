"""The way along the casks of a week: by store in the house's order, along the berths as one walks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from caskbook.entry.berths import walking_order
from caskbook.work.job import Job


@dataclass(frozen=True, slots=True)
class Stop:
    """One cask on the way, and the jobs on it in the order of the bench."""

    store: str | None
    berth: str | None
    cask: str
    type: str
    jobs: tuple[str, ...]


def route(jobs: Iterable[Job], stores: Mapping[str, str]) -> list[Stop]:
    """The casks of these jobs as one walks. `stores`: prefix of a berth → store, in the order of house.yaml; berths of no store come behind, casks without a berth last."""
    walk = walk_of(stores)
    of_cask: dict[str, list[Job]] = {}
    for job in jobs:
        of_cask.setdefault(job.cask, []).append(job)
    stops = []
    for cask, found in of_cask.items():
        found.sort(key=lambda job: (job.turn, job.rank))
        first = found[0]
        stops.append(Stop(first.store, first.berth, cask, first.type, tuple(map(job_word, found))))
    return sorted(stops, key=lambda stop: walk(stop.store, stop.berth, stop.cask))


def walk_of(stores: Mapping[str, str]) -> Callable[[str | None, str | None, str], tuple[Any, ...]]:
    """What casks are sorted by as one walks, of (store, berth, cask)."""
    order = {store: n for n, store in enumerate(dict.fromkeys(stores.values()))}
    return lambda store, berth, cask: (not berth, order.get(store or "", len(order)), walking_order(berth, cask))


def job_word(job: Job) -> str:
    """The job; of a decision also what it is about."""
    return f"decide {job.rule}" if job.job == "decide" else job.job
