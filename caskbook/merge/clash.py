"""What each side did is well in itself and does not go together: impossible only since both stand in one file."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from caskbook.life import live
from caskbook.merge.lines import Merged
from caskbook.model.cask import read_cask
from caskbook.model.house import House
from caskbook.model.standing import contrary
from caskbook.yaml.segments.by_lines import UnreadableError
from caskbook.yaml.segments.in_lines import layout_in_lines

_Known = dict[tuple[str, str], str]


def clashes(merged: Merged, ours: bytes, theirs: bytes, house: House) -> list[str]:
    """One line for each event that became impossible by the union of two sides, in file order; nothing of a conflict."""
    if not merged.clean or merged.data in (ours, theirs):
        return []
    return list(newly_impossible(merged.data, (ours, theirs), house).values())


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
