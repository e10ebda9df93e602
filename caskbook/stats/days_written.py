"""Entries as the book has them, sorted into those that count as done and those that stand apart."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from datetime import date
from functools import cache
from typing import NamedTuple

from caskbook.model.entered import entered_on
from caskbook.model.house import House
from caskbook.stats.days import MOVES, Entry, flow_of
from caskbook.stats.days_people import signer
from caskbook.stats.days_report import Apart
from caskbook.words.job_table import jobs_with

_CORRECTORS = jobs_with("corrects")
_TOLD, _FINDINGS = MOVES | {"test"}, '"findings"'
"""Jobs of which a field counts, and what stands in the text of any entry with a value that cannot be read."""


class Written(NamedTuple):
    """An entry of a file: `cask` is the number that goes on; `job` and `stands` are None of one of no known job, `date` where it cannot be
    read; `out_by`: the job of the entry that put it out of force; `berth`, `store`: where the cask lay then; `data`: the whole of it as JSON; `type`: of the cask, None where it cannot be read."""

    cask: str
    id: str
    date: str | None
    job: str | None
    by: str | None
    stands: int | None
    out_by: str | None
    berth: str | None
    store: str | None
    data: str
    type: str | None = None


def entries_of(rows: Sequence[Written], house: House) -> list[Entry]:
    """Those that stand and are work of their own, with who signed them and when they came into the book."""
    settings, timezone = house.on(date.max), house.timezone
    person = cache(lambda by, day: signer(by, day, settings.crew, settings.shops))
    found = []
    for row in rows:
        job = row.job
        if job is None or row.date is None or not row.stands or job in _CORRECTORS:
            continue
        day = date.fromisoformat(row.date)
        data = json.loads(row.data) if job in _TOLD or _FINDINGS in row.data else {}  # Of two in three nothing of it counts.
        entered = entered_on(row.id, timezone)
        behind = None if entered is None else (entered - day).days
        whole = not any(isinstance(one, str) for one in data.get("findings") or ())  # What is wrong with it stands there as codes.
        found.append(
            Entry(row.cask, job, day, person(row.by, day), row.store, row.berth is not None, data.get("result"), flow_of(job, data), behind, whole, row.type)
        )
    return found


def apart_of(rows: Sequence[Written], undated: int, in_part: int) -> Apart:
    """What of these entries is in no figure; `undated`: how many there are whose day cannot be read, `in_part`: casks told in part."""
    out = Counter(row.out_by if row.out_by in _CORRECTORS else "replaced" for row in rows if row.stands == 0)
    right = Counter(row.job or "" for row in rows if row.stands and row.job in _CORRECTORS)
    return Apart(out, right, sum(row.stands is None for row in rows), undated, in_part)
