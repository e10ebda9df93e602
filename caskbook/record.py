"""One cask file read through: its text, its cask, and every finding about the file itself and the form of its entries.

Files that are well are read fast; a file with the least doubt is read again by the reader that knows places, whose answer is
the one that counts.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any

from caskbook.cask import Cask, read_cask
from caskbook.document import Document, read_document
from caskbook.finding import Fault, Finding
from caskbook.source import Source
from caskbook.yaml.fast import fast_data
from caskbook.yaml.tree import Path

_SUFFIX = ".yaml"
_NOTHING: frozenset[Path] = frozenset()


@dataclass(slots=True)
class Record:
    """A cask file as found. `path` as shown, `data` the bytes as read; `name` is the id its file name gives; `cask` None
    where it cannot be read at all. `content` is the file as plain data, None where it is refused as a whole; `unread` are the
    paths in it whose value could not be read. Its `document`, which knows places, is made when it is first asked for."""

    name: str
    path: str
    data: bytes
    content: dict[str, Any] | None
    cask: Cask | None
    findings: tuple[Finding, ...] = ()
    unread: frozenset[Path] = _NOTHING
    _document: Document | None = None

    @property
    def document(self) -> Document:
        """The text with its places. It takes longer than all the rest: ask for it only to show or to change."""
        if self._document is None:
            self._document = read_document(Source.from_bytes(self.path, self.data))
        return self._document

    def placed(self, faults: Iterable[Fault]) -> list[Finding]:
        """Faults at their exact places in this file."""
        shown = self.cask.id if self.cask else self.name
        return [fault.placed(self.path, self.document.span(fault.where, key=fault.on_key), shown) for fault in faults]


def read_record(path: str, data: bytes, *, fast: bool = True) -> Record:
    """Read one cask file from its bytes; `path` is shown in findings and its last part names the cask.

    The record is the same with `fast` or without; only a test has reason to do without.
    """
    content = fast_data(data) if fast else None
    if content is not None:
        cask, faults = read_cask(content)
        if not faults:
            return Record(_name_of(path), path, data, content, cask)
    return record_of(read_document(Source.from_bytes(path, data), fast=fast))


def record_of(document: Document) -> Record:
    """The record of a document already read."""
    source = document.source
    record = Record(_name_of(source.path), source.path, source.data, document.data, None, (), document.unread, document)
    if document.data is None:
        record.findings = _named(document.findings, record.name)
        return record
    record.cask, faults = read_cask(document.data)
    faults = [fault for fault in faults if not _explained(fault, document)]
    shown = record.cask.id if record.cask else record.name
    record.findings = (*_named(document.findings, shown), *record.placed(faults))
    return record


def _name_of(path: str) -> str:
    name = path.rpartition("/")[2]
    return name[: -len(_SUFFIX)] if name.endswith(_SUFFIX) and name != _SUFFIX else PurePosixPath(path).stem


def _named(findings: Iterable[Finding], cask: str) -> tuple[Finding, ...]:
    return tuple(Finding(f.code, f.severity, f.message, f.path, f.span, f.help, cask, f.related) for f in findings)


def _explained(fault: Fault, document: Document) -> bool:
    """Whether a value seems missing or empty only because its text could not be read, which has a finding of its own."""
    if fault.code in ("missing-field", "event-without-id") and any(fault.where[:n] in document.unread for n in range(len(fault.where) + 1)):
        return True
    return fault.where in document.unread
