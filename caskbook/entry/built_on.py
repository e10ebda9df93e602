"""What came into a file, or another one of the same cask, after a run and rests on it: then the run is not taken back from under it."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple

from caskbook.ledger.whole import whole_life, whole_of
from caskbook.model.cask_file import read_record
from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from caskbook.core.finding import Fault
    from caskbook.ledger.files import Ledger
    from caskbook.model.cask import Cask
    from caskbook.model.jobs import Event

_ARRIVALS = jobs_with("arrival")


class Rest(NamedTuple):
    """An entry that came since, the number under which it stands, and why it does not stand without the run."""

    number: str
    event: Event
    why: str


_Since = dict[tuple[str, str], "Event"]
"""(number, id) → an entry that came since."""


def built_on(ledger: Ledger, one: dict[str, Any], before: bytes, after: bytes, ids: Collection[str]) -> Iterator[Rest]:
    """The entries that came since and rest on the run, for a file of it with the run's entries `ids` and without; those under other numbers of the cask too.

    Nothing where it is not noted which entries the files had before the run: a note of an older version of the program.
    """
    known = one.get("known") if not one["new"] else []
    with_run, without = read_record(one["path"], before).cask, read_record(one["path"], after).cask
    if known is None or with_run is None or without is None:
        return
    since = {(with_run.id, event.id): event for event in with_run.events if event.id not in {*known, *ids}}
    since.update(_beside(ledger, with_run, one.get("beside"), ids))
    if not since:
        return
    told: set[tuple[str, str]] = set()
    for at, why in (*_naming(since, ids), *_impossible(ledger, with_run, without, since, one)):
        if at not in told:
            told.add(at)
            yield Rest(at[0], since[at], why)


def _beside(ledger: Ledger, cask: Cask, known: Any, ids: Collection[str]) -> _Since:
    """What came into other files of the cask since; `known`: number → the entries that they had, as it was noted."""
    if not isinstance(known, dict) or not known:
        return {}
    return {
        (number, event.id): event
        for number, event in whole_of(ledger, cask).beside()
        if isinstance(had := known.get(number), list) and event.id not in {*had, *ids}
    }


def _naming(since: _Since, ids: Collection[str]) -> Iterator[tuple[tuple[str, str], str]]:
    """The entries that name one of the run."""
    for at, event in since.items():
        named: list[str] = [event.replaces or ""]
        for key in ("of", "closes", "answers"):
            value = getattr(event, key, None)
            named += [str(part).partition("/")[0] for part in (value if isinstance(value, list) else [value])]
        for event_id in named:
            if event_id in ids:
                yield at, f"it names {event_id}"
                break


def _impossible(ledger: Ledger, with_run: Cask, without: Cask, since: _Since, one: dict[str, Any]) -> Iterator[tuple[tuple[str, str], str]]:
    """The entries that become impossible, or go against the rules; of a file that the run began all that is left in it."""
    if one["new"] and not any(event.job in _ARRIVALS for event in without.events):
        yield from ((at, "the cask came with it") for at in since if at[0] == with_run.id)
    there = {(number, _key(fault)) for number, fault in _faults(ledger, with_run)}
    for number, fault in _faults(ledger, without):
        if fault.severity != "note" and (number, _key(fault)) not in there:
            yield from (((number, event_id), fault.message) for event_id in fault.related[:1] if (number, event_id) in since)


def _faults(ledger: Ledger, cask: Cask) -> Iterator[tuple[str, Fault]]:
    """(number, what cannot be of an entry of its file) over the whole life of the cask."""
    life = whole_life(ledger, cask, date.max)
    yield from ((cask.id, fault) for fault in life.faults)
    yield from ((number, fault) for number, _, fault in life.joined_faults)


def _key(fault: Any) -> tuple[Any, ...]:
    return (fault.code, fault.related, fault.where[2:])
