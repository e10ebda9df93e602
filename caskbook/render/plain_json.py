"""JSON for a screen: the same data, with every sign that cannot be seen or that would turn the line written as its escape."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from datetime import date
from typing import Any

from caskbook.core.days import UnknownDay

_NOT_PLAIN = re.compile("[^\x20-\x7e\n]")


def safe_json(text: str) -> str:
    r"""JSON text in which bidi marks, control signs and other unseen ones are \u200f and the like; any reader reads it alike."""
    return text if text.isascii() and "\x7f" not in text else _NOT_PLAIN.sub(_escaped, text)


def day_text(value: object) -> str | None:
    """A day as ISO text; None where nobody can read it. TypeError for what is no day and has no form in JSON."""
    if isinstance(value, date):
        return None if isinstance(value, UnknownDay) else value.isoformat()
    raise TypeError(f"{type(value).__name__} has no form in JSON")


def data_json(whole: Any, form: str = "json", rows: Iterable[Any] | None = None) -> str:
    """Data as the option --format has it: `json` is the whole, `jsonl` one object a line. `rows`: the objects, where the whole is no list of them."""
    if form == "jsonl":
        return "".join(safe_json(json.dumps(row, ensure_ascii=False, default=day_text)) + "\n" for row in (whole if rows is None else rows))
    return safe_json(json.dumps(whole, ensure_ascii=False, indent=2, default=day_text))


def _escaped(found: re.Match[str]) -> str:
    sign = found[0]
    if sign == "\x7f":
        return "\\u007f"
    return sign if sign.isprintable() or sign in "\r\t" else json.dumps(sign)[1:-1]
