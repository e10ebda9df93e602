"""One cask file read through: its text, its cask, and every finding about the file itself and the form of its entries.

Files that are well are read fast; a file with the least doubt is read again by the reader that knows places, whose answer is
the one that counts.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import PurePosixPath
from typing import Any

from caskbook.core.finding import Fault, Finding, Span
from caskbook.model.cask import Cask, grown_cask, read_cask, read_entries
from caskbook.model.spelled import spell, spelled_faults
from caskbook.yaml.document import EVENTS, Document, read_document
from caskbook.yaml.fast import fast_data, fast_items
from caskbook.yaml.fast_places import item_span
from caskbook.yaml.grown import grown
from caskbook.yaml.not_read import behind_a_comment, not_read
from caskbook.yaml.source import Source
from caskbook.yaml.tree import Path

_SUFFIX = ".yaml"
_FIRST = "id"
_NOTHING: frozenset[Path] = frozenset()


@dataclass(slots=True)
class Record:
    """A cask file as found. `path` as shown, `data` the bytes as read; `name` is the id its file name gives; `cask` None
    where it cannot be read at all. `unread` are the paths in it whose value could not be read. `entrywise`: it is written the plain
    way, its events one below the other at its end, each of them beginning with its id."""

    name: str
    path: str
    data: bytes
    cask: Cask | None
    findings: tuple[Finding, ...] = ()
    unread: frozenset[Path] = _NOTHING
    entrywise: bool = False
    _content: dict[str, Any] | None = None
    _document: Document | None = None

    @property
    def own(self) -> Cask | None:
        """The cask where the file's name and folder agree with its number; None where no answer may count it, as it is another's, or
        there twice."""
        if self.cask is None or self.cask.id != self.name:
            return None
        parts = self.path.split("/")
        return None if len(parts) > 2 and parts[-3] == "casks" and parts[-2] != self.name[:-3] else self.cask

    @property
    def content(self) -> dict[str, Any] | None:
        """The file as plain data, None where it is refused as a whole."""
        if self._content is None and self.entrywise:
            self._content = fast_data(self.data)
        return self._content

    @property
    def document(self) -> Document:
        """The text with its places. It takes longer than all the rest: ask for it only to show or to change."""
        if self._document is None:
            self._document = read_document(Source.from_bytes(self.path, self.data))
        return self._document

    def placed(self, faults: Iterable[Fault]) -> list[Finding]:
        """Faults at their exact places in this file."""
        shown = self.cask.id if self.cask else self.name
        return [fault.placed(self.path, self._span(fault), shown, self._day(fault)) for fault in faults]

    def _day(self, fault: Fault) -> date | None:
        """The day of the entry that a warning is about."""
        if fault.severity != "warning" or self.cask is None or fault.where[:1] != (EVENTS,) or len(fault.where) < 2:
            return None
        event = next((one for one, row in zip(self.cask.events, self.cask.rows, strict=True) if row == fault.where[1]), None)
        return None if event is None or "date" in event.lost else event.date

    def _span(self, fault: Fault) -> Span:
        found = None
        if self.entrywise and self._document is None:
            found = item_span(Source.from_bytes(self.path, self.data), EVENTS, _FIRST, fault.where, fault.on_key)
        return found or self.document.span(fault.where, key=fault.on_key)


def read_record(path: str, data: bytes, *, fast: bool = True) -> Record:
    """Read one cask file from its bytes; `path` is shown in findings and its last part names the cask.

    The record is the same with `fast` or without; only a test has reason to do without.
    """
    cask = _read_entrywise(data) if fast else None
    if cask is not None:
        return Record(name_of(path), path, data, cask, entrywise=True)
    content = fast_data(data) if fast else None
    if content is not None:
        cask, faults = read_cask(content)
        if not faults:
            return Record(name_of(path), path, data, cask, _content=content)
    return record_of(read_document(Source.from_bytes(path, data), fast=fast))


def read_later(old: Record, path: str, data: bytes) -> Record:
    """Read a later version of a file, as `read_record` would: of one that only grew, what it had is not read again."""
    more = grown(old.data, data, _FIRST) if old.entrywise and old.cask is not None else None
    cask = grown_cask(old.cask, more) if more is not None and old.cask is not None else None
    return Record(name_of(path), path, data, cask, entrywise=True) if cask is not None else read_record(path, data)


def _read_entrywise(data: bytes) -> Cask | None:
    found = fast_items(data, EVENTS, _FIRST)
    return None if found is None else read_entries(*found)


def record_of(document: Document) -> Record:
    """The record of a document already read."""
    source = document.source
    record = Record(name_of(source.path), source.path, source.data, None, (), document.unread, _content=document.data, _document=document)
    if document.data is None:
        record.findings = _named(document.findings, record.name)
        return record
    record.cask, faults = read_cask(document.data, document.why)
    if record.cask is not None and any(finding.code == "merge-conflict-marker" for finding in document.findings):
        record.cask = replace(record.cask, in_conflict=True)
    if record.cask is not None and (left_out := _left_out(document)):
        record.cask = replace(record.cask, left_out=left_out)
    if record.cask is not None and faults:
        spell(record.cask, document)
    faults = spelled_faults((fault for fault in faults if not _explained(fault, document)), document)
    shown = record.cask.id if record.cask else record.name
    record.findings = (*_named(document.findings, shown), *record.placed(faults))
    return record


def _left_out(document: Document) -> str:
    """What stands behind a second document, below a second list of entries, or behind a sign in a comment that only some readers take for a line's end, in
    words, or that no list of them is found; "" for nothing."""
    for one in document.findings:
        if one.code == "several-documents" and (lines := not_read(document.source, one.span.line)):
            return f"{lines} of a second document"
        twice = one.code == "duplicate-key" and one.span.column == 1 and document.source.line(one.span.line).startswith(EVENTS)
        if twice and (lines := not_read(document.source, one.span.line, below_key=True)):
            return f"{lines} of a second `{EVENTS}`"
        if one.code == "control-character" and behind_a_comment(document.source.text):
            return "what stands behind a line's end of some readers in a comment"
    if (EVENTS,) in document.reading.twice:
        return f"what a second `{EVENTS}` says"
    return "" if isinstance((document.data or {}).get(EVENTS), list) else "entries"


def name_of(path: str) -> str:
    """The id that a file's name gives."""
    name = path.rpartition("/")[2]
    return name[: -len(_SUFFIX)] if name.endswith(_SUFFIX) and name != _SUFFIX else PurePosixPath(path).stem


def _named(findings: Iterable[Finding], cask: str) -> tuple[Finding, ...]:
    return tuple(Finding(f.code, f.severity, f.message, f.path, f.span, f.help, cask, f.related) for f in findings)


def _explained(fault: Fault, document: Document) -> bool:
    """Whether a value seems missing or empty only because its text could not be read, which has a finding of its own."""
    if fault.code in ("missing-field", "event-without-id") and any(path[: len(fault.where)] == fault.where[: len(path)] for path in document.unread):
        return True  # Something above it could not be read, it itself, or an item in it.
    return fault.where in document.unread
