"""The casks proposed for retirement and those to be watched, for programs: JSON, JSON lines, and CSV with a row for each cask."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from caskbook.render.plain_json import data_json
from caskbook.render.table import table_csv
from caskbook.work.candidates import GROUPS, Candidate, Candidates

_COLUMNS = ("group", "cask", "type", "berth", "signs", "needed", "hard", "since", "reasons", "unknown", "decided")


def candidates_json(found: Candidates, narrowed: Sequence[str] = (), form: str = "json") -> str:
    """An object: as_of, only (the filters in words), judged, needed, needed_of_type, counts by group, casks; or the casks alone, one a line."""
    whole = {
        "as_of": found.day.isoformat(), "only": list(narrowed), "judged": found.judged, "needed": found.needed, "needed_of_type": dict(found.of_type),
        "groups": {group: len(found.of(group)) for group in GROUPS}, "casks": [_cask(one) for one in found.casks],
    }  # fmt: skip
    return data_json(whole, form, (_cask(one) for one in found.casks))


def candidates_csv(found: Candidates) -> str:
    """RFC 4180: a row for each cask; signs, and what is not known, joined by semicolons."""
    rows = []
    for one in found.casks:
        row = _cask(one)
        rows.append([*(row[name] for name in _COLUMNS[:8]), "; ".join(one.signs) or None, "; ".join(one.unknown) or None, one.decided])
    return table_csv(_COLUMNS, rows)


def _cask(one: Candidate) -> dict[str, Any]:
    """`signs` counts them, `hard` those that are enough alone: the first of `reasons`."""
    return {
        "group": one.group, "cask": one.cask, "type": one.type, "berth": one.berth, "signs": len(one.signs), "needed": one.needed, "hard": one.hard,
        "since": one.since.isoformat() if one.since else None, "reasons": list(one.signs), "unknown": list(one.unknown), "decided": one.decided,
    }  # fmt: skip
