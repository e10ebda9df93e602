"""What the check finds in one cask's file, for the screens that show the cask: nothing else of the book is read but what it names."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from caskbook.checks.check import check_one
from caskbook.checks.context import Context
from caskbook.core.finding import CaskbookError, Finding
from caskbook.ledger.files import Ledger
from caskbook.model.cask import Cask
from caskbook.model.cask_file import Record


def errors_of(ledger: Ledger, record: Record, today: date, left_out: set[str] | None = None) -> list[Finding]:
    """The error findings of a file, as `check CASK` has them, in file order. `left_out`: takes the numbers that the file names and a sparse checkout leaves out
    of the work tree, which were read as git has them."""
    beside: set[str] = set() if left_out is None else left_out

    def find(number: str) -> Cask | None:
        other = _record(ledger, number, beside)
        return other.cask.likely() if other is not None and other.cask is not None else None

    context = Context(ledger.house, today, find, lambda number: _record(ledger, number, beside) is not None, ledger.claimants, ledger.untold)
    return [finding for finding in check_one(ledger, record, context) if finding.severity == "error"]


def _record(ledger: Ledger, number: str, left_out: set[str]) -> Record | None:
    try:
        found = ledger.find(number)
        if found is None and (found := ledger.find_left_out(number)) is not None:
            left_out.add(number)
        return found
    except CaskbookError:  # It is no number of a cask.
        return None


def codes_by_entry(findings: Iterable[Finding]) -> dict[str, list[str]]:
    """Entry id → codes of the findings that name it."""
    told: dict[str, list[str]] = {}
    for finding in findings:
        if finding.related and finding.code not in told.setdefault(finding.related[0], []):
            told[finding.related[0]].append(finding.code)
    return told
