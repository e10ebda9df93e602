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


def services_kept(
    answer: Answer, facts: Sequence[str], conditions: Sequence[str], what: Sequence[str] = ()
) -> Iterator[tuple[Mapping[str, Any], Sequence[Service]]]:
    """(the facts, the spans) of the casks that `list` has under these conditions of SQL on its columns, each quoted already: casks of the same facts
    in one, and spans that are alike in one with their weight. `facts`: columns of the table `cask`; `what`: only spans of these kinds. In the order in which
    they are met, cask by cask as their numbers go; no spans of a cask that is told in part."""
    named = "".join(f', "{name}"' for name in facts)
    where = f" WHERE {' AND '.join(conditions)}" if conditions else ""
    casks = f"SELECT life, cask AS number{named} FROM ({cask_rows(answer, life=True)}) cask{where}"
    shown = "".join(f', c."{name}"' for name in facts)
    kinds = " OR ".join(f"substr(j.value, 1, {len(kind) + 3}) = '[\"{kind}\"'" for kind in what)
    rows = answer.store.execute(
        f"SELECT j.value{shown} FROM ({casks}) c JOIN main.service s ON s.life = c.life, json_each(s.data) j WHERE {kinds or 1} ORDER BY c.number"
    )
    alike: dict[tuple[Any, ...], dict[str, int]] = {}
    for span, *values in rows:
        group = alike.setdefault(tuple(values), {})
        group[span] = group.get(span, 0) + 1
    for key, spans in alike.items():
        yield dict(zip(facts, key, strict=True)), _spans(spans)


def _spans(counted: Mapping[str, int]) -> list[Service]:
    """Spans as they are kept, each how often it is there."""
    rows = json.loads(f"[{','.join(counted)}]")
    found = (Service.of_row(row) for row in rows)
    return [span if count == 1 else span._replace(weight=span.weight * count) for span, count in zip(found, counted.values(), strict=True)]
