"""What a change of house.yaml says: each setting with both values, in the order of the file."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from caskbook.ledger.changes import ABSENT
from caskbook.ledger.layout_changes import same
from caskbook.model.house import is_dated, since_day
from caskbook.yaml.write import flow_text

Path = tuple[str, ...]
# The maps of a list are told apart by these keys.
_NAMES = ("initials", "since")
# These settings make nothing due or not due; those of losses (`review/losses.py`) only what is not judged here.
QUIET = frozenset({
    "name", "timezone", "crew", "shops", "severities", "id_pattern", "gallon", "proof", "decimal_comma", "laws",
    "test_limit_psi", "minimum_age", "wood_left", "rounding", "coopers", "hours_a_week", "job_hours", "questions",
})  # fmt: skip


def settings_changed(old: dict[str, Any], new: dict[str, Any], at: Path = ()) -> Iterator[tuple[Path, Any, Any]]:
    """(path, old value, new value) of every setting that differs; ABSENT where there is none."""
    for key in [*new, *(key for key in old if key not in new)]:
        one, other = old.get(key, ABSENT), new.get(key, ABSENT)
        if same(one, other):
            continue
        below = _as_map(one), _as_map(other)
        if below[0] is not None and below[1] is not None:
            yield from settings_changed(below[0], below[1], (*at, str(key)))
        else:
            yield (*at, str(key)), one, other


def _as_map(value: Any) -> dict[str, Any] | None:
    """A map as it is; a list of maps with names of their own by these names; None for anything else."""
    if isinstance(value, dict):
        return value
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        for name in _NAMES:
            names = [str(item[name]) for item in value if name in item]
            if len(names) == len(value) == len(set(names)):
                return dict(zip(names, value, strict=True))
    return None


def put_in(raw: dict[str, Any], path: Path, value: Any) -> dict[str, Any]:
    """`raw` with one setting changed (ABSENT: taken out); nothing of `raw` itself changes."""
    key, rest = path[0], path[1:]
    out = dict(raw)
    if not rest:
        out.pop(key, None)
        return out if value is ABSENT else out | {key: value}
    inner = out.get(key)
    if isinstance(inner, list) and len(rest) == 1:
        return out | {key: _row_put_in(inner, rest[0], value)}
    if isinstance(inner, dict) or inner is None:
        return out | {key: put_in(inner or {}, rest, value)}
    return out


def _row_put_in(rows: list[Any], name: str, value: Any) -> list[Any]:
    """A list of named maps with one of them changed, added or (ABSENT) taken out; in the order of the names where it is new."""
    by_name = _as_map(rows) or {}
    if name in by_name:
        return [value if row is by_name[name] else row for row in rows if row is not by_name[name] or value is not ABSENT]
    return rows if value is ABSENT else [*rows, value]


def starts_on(path: Path, value: Any) -> date | None:
    """The day a row of a dated setting starts; None for a setting that is no such row."""
    return since_day(value) if isinstance(value, dict) and set(value) == {"since", "value"} and str(value["since"]) == path[-1] else None


def starts_in(value: Any) -> list[date]:
    """The days on which the rows of a dated setting start; none for anything else."""
    return [day for row in value if (day := since_day(row)) is not None] if is_dated(value) else []


def as_text(value: Any) -> str:
    """A value in one line."""
    return "unset" if value is ABSENT else flow_text(value)
