"""A cask as machine-readable data: its facts under their names, and every event of its files with whether it stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from caskbook.core.days import UnknownDay
from caskbook.life import Life
from caskbook.life.facts import Facts
from caskbook.life.written import Written, written
from caskbook.loss import PeerTable, loss_facts
from caskbook.model.jobs.base import as_data, with_findings


def facts_json(life: Life, facts: Facts, peers: PeerTable | None = None, found: Mapping[str, Sequence[str]] | None = None) -> dict[str, Any]:
    """Plain JSON data: days as ISO strings, unknown null, years to 3 decimals; before the first event `state` is null.

    `loss` is that of the present fill, else of the last one, held against `peers` where they are known.
    `events` are all of the file in file order, those after the day and out of force too, of a cask with several numbers all of all its files in the order of the
    work, each with the `number` under which it stands: their keys as in the file,
    what nobody wrote a sound value of null, with the codes of an entry's `findings` beside it, those of `found` (id → codes) too (what a look found is its `defects` then); an
    entry of no known job has a null `job`, its text in `written`, and stands neither so nor so (null); a faulty head has its own; `stands`, and `voided_by` (the id of the event that put it out of force) where it does not.
    `joined_events` are, of a cask with several numbers, the standing ones up to the day of the other files alone, once more, each with its `cask`.
    `corrected` are the keys of the head for which a correction counts: what was written there, what counts, and why.
    """
    head = {"findings": [*life.cask.head.codes]} if life.cask.head.codes else {}
    return {
        **_plain(facts.as_dict()),
        "loss": _plain(loss_facts(life, peers)),
        **head,
        **_corrected(life),
        "events": [_event(one, life, found or {}) for one in written(life)],
        **_joined(life),
    }


def _joined(life: Life) -> dict[str, Any]:
    told = [
        {"cask": life.numbers[id(event)], **as_data(event), "stands": None if "job" in event.lost else True}
        for event in life.events
        if id(event) in life.numbers
    ]
    return {"joined_events": told} if told else {}


def _corrected(life: Life) -> dict[str, Any]:
    written, counts = (head.model_dump(mode="json", warnings=False) for head in (life.cask.written, life.cask.head))
    told = [
        {"key": one.key, "was": written[one.key], "is": counts[one.key], "event": one.event.id, "date": _plain(one.event.date), "why": one.event.why}
        for one in life.cask.corrected
    ]
    return {"corrected": told} if told else {}


def _event(one: Written, life: Life, found: Mapping[str, Sequence[str]]) -> dict[str, Any]:
    """An entry; `found` tells of those of the cask's own file, of which another file may have the ids."""
    event, data = one.event, as_data(one.event)
    if event.id in found and one.file.number == life.cask.id:
        data = with_findings(data if not event.codes else {key: value for key, value in data.items() if key != "findings"}, [*event.codes, *found[event.id]])
    if life.others:
        data = {"number": one.file.number, **data}
    if "job" in event.lost:
        return {**data, "stands": None}
    fallen = one.file.fallen
    told = {"stands": event.id not in fallen}
    return {**data, **told, "voided_by": fallen[event.id]} if event.id in fallen else {**data, **told}


def _plain(value: Any) -> Any:
    if isinstance(value, UnknownDay):
        return None
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value
