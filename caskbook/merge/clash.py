"""What each side did is well in itself and does not go together: impossible only since both stand in one file."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from caskbook.life import live
from caskbook.merge.lines import Merged
from caskbook.model.cask import Cask, read_cask
from caskbook.model.head_corrections import standing_corrects
from caskbook.model.house import House
from caskbook.model.jobs import Event
from caskbook.model.jobs.cask_head import KEYS, key_word, value_words
from caskbook.model.standing import contrary, corrections
from caskbook.model.twice import entered_twice, voided_elsewhere
from caskbook.yaml.segments.by_lines import UnreadableError
from caskbook.yaml.segments.in_lines import layout_in_lines

_Known = dict[tuple[str, str], str]


def clashes(merged: Merged, ours: bytes, theirs: bytes, house: House) -> list[str]:
    """One line for each event that became impossible by the union of two sides, in file order, and for each key of the head that the
    sides corrected to two values; nothing of a conflict."""
    if not merged.clean or merged.data in (ours, theirs):
        return []
    return [
        *newly_impossible(merged.data, (ours, theirs), house).values(),
        *corrected_apart(merged.data, ours, theirs),
        *_entered_twice(merged.data, ours, theirs),
    ]


def _entered_twice(data: bytes, ours: bytes, theirs: bytes) -> Iterator[str]:
    """One line for each entry that says what another one of its day says, of which either side had but one; and for each that one side voided while
    the other had it of the same row of a sheet, which no check can tell from one of two that was voided for being there twice."""
    cask, *sides = (_cask(text) for text in (data, ours, theirs))
    if cask is None:
        return
    there = {(later.id, before.id) for side in sides if side is not None for later, before, _ in entered_twice(_standing(side))}
    for later, before, _ in entered_twice(_standing(cask)):
        if (later.id, before.id) not in there:
            yield f"{cask.id}: {later.job} of {later.date} ({later.id}): says what {before.id} says: void one of them, unless it was done twice"
    had = [{event.id for event in side.events} for side in sides if side is not None]
    for event, voided in voided_elsewhere(cask.events, corrections(cask.events)):
        if any(voided.id in ids and event.id not in ids for ids in had) and not any({event.id, voided.id} <= ids for ids in had):
            yield f"{cask.id}: {event.job} of {event.date} ({event.id}): the same row of a sheet ({voided.id}) was voided: void this one too, or void that void"


def _standing(cask: Cask) -> list[Event]:
    found = corrections(cask.events)
    return sorted((event for event in cask.events if found.stands(event)), key=lambda event: (event.date, event.id))


def corrected_apart(data: bytes, ours: bytes, theirs: bytes) -> Iterator[str]:
    """One line for each key of the head that either side corrected, each to a value of its own. Corrections that follow each other in
    one book are lawful, so the check tells these in a note alone, and warns where their days do not tell which came last. `data` may be of later than the
    union: what was voided since is told no more."""
    cask, one, other = (_cask(text) for text in (data, ours, theirs))
    if cask is None or one is None or other is None:
        return
    mine, yours = ({event.id for event in side.events} for side in (one, other))
    given = [event for event, _ in standing_corrects(cask.events, range(len(cask.events)))]
    for key in KEYS if len(given) > 1 else ():
        sides = [
            [event for event in given if event.id in had - lacked and getattr(event, key) is not None][-1:] for had, lacked in ((mine, yours), (yours, mine))
        ]
        if all(sides) and getattr(sides[0][0], key) != getattr(sides[1][0], key):
            small, large = sorted((sides[0][0], sides[1][0]), key=lambda event: event.id)
            said = " and ".join(f"to {value_words(key, getattr(event, key))} ({event.id})" for event in (small, large))
            yield f"{cask.id}: {key_word(key)} is corrected {said}: the later counts, void the one that is wrong"


def _cask(data: bytes) -> Cask | None:
    try:
        return read_cask(layout_in_lines(data.decode("utf-8"))[0].data)[0]
    except (UnreadableError, UnicodeDecodeError):
        return None


def newly_impossible(data: bytes, sides: Iterable[bytes], house: House) -> _Known:
    """(code, event id) → one line, of what is impossible in a cask's file and was so in none of the versions it was made of."""
    before = {key for side in sides for key in impossible(side, house)}
    return {key: text for key, text in impossible(data, house).items() if key not in before}


def impossible(data: bytes, house: House) -> _Known:
    """(code, event id) → what is impossible, over the whole life."""
    try:
        layout, _ = layout_in_lines(data.decode("utf-8"))
    except (UnreadableError, UnicodeDecodeError):
        return {}
    cask, _ = read_cask(layout.data)
    if cask is None:
        return {}
    found: _Known = {}
    life, parts = live(cask, house, date.max), {part.key: part for part in layout.events}
    for one, other in {**life.corrections.rivals, **contrary(cask.events, life.corrections)}.items():
        text = f"{parts[one].value.get('job', 'event')} of {parts[one].day} ({one})" if one in parts else one
        found[("put-right-twice", one)] = f"{cask.id}: {text}: {other} puts the same entry right, void the one that is wrong"
    for fault in life.faults:
        row = fault.where[1] if len(fault.where) > 1 else None
        if fault.severity == "error" and isinstance(row, int) and row < len(layout.events):
            part = layout.events[row]
            job = part.value.get("job", "event")
            found[(fault.code, part.key or "")] = f"{cask.id}: {job} of {part.day} ({part.key}): {fault.message}"
    return found
