"""What was done at a bench: told at its end, by job and cask."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from caskbook.words.plural import number_of

_MOST_CASKS = 12


@dataclass
class Tally:
    """(job, cask, result) of each entry that stands, by line; and the lines refused, with why."""

    written: list[list[tuple[str, str, str]]] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)

    def write(self, entries: Sequence[tuple[str, Mapping[str, Any]]]) -> None:
        """A line was written: (cask, event) of its entries."""
        self.written.append([(str(event["job"]), cask, _result(event)) for cask, event in entries])

    def lines(self) -> list[str]:
        """What was done, by job, result and cask, and what was refused."""
        jobs: dict[str, list[str]] = {}
        for line in self.written:
            for job, cask, result in line:
                jobs.setdefault(f"{job} {result}".strip(), []).append(cask)
        casks = {cask for some in jobs.values() for cask in some}
        entries = sum(len(some) for some in jobs.values())
        lines = [f"{number_of(entries, 'entry')} on {number_of(len(casks), 'cask')}, {number_of(len(self.refused), 'line')} refused"]
        for what, some in jobs.items():
            each = list(dict.fromkeys(some))
            more = f" and {len(each) - _MOST_CASKS} more" if len(each) > _MOST_CASKS else ""
            lines.append(f"  {what} {len(some)}: {', '.join(each[:_MOST_CASKS])}{more}")
        return [*lines, *(f"  refused: {line[:40]}: {why}" for line, why in self.refused)]


def _result(event: Mapping[str, Any]) -> str:
    """What distinguishes entries of one job: passed or failed, sound or not, dry or wet."""
    return next((str(event[key]) for key in ("result", "verdict", "seen") if key in event), "")
