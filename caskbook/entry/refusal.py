"""Why an entry is not written."""

from __future__ import annotations

from dataclasses import dataclass

from caskbook.core.finding import Fault


@dataclass(frozen=True)
class Refusal:
    """Why one cask's entry is not written: the fault, whether `--anyway --why` would write it, and its row in a sheet."""

    cask: str
    job: str
    fault: Fault
    policy: bool
    row: int | None = None
