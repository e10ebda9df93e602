"""The spans of service of each life, as the index keeps them: a line of JSON a span."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby, repeat
from typing import Any

from caskbook.index.answer import Answer
from caskbook.index.views import cask_rows
from caskbook.life import Life
from caskbook.life.service import WEIGHT, Service, services_of

_AT_ONCE = 10_000


def service_row(life: Life) -> str:
    """What is kept of a life; empty where nothing is told."""
    return "\n".join(json.dumps(span.as_row(), ensure_ascii=False, separators=(",", ":")) for span in services_of(life))


def services_kept(
    answer: Answer, facts: Sequence[str], conditions: Sequence[str], what: str | None = None
) -> Iterator[tuple[Mapping[str, Any], Sequence[Service]]]:
    """(the facts, the spans) of the casks that `list` has under these conditions of SQL on its columns, each quoted already; spans that are alike, of casks
    of the same facts, in one with their weight. `facts`: columns of the table `cask`; `what`: only spans of this kind. In the order in which they
    are met, cask by cask as their numbers go; no spans of a cask that is told in part."""
    named = "".join(f', "{name}"' for name in facts)
    where = f" WHERE {' AND '.join(conditions)}" if conditions else ""
    casks = f"SELECT life, cask AS number{named} FROM ({cask_rows(answer, life=True)}) cask{where}"
    shown = "".join(f', c."{name}"' for name in facts)
    rows = answer.store.execute(f"SELECT s.data{shown} FROM ({casks}) c JOIN main.service s ON s.life = c.life ORDER BY c.number")
    begins = "[" if what is None else f'["{what}"'
    if not facts:  # All are of one group, and half of the time went into telling it from itself.
        alone = Counter[str]()
        for (data,) in rows:
            alone.update(data.split("\n"))
        if counted := [(text, count) for text, count in alone.items() if text.startswith(begins)]:
            yield {}, list(_spans(counted))
        return
    alike: Counter[tuple[tuple[Any, ...], str]] = Counter()
    for data, *values in rows:
        alike.update(zip(repeat(tuple(values)), data.split("\n")))
    kept = ((key, count) for key, count in alike.items() if key[1].startswith(begins))
    for values, found in groupby(kept, key=lambda one: one[0][0]):
        yield dict(zip(facts, values, strict=True)), list(_spans([(text, count) for (_, text), count in found]))


def _spans(counted: Sequence[tuple[str, int]]) -> Iterator[Service]:
    """Spans as they are kept, with how often each is there."""
    for at in range(0, len(counted), _AT_ONCE):
        some = counted[at : at + _AT_ONCE]
        rows = json.loads(f"[{','.join(text for text, _ in some)}]")
        for row, (_, count) in zip(rows, some, strict=True):
            row[WEIGHT] *= count
            yield Service.of_row(row)
