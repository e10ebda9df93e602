"""Verdicts that call for nothing, as the index keeps them: a line of JSON a life, with a place for each rule, and the SQL that reads it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

as_line = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode
"""What `json.dumps` gives, which makes an encoder anew for each line."""
_NEVER = "-"
_DAY = 10
_PLAIN = [None, 0, 0]
_FIELDS = ("since", "well_past", "severity", "reasons", "decided", "changes_on")


def quiet_text(verdicts: Iterable[Sequence[Any]], rules: int) -> str:
    """One life's verdicts as JSON. `verdicts`: (number of the rule, then as `_FIELDS` name them); `rules`: how many there are. Empty where there are none.

    The place of a rule is its number, null where it is not ok. Nearly all say nothing but their reasons and when they change, and are text: the day or -,
    then the reasons. Any other is a list of all fields.
    """
    found: list[Any] = [None] * rules
    said = False
    for number, *row in verdicts:
        since, well_past, severity, reasons, decided, changes = row
        plain = decided is None and [since, well_past, severity] == _PLAIN
        found[number] = f"{changes or _NEVER}{reasons}" if plain else row
        said = True
    return as_line(found) if said else ""


def quiet_rows(text: str) -> Iterator[tuple[int, list[Any]]]:
    """(number of the rule, the values of `_FIELDS`) of each verdict of a line."""
    for number, one in enumerate(json.loads(text)):
        if isinstance(one, list):
            yield number, one
        elif one is not None:
            at = len(_NEVER) if one.startswith(_NEVER) else _DAY
            yield number, [*_PLAIN, one[at:], None, one[:at] if at == _DAY else None]


def _sql(at: int, plain: str) -> str:
    return f"CASE j.type WHEN 'array' THEN json_extract(j.value, '$[{at}]') ELSE {plain} END"


_CHANGES = f"CASE WHEN j.value >= '0' THEN substr(j.value, 1, {_DAY}) END"
_REASONS = f"substr(j.value, CASE WHEN j.value >= '0' THEN {_DAY + 1} ELSE {len(_NEVER) + 1} END)"
COLUMNS: Mapping[str, str] = {
    "rule": "j.key", **{name: _sql(at, plain) for at, (name, plain) in enumerate(zip(_FIELDS, ("NULL", "0", "0", _REASONS, "NULL", _CHANGES), strict=True))},
}  # fmt: skip
"""Field → its SQL over `FROM quiet q, json_each(q.data) j WHERE THERE`."""
THERE = "j.type <> 'null'"
