"""The file of one row: its bytes, with ids that come out the same each time, and what the book's own rules say of it."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from caskbook.checks.check import check_cask
from caskbook.checks.context import Context
from caskbook.core.finding import Finding
from caskbook.entry.page import HEAD_ORDER, ordered_event, tidy
from caskbook.exchange.keys import keys_for
from caskbook.exchange.opening import Opening
from caskbook.ledger.paths import file_of
from caskbook.life import live
from caskbook.model.cask_file import Record, read_record
from caskbook.model.ids import import_id
from caskbook.yaml.insertion import new_document

_FIELD = re.compile(r"\s*(?:- )?([a-z_0-9]+):")
_LACKING = re.compile(r"add `(\w+):`")


@dataclass(frozen=True, slots=True)
class RowFile:
    """What is to be written for a row: the cask, its path in the ledger, the bytes, and the ids of its entries."""

    row: int
    cask: str
    path: str
    data: bytes
    ids: tuple[str, ...]


def file_for(row: int, opening: Opening, comment: str = "") -> RowFile:
    """The file of an opening balance that has no faults, below a comment line if one is given. The same row gives the same bytes each time."""
    cask = str(opening.head["cask"])
    head = {key: tidy(opening.head[key]) for key in HEAD_ORDER if opening.head.get(key) is not None}
    events, ids, ranks, seen = [], list[str](), dict[Any, int](), dict[str, int]()
    for event in opening.events:
        content = json.dumps([cask, {key: value for key, value in event.items() if key != "sheet"}], sort_keys=True, default=str, ensure_ascii=False)
        seen[content] = seen.get(content, 0) + 1
        digest = hashlib.sha256(content.encode() + b"\0" + str(seen[content]).encode()).digest()
        rank = ranks[event["date"]] = ranks.get(event["date"], -1) + 1
        ids.append(import_id(rank, digest, event["date"], ids))
        events.append(ordered_event({**event, "id": ids[-1]}))
    return RowFile(row, cask, file_of(cask), new_document(head, events, comment), tuple(ids))


def judged(file: RowFile, context: Context) -> list[tuple[tuple[str, ...], Finding]]:
    """(keys of the register that may tell it, finding) for each error and warning that a check of the book would have about this file."""
    record = read_record(file.path, file.data)
    life = None if record.cask is None else live(record.cask, context.house, context.today)
    found = check_cask(record, life, context)
    return [(_keys_of(record, one), one) for one in found if one.severity != "note"]


def _keys_of(record: Record, finding: Finding) -> tuple[str, ...]:
    """The keys of the register that tell what a finding is about, by what it says is lacking, else by the line it points at."""
    lines = record.data.decode("utf-8").split("\n")
    at = min(finding.span.line, len(lines)) - 1
    named = _LACKING.match(finding.help) if finding.code == "missing-field" else None
    named = named or _FIELD.match(lines[at])
    begun = next((n for n in range(at, -1, -1) if lines[n].startswith("  - id:")), None)
    if begun is None:
        return keys_for("head file", named[1] if named else "prior")
    job = next((found[1] for line in lines[begun:] if (found := re.match(r"    job: (\S+)", line))), "")
    return keys_for(job, named[1] if named else "date")


def said_of(opening: Opening) -> Mapping[str, int]:
    """How many things of each key were kept in words."""
    counts: dict[str, int] = {}
    for key, _ in opening.words:
        counts[key] = counts.get(key, 0) + 1
    return counts
