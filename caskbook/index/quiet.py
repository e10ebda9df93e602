"""Verdicts of one rule that call for nothing, picked by what their reasons say, out of an answer of the index."""

from __future__ import annotations

import json
from typing import Any

from caskbook.index.answer import Answer
from caskbook.index.listing import DueRows, Filter

_CASK = "l.cask, l.type, l.berth, v.name"
_COLUMNS = "d.rule, d.verdict, d.since, d.well_past, d.severity, d.reasons, d.decided, d.changes_on"
_WHOLE = "EXISTS (SELECT 1 FROM peer_words w WHERE w.answer = ? AND w.life = l.id AND w.whole)"


def quiet_rows(answer: Answer, chosen: Filter, rule: str, having: str, begins_not: str) -> DueRows:
    """The verdicts of the rule that are ok, of the casks that the filter takes, of which the reasons hold `having` and do not begin with
    `begins_not`, by the number of the cask. What calls for nothing is kept cask by cask, all rules together: only where the whole may hold such reasons it is taken apart."""
    number = next((n for n, (name, _) in enumerate(answer.rules) if name == rule), None)
    where, values = chosen.where()
    kept = answer.store.execute(
        f"SELECT q.data, {_CASK} FROM answer_life a JOIN life l ON l.id = a.life JOIN quiet q ON q.life = l.id JOIN version v ON v.id = l.version"
        f" WHERE a.answer = ? AND instr(q.data, ?) AND NOT instr(q.data, ?) AND NOT {_WHOLE} AND {where}",
        [answer.number, having, json.dumps(begins_not)[:-1], answer.number, *values],
    )
    rows: list[tuple[Any, ...]] = [(one[0], "ok", *one[1:], *cask) for data, *cask in kept for one in json.loads(data) if one[0] == number]
    by_peers = answer.store.execute(
        f"SELECT {_COLUMNS}, {_CASK} FROM peer_due d CROSS JOIN life l ON l.id = d.life CROSS JOIN version v ON v.id = l.version"
        f" WHERE d.answer = ? AND d.rule = ? AND d.verdict = 'ok' AND {where}",
        [answer.number, number, *values],
    )
    found = [row for row in [*rows, *by_peers] if row[8] not in answer.joined and having in (row[5] or "") and not (row[5] or "").startswith(begins_not)]
    return DueRows(sorted(found, key=lambda row: (row[8], row[11])), answer.rules)
