"""The verdicts of one rule that tell something, out of an answer of the index: those that call for something, and of the others those whose reasons say so."""

from __future__ import annotations

import json
from typing import Any

from caskbook.index.answer import Answer
from caskbook.index.listing import DueRows, Filter
from caskbook.index.quiet import quiet_rows

_CASK = "l.cask, l.type, l.berth, v.name"
_COLUMNS = "d.rule, d.verdict, d.since, d.well_past, d.severity, d.reasons, d.decided, d.changes_on"
_ALONE = "NOT EXISTS (SELECT 1 FROM peer_words w WHERE w.answer = a.answer AND w.life = l.id AND w.whole)"
"""Where a cask was judged as a whole with its peers, that stands in the place of what it was by itself."""


def rule_rows(answer: Answer, chosen: Filter, rule: str, having: str, begins_not: str) -> DueRows:
    """The verdicts of the rule on the casks that the filter takes, by the number of the cask: all that are not ok, and those that are of which the reasons hold `having` and do not
    begin with `begins_not`. What is ok is kept cask by cask, all rules together: only where the whole may hold such reasons it is taken apart."""
    number = next((n for n, (name, _) in enumerate(answer.rules) if name == rule), None)
    where, values = chosen.where()
    loud = answer.store.execute(
        f"SELECT {_COLUMNS}, {_CASK} FROM answer_life a JOIN due d ON d.life = a.life AND d.rule = ? JOIN life l ON l.id = a.life"
        f" JOIN version v ON v.id = l.version WHERE a.answer = ? AND {_ALONE} AND {where}",
        [number, answer.number, *values],
    )
    kept = answer.store.execute(
        f"SELECT q.data, {_CASK} FROM answer_life a JOIN life l ON l.id = a.life JOIN quiet q ON q.life = l.id JOIN version v ON v.id = l.version"
        f" WHERE a.answer = ? AND instr(q.data, ?) AND NOT instr(q.data, ?) AND {_ALONE} AND {where}",
        [answer.number, having, json.dumps(begins_not)[1:-1], *values],
    )
    quiet = [(number, "ok", *one, *cask) for data, *cask in kept for at, one in quiet_rows(data) if at == number]
    by_peers = answer.store.execute(
        f"SELECT {_COLUMNS}, {_CASK} FROM peer_due d CROSS JOIN life l ON l.id = d.life CROSS JOIN version v ON v.id = l.version"
        f" WHERE d.answer = ? AND d.rule = ? AND {where}",
        [answer.number, number, *values],
    )

    def tells(row: tuple[Any, ...]) -> bool:
        reasons = row[5] or ""
        return row[8] not in answer.joined and (row[1] != "ok" or (having in reasons and not reasons.startswith(begins_not)))

    return DueRows(sorted(filter(tells, [*loud, *quiet, *by_peers]), key=lambda row: (row[8], row[11])), answer.rules)
