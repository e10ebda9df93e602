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


def errors_of(ledger: Ledger, record: Record, today: date) -> list[Finding]:
    """The error findings of a file, as `check CASK` has them, in file order."""

    def find(number: str) -> Cask | None:
        other = _record(ledger, number)
        return other.cask.likely() if other is not None and other.cask is not None else None

    context = Context(ledger.house, today, find, lambda number: _record(ledger, number) is not None, ledger.claimants, ledger.untold)
    return [finding for finding in check_one(ledger, record, context) if finding.severity == "error"]


def _record(ledger: Ledger, number: str) -> Record | None:
    try:
        return ledger.find(number)
    except CaskbookError:  # It is no number of a cask.
        return None


def codes_by_entry(findings: Iterable[Finding]) -> dict[str, list[str]]:
    """Entry id → codes of the findings that name it."""
    told: dict[str, list[str]] = {}
    for finding in findings:
        if finding.related and finding.code not in told.setdefault(finding.related[0], []):
            told[finding.related[0]].append(finding.code)
    return told
