"""The turns of each life, as the index keeps them: a line for each, so that those of many casks are counted together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from caskbook.index.answer import Answer
from caskbook.index.views import cask_rows
from caskbook.life import Life
from caskbook.life.turn_walk import turns_of

_AT_ONCE = 4000


def turns_row(life: Life) -> str:
    """What is kept of a life; empty where nothing is told."""
    turns = turns_of(life)
    return "\n".join(turns.lines()) if turns is not None else ""


def turns_kept(answer: Answer, conditions: Sequence[str]) -> tuple[Mapping[str, int], int, int]:
    """(line → how many casks say it, of how many casks, how many more are told in part and say nothing) of the casks that `list` has under
    these conditions of SQL on its columns, each quoted already."""
    wanted = f" AND a.cask IN (SELECT cask FROM ({cask_rows(answer)}) cask WHERE {' AND '.join(conditions)})" if conditions else ""
    joined = ", ".join("'" + number.replace("'", "''") + "'" for number in sorted(answer.joined))
    rows = answer.store.execute(
        "SELECT t.data FROM main.answer_life a JOIN main.life l ON l.id = a.life LEFT JOIN main.turns t ON t.life = l.id"
        f" WHERE a.answer = {answer.number} AND l.begun AND l.cask NOT IN ({joined}){wanted}"
    )
    found: Counter[str] = Counter()
    told = silent = 0
    while some := rows.fetchmany(_AT_ONCE):
        lines = [data for (data,) in some if data]
        told, silent = told + len(lines), silent + len(some) - len(lines)
        found.update("\n".join(lines).split("\n"))
    found.pop("", None)
    return found, told, silent
