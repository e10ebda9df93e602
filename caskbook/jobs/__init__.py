"""The jobs of the trade: one small model each, in families. `JOBS` is the whole list, in the order help shows it."""

from caskbook.jobs.arrival import ARRIVAL
from caskbook.jobs.base import Event
from caskbook.jobs.bench import BENCH
from caskbook.jobs.custody import CUSTODY
from caskbook.jobs.fire import FIRE
from caskbook.jobs.repair import REPAIR
from caskbook.jobs.spirit import SPIRIT

JOB_MODELS: tuple[type[Event], ...] = (*ARRIVAL, *BENCH, *REPAIR, *FIRE, *SPIRIT, *CUSTODY)


def job_word(model: type[Event]) -> str:
    """The word a job is written as."""
    return str(model.model_fields["job"].annotation.__args__[0])  # type: ignore[union-attr]


JOBS: dict[str, type[Event]] = {job_word(model): model for model in JOB_MODELS}

__all__ = ["JOBS", "JOB_MODELS", "Event", "job_word"]
