"""A faulty file read as it was likely meant, so that one fault does not cause others: only for judging, never written."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from datetime import date
from typing import Any

from pydantic import ValidationError

from caskbook.checks.context import HEAD, KEYS, Context, Pair, Spoiled, View
from caskbook.ledger.files import Ledger
from caskbook.ledger.whole import whole_life
from caskbook.life import Life, live_with
from caskbook.model.cask import Cask, read_cask, read_event
from caskbook.model.cask_file import Record
from caskbook.model.invalid import nearest
from caskbook.model.jobs import JOBS, Event
from caskbook.model.recovery import LONG_AGO
from caskbook.words import AmbiguousWord, UnknownWord, canonical
from caskbook.words.job_table import jobs_of_family, jobs_with

_ARRIVALS = jobs_with("arrival")
_BOOK = jobs_of_family("book")


def life_of(ledger: Ledger, record: Record, context: Context) -> Life | None:
    """The life by which a file is judged, of a cask with several numbers that of all its files; None where its cask could not be read."""
    cask = tidied(record)
    if cask is None:
        return None
    if context.several(cask.id)[:1] in ((), (cask.id,)):
        return ledger.life_of(cask, context.today, judged=True)
    return whole_life(ledger, cask, context.today, planned=False, judged=True)


def view_of(record: Record, life: Life, context: Context) -> View:
    """The file as the rules see it; `life` is that of its cask today."""
    cask = (tidied(record) if context.several(life.cask.id) else None) or life.cask
    spoiled = _spoiled(record) if _has_errors(record) else {}
    events = list(zip(cask.events, cask.rows, strict=True))
    ordered = life.in_order
    jobs = frozenset([event.job for event in cask.events])
    future = [row for event, row in events if event.date > context.today and not row_spoiled(spoiled, row, "date")]
    misplaced: frozenset[int] = frozenset()
    if spoiled or not ordered:
        misplaced = _misplaced(events, spoiled, context.today)
        life = _better_life(life, record, spoiled, future, misplaced, context)
    fallen = life.corrections.fallen
    standing = [pair for pair in events if pair[0].id not in fallen] if fallen else events
    if spoiled or not ordered:
        standing = sorted(standing, key=lambda pair: (pair[0].date, pair[0].id))
    early = _early([pair for pair in standing if not row_spoiled(spoiled, pair[1], "date", "job")] if spoiled else standing)
    if early and life.state.joined:
        early &= _before_all_arrivals(events, life)
    by_job: dict[str, list[Pair]] = {}
    for pair in standing:
        by_job.setdefault(pair[0].job, []).append(pair)
    things = jobs | (KEYS if spoiled else _keys(cask.events, bool(future), context.laws))
    return View(record, cask, life, context, events, standing, spoiled, misplaced - early, early, jobs, things, by_job)


def _keys(events: Iterable[Event], future: bool, laws: bool) -> set[str]:
    """Which of `KEYS` there are."""
    found = set()
    for event in events:
        if event.replaces is not None:
            found.add("replaces")
        if event.answers is not None:
            found.add("answers")
        if event.moved_from is not None:
            found.add("moved_from")
    if future:
        found.add("future")
    if laws:
        found.add("laws")
    return found


def _better_life(life: Life, record: Record, spoiled: Spoiled, future: list[int], misplaced: frozenset[int], context: Context) -> Life:
    """The life with events of a doubtful day put where they stand in the file."""
    doubtful = {row for row, fields in spoiled.items() if row != HEAD and {"date", "id", "job"} & fields}
    last = max((row for event, row in zip(life.cask.events, life.cask.rows, strict=True) if event.date <= context.today), default=-1)
    if doubtful or any(row < last for row in future):
        guessed = _refolded(record, life, spoiled, {*future}, frozenset(), context)
        unread = any(row_spoiled(spoiled, row, "job") for row in doubtful)
        # A job that nobody can read may be what was likely meant, but never so that it accuses the right entry after it.
        life = _milder(guessed, _refolded(record, life, spoiled, {*future}, frozenset(), context, guess=False)) if unread else guessed
    if misplaced:
        life = _milder(life, _refolded(record, life, spoiled, {*future}, misplaced, context))
    return life


def tidied(record: Record) -> Cask | None:
    """The cask of a file, without the parts of a faulty event that were taken over as they stand in the file, unread."""
    if record.cask is None or not _has_errors(record):
        return record.cask
    cask = record.cask.likely()
    return Cask(cask.head, tuple(_tidy(event) for event in cask.events), cask.rows)


def _tidy(event: Event) -> Event:
    """The event if it is whole; a test whose parts contradict each other as passed; any other as a note, which changes nothing."""
    given = event.model_dump(by_alias=True, exclude_none=True, warnings=False)
    milder = [given]
    if event.job == "test":
        kept = {key: value for key, value in given.items() if key not in ("leaks", "cured_by")}
        milder.append({**kept, "result": "pass", "method": "water"})
    milder.append({"id": event.id, "date": event.date, "job": "note", "note": "unreadable"})
    for data in milder:
        try:
            return JOBS[str(data["job"])].model_validate(data)
        except ValidationError:
            continue
    return JOBS["note"].model_construct(id="00000000", date=event.date if isinstance(event.date, date) else LONG_AGO, job="note", note="unreadable")


def row_spoiled(spoiled: Spoiled, row: int, *fields: str) -> bool:
    """Whether one of these fields of the row has a fault of form."""
    found = spoiled.get(row)
    return found is not None and ("*" in found or any(name in found for name in fields))


def _has_errors(record: Record) -> bool:
    return bool(record.unread) or any(found.severity == "error" for found in record.findings)


def _spoiled(record: Record) -> Spoiled:
    """Row → fields with a fault of form, `*` the whole event; the head is row -1."""
    found: Spoiled = {}
    data = record.content
    faults = read_cask(data)[1] if data is not None else []
    for path in [fault.where for fault in faults] + sorted(record.unread, key=str):
        if path[:1] == ("events",) and len(path) > 1 and isinstance(path[1], int):
            found.setdefault(path[1], set()).add(str(path[2]) if len(path) > 2 else "*")
        elif path:
            found.setdefault(HEAD, set()).add(str(path[0]))
    cask = record.cask
    for event, row in zip(cask.events, cask.rows, strict=True) if cask is not None else ():
        if event.lost:
            found.setdefault(row, set()).update(event.lost)
    return found


def _misplaced(events: list[Pair], spoiled: Spoiled, today: date) -> frozenset[int]:
    """The fewest rows that, taken out, leave the rest in order of (date, id)."""
    keys = [((event.date, event.id), row) for event, row in events if event.date <= today and not row_spoiled(spoiled, row, "date", "id")]
    if all(a[0] <= b[0] for a, b in zip(keys, keys[1:], strict=False)):
        return frozenset()
    tails: list[Any] = []
    ends: list[int] = []
    before: list[int] = []
    for n, (key, _) in enumerate(keys):
        at = bisect_left(tails, (key, n))
        before.append(ends[at - 1] if at else -1)
        tails[at : at + 1] = [(key, n)]
        ends[at : at + 1] = [n]
    kept, n = set(), ends[-1]
    while n >= 0:
        kept.add(n)
        n = before[n]
    return frozenset(row for n, (_, row) in enumerate(keys) if n not in kept)


def _milder(first: Life, second: Life) -> Life:
    """Of two readings of an event out of order, at its date or where it stands, the one with fewer faults."""
    return second if len(second.faults) < len(first.faults) else first


def _refolded(record: Record, life: Life, spoiled: Spoiled, future: set[int], misplaced: frozenset[int], context: Context, *, guess: bool = True) -> Life:
    """The life with unreadable jobs guessed (or left out), and events of no usable day put where they stand in the file."""
    cask = life.cask
    pairs = sorted([*zip(cask.events, cask.rows, strict=True), *(_guessed(record, spoiled) if guess else ())], key=lambda pair: pair[1])
    last_past = max((row for event, row in pairs if row not in future), default=-1)
    placed: list[Pair] = []
    named: dict[str, str] = {}
    for event, row in pairs:
        lost = row in misplaced or row_spoiled(spoiled, row, "date", "id") or (row in future and row < last_past)
        if lost and placed:
            put = _after(placed[-1][0], event, keep_day=not (row in misplaced or row in future or row_spoiled(spoiled, row, "date")))
            named, event = named | {event.id: put.id}, put
        placed.append((event, row))
    judged = Cask(cask.head, tuple(_naming(event, named) for event, _ in placed), tuple(row for _, row in placed))
    return live_with(judged, context.house, context.today, life.others, life.state.joined)


def _naming(event: Event, ids: dict[str, str]) -> Event:
    """An entry that names one by the id that it had, with the id by which it was put in its place."""
    changed = {name: ids[old] for name in ("replaces", "of", "closes") if isinstance(old := getattr(event, name, None), str) and ids.get(old, old) != old}
    return event.model_copy(update=changed) if changed else event


def _after(previous: Event, event: Event, keep_day: bool) -> Event:
    day = event.date if keep_day else previous.date
    lower = (day, event.id) <= (previous.date, previous.id)
    return event.model_copy(update={"date": day, "id": previous.id + "1" if lower else event.id})


def _guessed(record: Record, spoiled: Spoiled) -> Iterable[Pair]:
    data = record.content or {}
    rows = data.get("events")
    for row, item in enumerate(rows if isinstance(rows, list) else []):
        if row_spoiled(spoiled, row, "job") and isinstance(item, dict) and isinstance(item.get("job"), str):
            job = _likely_job(item["job"])
            event = read_event({**item, "job": job}, ("events", row))[0] if job else None
            if event is not None and (not event.codes or event.likely is not None):
                yield _tidy(event.likely if event.codes else event), row


def _likely_job(word: str) -> str | None:
    try:
        meant = canonical("job", word[:60])
    except (UnknownWord, AmbiguousWord):
        return nearest(word, list(JOBS))
    return meant if meant in JOBS else None


def _before_all_arrivals(events: list[Pair], life: Life) -> frozenset[int]:
    """Rows dated before the cask came under the first of its numbers."""
    came = next((event for event in life.events if event.job in _ARRIVALS), None)
    return frozenset(row for event, row in events if came is None or (event.date, event.id) < (came.date, came.id))


def _early(standing: list[Pair]) -> frozenset[int]:
    """Rows dated before the arrival, where they are fewer than those after it: else the arrival itself is misdated."""
    at = next((n for n, (event, _) in enumerate(standing) if event.job in _ARRIVALS), None)
    if not at:
        return frozenset()
    early = [row for event, row in standing[:at] if event.job not in _BOOK]
    if standing[at][0].job == "raise" and any(event.job == "knock-down" for event, _ in standing[:at]):
        return frozenset()
    return frozenset(early) if len(early) <= len(standing) - at else frozenset()
