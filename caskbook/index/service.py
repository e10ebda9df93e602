"""The spans of service of each life, as the index keeps them: a line of JSON a life."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from caskbook.index.answer import Answer
from caskbook.index.views import cask_rows
from caskbook.life import Life
from caskbook.life.service import Service, services_of


def service_row(life: Life) -> str:
    """What is kept of a life; empty where nothing is told."""
    spans = services_of(life)
    return json.dumps([span.as_row() for span in spans], ensure_ascii=False, separators=(",", ":")) if spans else ""


def services_kept(answer: Answer, facts: Sequence[str], conditions: Sequence[str]) -> Iterator[tuple[Mapping[str, Any], Sequence[Service]]]:
    """(the facts, the spans) of each cask that `list` has under these conditions of SQL on its columns, each quoted already; no spans of
    one that is told in part. `facts`: columns of the table `cask`. Ordered by number."""
    shown = ", ".join(f'"{name}"' for name in ("cask", *facts))
    where = f" WHERE {' AND '.join(conditions)}" if conditions else ""
    found = answer.store.execute(f"SELECT {shown} FROM ({cask_rows(answer)}) cask{where} ORDER BY cask").fetchall()
    # Put together here: a join of two selects has no index to go by.
    kept = dict(
        answer.store.execute(
            "SELECT l.cask, s.data FROM main.answer_life a JOIN main.life l ON l.id = a.life JOIN main.service s ON s.life = l.id WHERE a.answer = ?",
            (answer.number,),
        )
    )
    for number, *values in found:
        yield dict(zip(facts, values, strict=True)), [Service.of_row(span) for span in json.loads(kept.get(number, "[]"))]
