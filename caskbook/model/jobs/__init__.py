"""The jobs of the trade: one small model each, in families. `JOBS` is the whole list, in the order help shows it."""

from collections.abc import Iterator, Mapping
from importlib import import_module

from caskbook.model.jobs.base import Event
from caskbook.words.job_table import JOB_TABLE


class _Jobs(Mapping[str, type[Event]]):
    """Job → its model, which is made when it is first asked for: see `lazy_names`."""

    def __init__(self) -> None:
        self._where = {row.job: row.model for row in JOB_TABLE.values() if row.model}
        self._known: dict[str, type[Event]] = {}

    def __getitem__(self, job: str) -> type[Event]:
        if job not in self._known:
            module, _, name = self._where[job].rpartition(".")
            self._known[job] = getattr(import_module(f"{__name__}.{module}"), name)
        return self._known[job]

    def __iter__(self) -> Iterator[str]:
        return iter(self._where)

    def __len__(self) -> int:
        return len(self._where)

    def __contains__(self, job: object) -> bool:
        return job in self._where


JOBS: Mapping[str, type[Event]] = _Jobs()


def own_why(job: str) -> bool:
    """Whether `why` is a field of the job itself: the reason of the work, and never that of an entry being put right."""
    return job in JOBS and "why" in JOBS[job].__annotations__


__all__ = ["JOBS", "Event", "own_why"]
