"""The jobs of the trade: one small model each, in families. `JOBS` is the whole list, in the order help shows it."""

from collections.abc import Iterator, Mapping
from types import ModuleType

from caskbook.model.jobs import arrival, bench, custody, fire, repair, spirit
from caskbook.model.jobs.base import Event

_FAMILIES: tuple[tuple[ModuleType, tuple[str, ...]], ...] = (
    (arrival, ("receive", "raise", "convert", "made-from")),
    (bench, ("examine", "nose", "treat", "soak", "test", "measure")),
    (repair, ("drive", "hoop", "stave", "head", "flag", "peg", "bung", "open", "close", "knock-down", "swap-heads")),
    (fire, ("shave", "toast", "char", "sulphur")),
    (spirit, ("season", "fill", "rack-out", "rack-in", "draw", "top", "regauge", "sample", "leak", "look", "empty", "grade")),
    (custody, ("move", "send", "return", "hold", "release", "mark", "decide", "retire", "break-up", "dispose", "missing", "found",
               "moved", "same-as", "correct", "note", "void")),
)  # fmt: skip


class _Jobs(Mapping[str, type[Event]]):
    """Job → its model, which is made when it is first asked for: see `lazy_names`."""

    def __init__(self) -> None:
        self._family = {job: family for family, jobs in _FAMILIES for job in jobs}
        self._known: dict[str, type[Event]] = {}

    def __getitem__(self, job: str) -> type[Event]:
        if job not in self._known:
            # The class of `rack-out` is RackOut.
            self._known[job] = getattr(self._family[job], job.title().replace("-", ""))
        return self._known[job]

    def __iter__(self) -> Iterator[str]:
        return iter(self._family)

    def __len__(self) -> int:
        return len(self._family)

    def __contains__(self, job: object) -> bool:
        return job in self._family


JOBS: Mapping[str, type[Event]] = _Jobs()

__all__ = ["JOBS", "Event"]
