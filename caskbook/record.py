"""One cask file read through: its text, its cask, and every finding about the file itself and the form of its entries."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import PurePosixPath

from caskbook.cask import Cask, read_cask
from caskbook.document import Document, read_document
from caskbook.finding import Fault, Finding
from caskbook.source import Source


@dataclass(frozen=True, slots=True)
class Record:
    """A cask file as found. `name` is the id its file name gives; `cask` None where it cannot be read at all."""

    name: str
    document: Document
    cask: Cask | None
    findings: tuple[Finding, ...]

    @property
    def path(self) -> str:
        """The path as shown."""
        return self.document.source.path

    @property
    def data(self) -> bytes:
        """The bytes as read."""
        return self.document.source.data

    def placed(self, faults: Iterable[Fault]) -> list[Finding]:
        """Faults at their exact places in this file."""
        shown = self.cask.id if self.cask else self.name
        return [fault.placed(self.path, self.document.span(fault.where, key=fault.on_key), shown) for fault in faults]


def read_record(path: str, data: bytes) -> Record:
    """Read one cask file from its bytes; `path` is shown in findings and its last part names the cask."""
    return record_of(read_document(Source.from_bytes(path, data)))


def record_of(document: Document) -> Record:
    """The record of a document already read."""
    name = PurePosixPath(document.source.path).stem
    if document.data is None:
        return Record(name, document, None, _named(document.findings, name))
    cask, faults = read_cask(document.data)
    faults = [fault for fault in faults if not _explained(fault, document)]
    bare = Record(name, document, cask, ())
    return Record(name, document, cask, (*_named(document.findings, cask.id if cask else name), *bare.placed(faults)))


def _named(findings: Iterable[Finding], cask: str) -> tuple[Finding, ...]:
    return tuple(Finding(f.code, f.severity, f.message, f.path, f.span, f.help, cask, f.related) for f in findings)


def _explained(fault: Fault, document: Document) -> bool:
    """Whether a value seems missing or empty only because its text could not be read, which has a finding of its own."""
    if fault.code in ("missing-field", "event-without-id") and any(fault.where[:n] in document.unread for n in range(len(fault.where) + 1)):
        return True
    return fault.where in document.unread
