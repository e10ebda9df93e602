"""A cask file's text, written quickly: byte for byte what the writer of new documents gives for the same data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from functools import lru_cache
from typing import Any

from caskbook.yaml.write import format_map, scalar


@lru_cache(maxsize=65536)
def _word(value: str) -> str:
    return scalar(value)


@lru_cache(maxsize=65536)
def _figure(shown: str) -> str:
    # Figures are known by their text, for 0.0 and -0.0 are one key otherwise.
    return scalar(float(shown))


@lru_cache(maxsize=32768)
def _day(value: date) -> str:
    return value.isoformat()


def cask_text(head: Mapping[str, Any], events: Sequence[Mapping[str, Any]]) -> str:
    """The file of a cask: `events` already in order of (date, id)."""
    lines: list[str] = []
    _lines(lines, head, "", 0)
    if events:
        lines.append("events:")
    for event in events:
        start = len(lines)
        _lines(lines, event, "    ", 4)
        lines[start] = "  - " + lines[start][4:]
    lines.append("")
    return "\n".join(lines)


def _lines(lines: list[str], values: Mapping[str, Any], pad: str, indent: int) -> None:
    """One line a key for plain values; what is a list or a map goes through the slow writer."""
    for key, value in values.items():
        kind = type(value)
        if kind is str:
            lines.append(f"{pad}{key}: {_word(value)}")
        elif kind is date:
            lines.append(f"{pad}{key}: {_day(value)}")
        elif kind is int:
            lines.append(f"{pad}{key}: {value}")
        elif kind is float:
            lines.append(f"{pad}{key}: {_figure(repr(value))}")
        else:
            lines += format_map({key: value}, indent)
