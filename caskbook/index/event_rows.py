"""The entries of one file as rows of the table `event`."""

from __future__ import annotations

import json
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from caskbook.core.days import UnknownDay
from caskbook.index.kept_files import KeptError, KeptFile, cask_kept
from caskbook.index.worker import Opened
from caskbook.life import corrections
from caskbook.life.berths import entry_berths
from caskbook.model.cask import Cask, in_rows
from caskbook.model.jobs.base import as_data


def event_rows(cask: Cask) -> list[tuple[Any, ...]]:
    """The rows of the table `event` of one file, all entries, in file order."""
    fallen, lay = corrections(cask.events).fallen, entry_berths(cask)
    rows = []
    for row, event in enumerate(in_rows(cask)):
        data = as_data(event)
        stands = None if "job" in event.lost else int(event.id not in fallen)
        rows.append(
            (row, event.id, None if isinstance(event.date, UnknownDay) else event.date.isoformat(), data.get("job"), data.get("by"), data.get("sheet"), data.get("note"), stands,
             fallen.get(event.id) if stands is not None else None, *_own_columns(data), lay.get(row), json.dumps(data, ensure_ascii=False))
        )  # fmt: skip
    return rows


def _own_columns(data: Mapping[str, Any]) -> tuple[Any, ...]:
    """The fields of an entry that have a column of their own; a list as JSON."""
    found = (data.get(name) for name in ("litres", "abv", "psi", "vat", "vat_litres", "work_minutes", "material", "photo"))
    return tuple(json.dumps(value, ensure_ascii=False) if isinstance(value, list) else value for value in found)


def file_events(opened: Opened, item: str | KeptFile) -> tuple[str, str | None, list[tuple[Any, ...]]]:
    """(name, key, rows of `event`) of one file."""
    if isinstance(item, KeptFile):
        with suppress(KeptError):
            return item.name, item.key, event_rows(cask_kept(item))
    name = str(item)
    opened.file_store.seen.clear()
    record = opened.ledger.read_file(name)
    return name, opened.file_store.seen.get(name), event_rows(record.own) if record.own is not None else []
