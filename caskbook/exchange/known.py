"""Whether a row is in the book already: held against the file that its cask has, entry by entry, ids and sheets left aside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from caskbook.exchange.opening import Opening
from caskbook.model.cask import CaskHead
from caskbook.model.cask_file import Record
from caskbook.model.jobs.cask_head import KEYS as CORRECTED
from caskbook.yaml.write import as_read

_ASIDE = ("id", "by", "sheet", "replaces", "why", "note", "moved_from")
Difference = tuple[str, str, Any, Any]
"""(job or "" for the head, field, what the book has, what the row says); None is nothing."""


def differences(record: Record, opening: Opening, goes_on: Record | None = None) -> list[Difference] | None:
    """What a row says otherwise than the book, [] where it is in the book as it stands; None where the file did not come in by a register.

    A head that was corrected since, and an entry that was replaced, agree with a row that says either what was written first or what
    counts now. `goes_on`: of a number that was joined, the file of the one that goes on, whose head is what counts.
    """
    cask, content = record.cask, record.content
    if cask is None or content is None:
        return None
    events = [event for event in content.get("events") or [] if isinstance(event, dict)]
    if not any(event.get("source") == "register" for event in events):
        return None
    counts = goes_on.cask.head if goes_on is not None and goes_on.cask is not None else cask.head
    return [*_of_head(content, counts, opening.head, joined=counts is not cask.head), *_of_events(events, opening.events)]


def _of_head(content: Mapping[str, Any], counts: CaskHead, head: Mapping[str, Any], *, joined: bool) -> list[Difference]:
    now = counts.model_dump(exclude_unset=True, exclude_none=True)
    found: list[Difference] = []
    for key in dict.fromkeys((*head, *(one for one in content if one != "events"))):
        row, book = as_read(head.get(key)), content.get(key)
        if _same(row, book) or (key in CORRECTED and _same(row, as_read(now.get(key)))):
            continue
        found.append(("", key, as_read(now.get(key)) if joined and key in CORRECTED else book, row))
    return found


def _of_events(events: Sequence[Mapping[str, Any]], wanted: Sequence[Mapping[str, Any]]) -> list[Difference]:
    """Entries of the row that the book has not, told by the fields that differ from its own of that job; and those that the row has no more."""
    found: list[Difference] = []
    left = [event for event in events if event.get("source") == "register" and "replaces" not in event]
    for event in wanted:
        row = _bare(as_read(event))
        same = next((one for one in events if _same(_bare(one), row)), None)
        origin = same if same is None or "replaces" not in same else next((one for one in left if one.get("id") == same["replaces"]), None)
        if same is None:
            origin = next((one for one in left if one.get("job") == row["job"]), None)
            found += _fields(row, origin)
        if origin in left:
            left.remove(origin)
    found += [(str(one.get("job")), "date", one.get("date"), None) for one in left]
    return found


def _fields(row: Mapping[str, Any], origin: Mapping[str, Any] | None) -> list[Difference]:
    if origin is None:
        return [(row["job"], "date", None, row["date"])]
    book = _bare(origin)
    return [(row["job"], key, book.get(key), row.get(key)) for key in dict.fromkeys((*row, *book)) if not _same(row.get(key), book.get(key))]


def _bare(event: Mapping[str, Any]) -> dict[str, Any]:
    """An entry without its id and what a putting right adds; what came in by a register and its replacement read alike."""
    return {key: value for key, value in event.items() if key not in (*_ASIDE, "source") or key == event.get("job")}


def _same(one: Any, other: Any) -> bool:
    return bool(_plain(one) == _plain(other))


def _plain(value: Any) -> Any:
    """A value for comparing: days as texts, figures as figures."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {key: _plain(one) for key, one in value.items()}
    return [_plain(one) for one in value] if isinstance(value, list) else value
