"""Casks of an answer counted by facts: one SELECT of our own, run where the index lies open, so that no process is started for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from caskbook.index.answer import Answer
from caskbook.index.views import cask_rows

_ASKED = {"berthed": "berth IS NOT NULL"}
"""Of what is different for nearly every cask only this is asked."""


def counted(answer: Answer, facts: Sequence[str], conditions: Sequence[str]) -> Iterator[tuple[Mapping[str, Any], int]]:
    """(the facts, how many casks have them) of the casks that `list` has under these conditions of SQL on its columns, each quoted
    already. `facts`: columns of the table `cask`, and `berthed`."""
    shown = ", ".join(f'{_ASKED.get(name) or _quoted(name)} AS "{name}"' for name in facts)
    where = f" WHERE {' AND '.join(conditions)}" if conditions else ""
    by = ", ".join(str(n) for n in range(1, len(facts) + 1))
    for row in answer.store.execute(f"SELECT {shown}, count(*) FROM ({cask_rows(answer)}) cask{where} GROUP BY {by}"):
        yield dict(zip(facts, row, strict=False)), row[-1]


def _quoted(name: str) -> str:
    return f'"{name}"'
