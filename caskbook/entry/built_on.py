"""What came into a file after a run and rests on it: then the run is not taken back from under it."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date
from typing import TYPE_CHECKING, Any

from caskbook.ledger.whole import whole_life
from caskbook.model.cask_file import read_record
from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from caskbook.ledger.files import Ledger
    from caskbook.life import Life
    from caskbook.model.cask import Cask
    from caskbook.model.jobs import Event

_ARRIVALS = jobs_with("arrival")


def built_on(ledger: Ledger, one: dict[str, Any], before: bytes, after: bytes, ids: Collection[str]) -> Iterator[tuple[Event, str]]:
    """(an entry that came since, why it does not stand without the run) for a file of a run, with the run's entries `ids` and without.

    Nothing where it is not noted which entries the file had before the run: a note of an older version of the program.
    """
    known = one.get("known") if not one["new"] else []
    with_run, without = read_record(one["path"], before).cask, read_record(one["path"], after).cask
    if known is None or with_run is None or without is None:
        return
    since = {event.id: event for event in with_run.events if event.id not in {*known, *ids}}
    if not since:
        return
    told: set[str] = set()
    for event_id, why in (*_naming(since, ids), *_impossible(ledger, with_run, without, since, one)):
        if event_id not in told:
            told.add(event_id)
            yield since[event_id], why


def _naming(since: dict[str, Event], ids: Collection[str]) -> Iterator[tuple[str, str]]:
    """The entries that name one of the run."""
    for event in since.values():
        named: list[str] = [event.replaces or ""]
        for key in ("of", "closes", "answers"):
            value = getattr(event, key, None)
            named += [str(part).partition("/")[0] for part in (value if isinstance(value, list) else [value])]
        for event_id in named:
            if event_id in ids:
                yield event.id, f"it names {event_id}"
                break


def _impossible(ledger: Ledger, with_run: Cask, without: Cask, since: dict[str, Event], one: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """The entries that become impossible, or go against the rules; of a file that the run began all that is left in it."""
    if one["new"] and not any(event.job in _ARRIVALS for event in without.events):
        yield from ((event_id, "the cask came with it") for event_id in since)
    there = {_key(fault) for fault in _life(ledger, with_run).faults}
    for fault in _life(ledger, without).faults:
        if fault.severity != "note" and _key(fault) not in there:
            yield from ((event_id, fault.message) for event_id in fault.related[:1] if event_id in since)


def _life(ledger: Ledger, cask: Cask) -> Life:
    return whole_life(ledger, cask, date.max)


def _key(fault: Any) -> tuple[Any, ...]:
    return (fault.code, fault.related, fault.where[2:])
