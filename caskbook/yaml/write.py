"""Values and events as YAML lines that readers of YAML 1.1 and 1.2 take alike, in the layout of a cask file."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.yaml.scalar import LARGEST, meaning

WIDTH = 100
_DIGITS = 12
"""Significant digits of a written number: more than any instrument gives, fewer than binary noise needs."""

# A plain word begins with a letter or digit and holds nothing that YAML could take for a sign of its own.
_PLAIN = re.compile(r"[^\W_][\w ./()+;'%*=<>@!&~^$-]*")
_PLAIN_BLOCK = re.compile(r"[^\W_][\w ./()+;'%*=<>@!?&~^$,-]*")
# What YAML does not take as it is, and what our reader calls a hidden sign (`scan.CONTROL`; a test compares the two).
_RAW = re.compile("[^\x20-\x7e\xa0-\u2027\u202f-\u2065\u206a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010fffd]|[\u00ad\u180e\u200b\u2060-\u2064]")
_SHORT_ESCAPES = {"\n": "\\n", "\r": "\\r", "\t": "\\t", "\0": "\\0", '"': '\\"', "\\": "\\\\"}


def scalar(value: Any, *, flow: bool = False) -> str:
    """One value on one line; `flow`: it stands inside `[…]` or `{…}`. Numbers are kept to twelve significant digits."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return _integer(value)
    if isinstance(value, float | Decimal):
        return _number(value)
    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, str):
        return _string(value, flow)
    raise CaskbookError(f"a value of type {type(value).__name__} has no place in a cask file")


def _integer(value: int) -> str:
    if abs(value) > LARGEST:
        raise CaskbookError(f"number {value:.3e} is too large to be meant")
    return str(value)


def _number(value: float | Decimal) -> str:
    """A figure as YAML text, to 12 significant digits and without exponent. CaskbookError where it is not finite."""
    if not math.isfinite(value):
        raise CaskbookError(f"{value} is no figure, expected a number")
    short = Decimal(repr(value)) if isinstance(value, float) else value
    if len(short.as_tuple().digits) > _DIGITS:
        short = Decimal(f"{short:.{_DIGITS}g}")
    text = f"{short:f}"
    if "." in text:
        text = text.rstrip("0")
    if isinstance(value, Decimal) and text.endswith("."):
        text = text[:-1]
    if isinstance(value, Decimal) and "." not in text:
        return text
    return text + "0" if text.endswith(".") else text if "." in text else text + ".0"


def _string(value: str, flow: bool) -> str:
    shape = _PLAIN if flow else _PLAIN_BLOCK
    if shape.fullmatch(value) and not value.endswith(" ") and not _RAW.search(value) and _is_word(value):
        return value
    if _RAW.search(value) or ("'" in value and '"' not in value and "\\" not in value):
        return '"' + "".join(_escaped(ch) for ch in value) + '"'
    return "'" + value.replace("'", "''") + "'"


def _is_word(value: str) -> bool:
    found = meaning(value)
    return not found.fault and not found.doubtful and found.value == value and type(found.value) is str


def _escaped(char: str) -> str:
    if char in _SHORT_ESCAPES:
        return _SHORT_ESCAPES[char]
    if not _RAW.match(char):
        return char
    if "\ud800" <= char <= "\udfff":
        raise CaskbookError("a text holds half a character (a lone surrogate)")
    number = ord(char)
    if number <= 0xFF:
        return f"\\x{number:02x}"
    return f"\\u{number:04x}" if number <= 0xFFFF else f"\\U{number:08x}"


def flow_text(value: Any) -> str:
    """A value on one line, maps and lists in brackets."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{scalar(str(key), flow=True)}: {flow_text(one)}" for key, one in value.items()) + "}"
    if _is_list(value):
        return "[" + ", ".join(flow_text(one) for one in value) + "]"
    return scalar(value, flow=True)


def _is_list(value: Any) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str | bytes)


def _is_flat(value: Any) -> bool:
    """Whether a value may stand on one line: a scalar, or a list or map of scalars or of lists of scalars."""
    if isinstance(value, Mapping):
        return all(not isinstance(one, Mapping) and _is_flat(one) for one in value.values())
    if _is_list(value):
        return not any(isinstance(one, Mapping) for one in value)
    return True


def format_map(values: Mapping[str, Any], indent: int = 0) -> list[str]:
    """The lines of a map in the order of its keys, each indented by `indent` spaces, without newlines."""
    lines: list[str] = []
    for key, value in values.items():
        lines += _entry(scalar(str(key)), value, indent)
    return lines


def _entry(key: str, value: Any, indent: int) -> list[str]:
    pad = " " * indent
    if isinstance(value, Mapping | Sequence) and not isinstance(value, str | bytes) and value:
        line = f"{pad}{key}: {flow_text(value)}"
        if len(line) < WIDTH and _is_flat(value):
            return [line]
        inner = format_map(value, indent + 2) if isinstance(value, Mapping) else format_list(value, indent + 2)
        return [f"{pad}{key}:", *inner]
    return [f"{pad}{key}: {flow_text(value) if not isinstance(value, str) else scalar(value)}"]


def format_list(values: Sequence[Any], indent: int) -> list[str]:
    """The lines of a list, one item a line where it fits; maps of scalars in braces."""
    pad, lines = " " * indent, list[str]()
    for value in values:
        line = f"{pad}- {flow_text(value) if not isinstance(value, str) else scalar(value)}"
        long = len(line) >= WIDTH and not isinstance(value, str)
        if not value or not isinstance(value, Mapping) or (_is_flat(value) and not long):
            lines.append(line)
        else:
            lines += format_event(value, indent)
    return lines


def format_event(event: Mapping[str, Any], indent: int, gap: int = 1) -> list[str]:
    """The lines of one list item in block style: `indent` spaces before its dash, `gap` spaces behind it."""
    if not event:
        raise CaskbookError("an event without any key cannot be written")
    inner = indent + 1 + gap
    lines = format_map(event, inner)
    return [" " * indent + "-" + " " * gap + lines[0][inner:], *lines[1:]]


def as_read(value: Any) -> Any:
    """A value as it is read back once written: plain lists and dicts, numbers to twelve digits."""
    if isinstance(value, Mapping):
        return {str(key): as_read(one) for key, one in value.items()}
    if _is_list(value):
        return [as_read(one) for one in value]
    if isinstance(value, float | Decimal):
        return meaning(_number(value)).value
    return value
