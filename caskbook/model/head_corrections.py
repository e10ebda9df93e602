"""The head as the corrections of its file have it, whatever their dates; and what it said before each of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from caskbook.core.finding import Fault
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import Model, plain
from caskbook.model.jobs.cask_head import KEYS, corrected_value, key_word, lacks_litres, value_words
from caskbook.model.standing import corrections
from caskbook.words.job_table import jobs_with

H = TypeVar("H", bound=Model)
# What ends a cask: from there on nothing is put right, for gone is final.
_ENDS = jobs_with("ends")


@dataclass(frozen=True, slots=True)
class Corrected:
    """One key of the head that another value stands in for: `old` as written in the head, `new` by `event` in `row`, None where nobody knows."""

    key: str
    old: Any
    new: Any
    event: Event
    row: int


def corrected_head(head: H, events: Sequence[Event], rows: Sequence[int]) -> tuple[H, tuple[Corrected, ...], list[Fault]]:
    """The head with every standing correction in it, which they are, and what is wrong with the head that they make together.

    Of several of one key the larger id counts. A type that lacks its litres is left out.
    """
    given = standing_corrects(events, rows)
    if not given:
        return head, (), []
    found = {key: [(event, row) for event, row in given if getattr(event, key) is not None] for key in KEYS}
    faults: list[Fault] = []
    litres = getattr(found["capacity_l"][-1][0], "capacity_l") if found["capacity_l"] else getattr(head, "capacity_l")  # noqa: B009
    while found["type"] and (wrong := lacks_litres(getattr(found["type"][-1][0], "type"), litres)):  # noqa: B009
        event, row = found["type"].pop()
        faults.append(Fault("missing-field", "error", wrong, ("events", row, "type"), "correct `capacity_l` with it", related=(event.id,)))
    last = {key: pairs[-1] for key, pairs in found.items() if pairs}
    unread = _unread(given, {key: event.id for key, (event, _) in last.items()})
    last = {key: pair for key, pair in last.items() if key not in unread}
    done = tuple(Corrected(key, getattr(head, key), corrected_value(key, getattr(event, key)), event, row) for key, (event, row) in last.items())
    return _without(_with(head, {one.key: one.new for one in done}), unread), done, faults


def _unread(given: Sequence[tuple[Event, int]], known: Mapping[str, str]) -> dict[str, str]:
    """Key → the finding of the correction that counts for it and of which nobody can read what the key should be; `known`: the last that can be read."""
    found = {}
    for event, _ in given:
        for key in event.lost & event.written.keys() & set(KEYS):
            if event.id > known.get(key, ""):
                found[key] = next(iter(event.codes), "")
    return found


def _without(head: H, unread: Mapping[str, str]) -> H:
    """The head without the values of these keys: somebody put them right, and nobody can read how."""
    if not unread:
        return head
    made = head.model_copy(update=dict.fromkeys(unread))
    codes = tuple(dict.fromkeys([*head.codes, *unread.values()]))
    vars(made).update(lost=head.lost | unread.keys(), codes=codes, written=head.written or head.model_dump(exclude_none=True), likely=head.likely or head)
    return made


def standing_corrects(events: Sequence[Event], rows: Sequence[int]) -> list[tuple[Event, int]]:
    """The corrections of a file that count, with their rows, by id."""
    given = [(event, row) for event, row in zip(events, rows, strict=True) if event.job == "correct"]
    if not given:
        return []
    fallen = corrections(events).fallen
    end = min(((event.date, event.id) for event in events if event.job in _ENDS and event.id not in fallen), default=None)
    counting = [pair for pair in given if pair[0].id not in fallen and (end is None or (pair[0].date, pair[0].id) < end)]
    return sorted(counting, key=lambda pair: pair[0].id)


def _with(head: H, values: dict[str, Any]) -> H:
    """The head with these values, which are sound: what it had lost of them is found."""
    made = head.model_copy(update=values)
    if head.codes:
        likely = None if head.likely is None else head.likely.model_copy(update=values)
        vars(made).update(lost=head.lost - values.keys(), likely=likely)
    return made


def value_before(written: Any, events: Sequence[Event], event: Event, key: str) -> Any:
    """What was held for right when `event` corrected `key`: the value of the standing correction before it, else the written one."""
    given = [one for one, _ in standing_corrects(events, range(len(events))) if one.id < event.id and getattr(one, key) is not None]
    return corrected_value(key, getattr(given[-1], key)) if given else getattr(written, key)


def change_words(written: Any, events: Sequence[Event], event: Event) -> str:
    """ "type barrel → hogshead, capacity 200 → 250 L: misread": what a correction changed, old and new, and why; of a key that a correction of a larger id gives another
    value, that this one counts."""
    told, given = [], standing_corrects(events, range(len(events)))
    for key in KEYS:
        new = getattr(event, key)
        if new is not None:
            old = value_before(written, events, event, key)
            was = plain(old) if key == "capacity_l" and old is not None else value_words(key, old)
            later = [one for one, _ in given if one.id > event.id and getattr(one, key) is not None][-1:]
            instead = "".join(f" ({value_words(key, corrected_value(key, getattr(one, key)))} by {one.id} counts)" for one in later if getattr(one, key) != new)
            told.append(f"{key_word(key)} {was} → {value_words(key, corrected_value(key, new))}{instead}")
    return ", ".join(told) + (f": {event.why}" if event.why else "")


def was_words(corrected: Sequence[Corrected]) -> list[str]:
    """ "was barrel, 200 L until corrected 2026-11-28: misread": what the head said, a line for each correction that counts."""
    lines = []
    for event in dict.fromkeys(one.event.id for one in corrected):
        mine = [one for one in corrected if one.event.id == event]
        was = ", ".join(
            ("" if one.key in ("type", "capacity_l") and one.old is not None else f"{key_word(one.key)} ") + value_words(one.key, one.old) for one in mine
        )
        lines.append(f"was {was} until corrected {mine[0].event.date}: {mine[0].event.why or '?'}")
    return lines
