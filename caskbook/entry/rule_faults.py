"""The check's own rules asked about a page before it is written, for the jobs on which they have something to say."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from caskbook.core.finding import Fault
from caskbook.entry.page import Page
from caskbook.git import Git
from caskbook.ledger.files import Folder, Ledger, file_of
from caskbook.ledger.tracked import all_left_out, is_sparse
from caskbook.ledger.whole import whole_life
from caskbook.life import live
from caskbook.model.cask import Cask
from caskbook.model.cask_file import Record, read_record
from caskbook.model.joins import Claimants
from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from caskbook.checks.context import Context

# Loading the rules takes time, and on a test, an examination or a note they say nothing that the fold does not.
JUDGED = frozenset(jobs_with("judged-at-entry"))
# Told in the run's own words elsewhere.
_TOLD = frozenset({"unknown-crew", "unknown-shop", "crew-not-yet-or-no-longer", "by-missing", "date-in-future", "entered-twice", "dip-beyond-cask"})


def rule_faults(page: Page, ledger: Ledger, today: date, pages: dict[str, Page]) -> list[Fault]:
    """Faults of the page's new events, and of a new file's head, by the rules; other casks as they would stand after this run.

    A correction of the head may make wrong what other entries say: of these the faults that the file had not before. Notes are left out.
    """
    if page.record is None or not any(event["job"] in JUDGED for event in page.added):
        return []
    own = {str(event["id"]) for event in page.added}
    found = _judged(page.record, ledger, today, pages)
    new_file = page.old is None
    mine = [fault for fault in found if own & set(fault.related) or (new_file and fault.where[:1] != ("events",))]
    if page.first is not None and any(event["job"] == "correct" for event in page.added):
        before = {(fault.code, fault.message) for fault in _judged(page.first, ledger, today, pages)}
        mine += [fault for fault in found if fault not in mine and (fault.code, fault.message) not in before]
    return [fault for fault in mine if fault.severity != "note" and fault.code not in _TOLD]


def left_out_record(ledger: Ledger, number: str) -> Record | None:
    """A cask that a sparse checkout leaves out of the work tree, as git has it; None where it is none of these."""
    if not isinstance(ledger.file_store, Folder) or not is_sparse(ledger.file_store.root):
        return None
    name = file_of(number)
    oid = all_left_out(ledger.file_store.root, name).get(name)
    return read_record(ledger.file_store.shown + name, Git(ledger.file_store.root).blobs([oid])[oid]) if oid else None


def _claimants(ledger: Ledger, pages: dict[str, Page]) -> Claimants:
    """Number → files that say it is theirs, as it will be after this run."""
    joining = [page for page in pages.values() if page.added and page.record is not None and any(event.job == "same-as" for event in page.events)]
    if not joining:
        return ledger.claimants()
    found = {number: set(files) for number, files in ledger.claimants().items()}
    for page in joining:
        for files in found.values():
            files.discard(page.cask_id)
        for number in live(page.cask, ledger.house, date.max).state.joined:
            if number != page.cask_id:
                found.setdefault(number, set()).add(page.cask_id)
    return found


def _judged(record: Record, ledger: Ledger, today: date, pages: dict[str, Page]) -> list[Fault]:
    """The faults that the check's rules find in a record, with the house's severities; pages not yet written count as they stand."""
    from dataclasses import replace

    from caskbook.checks.judged import view_of
    from caskbook.checks.registry import rules_on

    if record.cask is None:
        return []
    context = context_of_run(ledger, today, pages)
    view = view_of(record, whole_life(ledger, record.cask.likely(), today), context)
    faults = [fault for rule in rules_on(view.things) for fault in rule(view)]
    severities = ledger.house.on(today).severities
    return [replace(fault, severity=severities.get(fault.code, fault.severity)) if fault.severity == "warning" else fault for fault in faults]


def context_of_run(ledger: Ledger, today: date, pages: dict[str, Page]) -> Context:
    """The context of the check's rules in which the pages of a run stand as they would be written."""
    from caskbook.checks.context import Context

    def find(number: str) -> Cask | None:
        if number in pages and pages[number].record is not None:
            return pages[number].cask.likely()
        other = ledger.find(number) or left_out_record(ledger, number)
        return other.cask.likely() if other is not None and other.cask is not None else None

    return Context(ledger.house, today, find, lambda number: find(number) is not None, lambda: _claimants(ledger, pages), ledger.untold)
