"""Entries that were made against the house's rules or that cannot be so, each with the reason that was written with it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from caskbook.checks.check import before_the_house, context_of
from caskbook.core.finding import Finding, Severity
from caskbook.ledger.changes import CaskChange
from caskbook.ledger.files import Ledger
from caskbook.life import corrections
from caskbook.model.cask import Cask
from caskbook.model.jobs import Event
from caskbook.model.jobs.spirit import EMPTIED_WHY
from caskbook.review.model import Against
from caskbook.review.phrases import job_noun


def against_rules(changes: Iterable[CaskChange], ledger: Ledger, day: date) -> tuple[tuple[Against, ...], tuple[Against, ...]]:
    """(every warning, every error) of the check about an entry that was added and stands. What the house makes of a warning is left aside: without a reason
    `enter` takes none of them. Only the files that changed are looked at; what cannot be read at all is told as unread."""
    told = list(_judged(changes, ledger, day))
    return tuple(one for severity, one in told if severity == "warning"), tuple(one for severity, one in told if severity == "error")


def _judged(changes: Iterable[CaskChange], ledger: Ledger, day: date) -> Iterator[tuple[Severity, Against]]:
    """Each warning and error about an entry that was added and stands, with its severity before the house's."""
    context = None
    for change in changes:
        added = {event.id for event in change.added if event.id is not None}
        record = change.new
        if record is None or record.cask is None or not added:
            continue
        context = context or context_of(ledger, day)
        found = [finding for finding in before_the_house(ledger, record, context) if finding.severity != "note"]
        events = {event.id: event for event in record.cask.events}
        fallen = corrections(record.cask.events).fallen if found else ()
        for finding in found:
            event = events.get(_event_of(finding, change, added) or "")
            if event is not None and event.id not in fallen:
                beside = [events[one] for one in finding.related if one in added and one in events and one not in fallen]
                own = events.get(finding.related[0]) if finding.related else None
                own = own if own is not None and own.id not in fallen else event
                yield finding.severity, _of_entry(record.cask, event, own, finding, beside)


def _event_of(finding: Finding, change: CaskChange, added: set[str]) -> str | None:
    """The added entry that a finding is about: the one it names, else the one whose lines it points at."""
    named = next((one for one in finding.related if one in added), None)
    if named is not None or finding.related:
        return named
    assert change.new is not None
    content = change.new.document.data or {}
    rows = [event for event in content.get("events") or [] if isinstance(event, dict)]
    starts = [(change.new.document.span(("events", n)).line, event.get("id")) for n, event in enumerate(rows)]
    last = max((start for start in starts if start[0] <= finding.span.line), default=(0, None), key=lambda start: start[0])[1]
    return last if last in added else None


def _of_entry(cask: Cask, event: Event, own: Event, finding: Finding, beside: Sequence[Event]) -> Against:
    """`own`: the entry that the finding tells of, which had landed where only what stands before it came in late; `beside`: all entries added that the finding is about; the reason may stand with any of them, for whichever came last was asked for it."""
    why = next((reason for one in (event, *beside) if (reason := _reason(one))), "")
    text = f"{job_noun(own.job)} of {own.date}"
    text += f", now that the {job_noun(event.job)} of {event.date} is in" if own is not event else ""
    return Against(cask.id, event.id, finding.code, text, finding.message, why, event.by)


def _reason(event: Event) -> str:
    return (event.why if event.job != "empty" or event.why not in EMPTIED_WHY else event.note) or event.note or ""
