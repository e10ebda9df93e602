"""Why an entry is not written."""

from __future__ import annotations

from dataclasses import dataclass

from caskbook.core.finding import Fault
from caskbook.entry.entry import Entry


@dataclass(frozen=True)
class Refusal:
    """Why one cask's entry is not written: the fault, whether it goes against the house, so that `--anyway --why` would write it and a
    finding stay of it, and its row in a sheet."""

    cask: str
    job: str
    fault: Fault
    policy: bool
    row: int | None = None


def refuse(entry: Entry, code: str, message: str, remedy: str, *, policy: bool = False) -> Refusal:
    """The refusal of an entry, and what to do instead. `policy`: `--anyway --why` would write it."""
    return Refusal(entry.cask, entry.job, Fault(code, "warning" if policy else "error", message, (), remedy), policy, entry.row)
