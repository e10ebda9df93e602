"""Why an entry is not written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from caskbook.core.finding import CaskbookError, Fault
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


def refuse_cask(cask: str, job: str, code: str, message: str, remedy: str) -> Refusal:
    """The refusal of an entry that is not made yet: `job` of one cask."""
    return Refusal(cask, job, Fault(code, "error", message, (), remedy), policy=False)


class CaskRefusedError(CaskbookError):
    """One cask cannot have an entry: of a run over many, the others are looked at all the same, so that each that cannot is told."""

    def __init__(self, refusal: Refusal) -> None:
        super().__init__(f"{refusal.cask}: {refusal.fault.message}: {refusal.fault.help}")
        self.refusal = refusal


def all_the_same(refusals: Sequence[Refusal], reason: str = ' --why "…"') -> str:
    """How to write what the house does not allow, and whether `check` goes on telling it: of an entry that stands there already nothing is told once it has a reason of its own."""
    stays = ", and stays a finding" if any(one.fault.code != "entered-twice" for one in refusals) else " with its reason"
    return f"  it was done all the same? add --anyway{reason}: it is written{stays}"
