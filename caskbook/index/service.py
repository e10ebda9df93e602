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
    shown = ", ".join(f'c."{name}"' for name in facts)
    kept = f"SELECT l.cask AS number, s.data AS data FROM main.answer_life a JOIN main.life l ON l.id = a.life AND a.answer = {answer.number} JOIN main.service s ON s.life = l.id"
    where = f" WHERE {' AND '.join(conditions)}" if conditions else ""
    sql = f"SELECT {shown}, s.data FROM (SELECT * FROM ({cask_rows(answer)}) cask{where}) c LEFT JOIN ({kept}) s ON s.number = c.cask ORDER BY c.cask"
    for row in answer.store.execute(sql):
        yield dict(zip(facts, row, strict=False)), [Service.of_row(span) for span in json.loads(row[-1] or "[]")]
