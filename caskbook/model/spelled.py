"""The values of faulty entries as their file spells them: what a reader made of them is not what somebody wrote (`007` is no 7)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from caskbook.core.finding import Fault
from caskbook.model.cask import Cask
from caskbook.model.invalid import shown, value_at
from caskbook.yaml.document import EVENTS, Document
from caskbook.yaml.tree import Path

_MOST_DIGITS = 10**20


def spell(cask: Cask, document: Document) -> None:
    """Give the faulty entries of a cask, and those of no known job, their figures and truth values as the text has them, only to be shown."""
    for event, row in (*zip(cask.events, cask.rows, strict=True), *cask.unread):
        if event.codes:
            vars(event)["written"] = {key: _spelled(value, (EVENTS, row, key), document) for key, value in event.written.items()}


def spelled_faults(faults: Iterable[Fault], document: Document) -> list[Fault]:
    """The faults, each with the value that it tells of as the text has it."""
    return [_as_written(fault, document) for fault in faults]


def _as_written(fault: Fault, document: Document) -> Fault:
    text = _text_at(fault.where, document)
    value = value_at(document.data, fault.where)
    told = f"is {shown(value)}:"
    if text is None or isinstance(value, str) or told not in fault.message or text == shown(value):
        return fault
    return replace(fault, message=fault.message.replace(told, f"is {shown(text)[1:-1]}:", 1))


def _spelled(value: Any, path: Path, document: Document) -> Any:
    """A value with each figure, truth value and day in it as the text has it; text stays as it is, and nothing stays nothing."""
    if isinstance(value, dict):
        return {key: _spelled(one, (*path, key), document) for key, one in value.items()}
    if isinstance(value, list):
        return [_spelled(one, (*path, n), document) for n, one in enumerate(value)]
    if value is None or isinstance(value, str) or (isinstance(value, int) and abs(value) >= _MOST_DIGITS):
        return value
    return _text_at(path, document) or value


def _text_at(path: Path, document: Document) -> str | None:
    """The text of a single value; None of what is a map or a list, or has none."""
    node = document.reading.exact(path)
    return document.source.text[node.start : node.end] or None if node is not None and node.kind == "scalar" else None
