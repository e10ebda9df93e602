"""Two versions of a cask file as changes, matched by event id alone: what was added, altered, removed, moved, or only laid out anew."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from caskbook.core.finding import START, Span
from caskbook.ledger.layout_changes import laid_out, same
from caskbook.ledger.mended_text import MendedLine, with_mended_lines
from caskbook.ledger.two_ways import rewritten, two_ways
from caskbook.model.cask_file import Record
from caskbook.yaml.document import EVENTS
from caskbook.yaml.grown import grown
from caskbook.yaml.segments import Layout, Part
from caskbook.yaml.segments.by_lines import event_part
from caskbook.yaml.segments.pieces import WRITTEN, cut_or_fault, in_pieces
from caskbook.yaml.tree import Path

Kind = Literal["added", "removed", "changed", "renamed", "same", "unreadable"]


class _Absent:
    """Stands for a value that is not there."""

    def __repr__(self) -> str:
        return "nothing"


ABSENT = _Absent()


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One key of an event, of a head or of house.yaml: both values (ABSENT where it was or is not there). `two_ways`: here they are one, and
    `old` and `new` are the texts, of which readers take the new one in two ways."""

    key: str
    old: Any
    new: Any
    two_ways: bool = False


@dataclass(frozen=True, slots=True)
class EventChange:
    """One event: its data in both versions (None where it is not there), and its row in each file (-1: none)."""

    id: str | None
    old: dict[str, Any] | None
    new: dict[str, Any] | None
    old_row: int = -1
    new_row: int = -1
    fields: tuple[FieldChange, ...] = ()


@dataclass(frozen=True, slots=True)
class Moved:
    """An event that stands elsewhere among the others than before, and the event it now stands behind (None: first)."""

    event: EventChange
    behind: str | None


@dataclass(frozen=True)
class CaskChange:
    """What happened to one file between two versions. Of an earlier version with lines that could not be read, `old` has them as they
    read now, where they do: `mended`."""

    name: str
    kind: Kind
    old: Record | None
    new: Record | None
    added: tuple[EventChange, ...] = ()
    altered: tuple[EventChange, ...] = ()
    removed: tuple[EventChange, ...] = ()
    moved: tuple[Moved, ...] = ()
    head: tuple[FieldChange, ...] = ()
    layout: tuple[str, ...] = ()
    reason: str = ""
    mended: tuple[MendedLine, ...] = ()

    @property
    def rewrites(self) -> bool:
        """Whether anything that stood in the old version was altered, moved or removed."""
        return self.kind in ("removed", "renamed", "unreadable") or bool(self.altered or self.removed or self.moved)

    def span(self, change: EventChange, key: str | None = None) -> Span:
        """The place of an event, or of one of its keys, in the new text; of the list where it is gone."""
        if self.new is None:
            return START
        if change.new_row < 0:
            return self.new.document.span(("events",), key=True)
        field = key if key is not None and change.new is not None and key in change.new else "id"
        return self.new.document.span(("events", change.new_row, field), key=field != "id")

    def old_span(self, change: EventChange) -> Span:
        """The place of an event in the old text."""
        if self.old is None or change.old_row < 0:
            return START
        return self.old.document.span(("events", change.old_row, "id"))


def compare(old: Record | None, new: Record | None) -> CaskChange:
    """What happened to one cask's file. None stands for no file; two names stand for a file that was renamed."""
    if old is None or new is None:
        return _one_sided(old, new)
    kind: Kind = "renamed" if old.name != new.name else "changed"
    if old.data == new.data:
        return CaskChange(new.name, kind if kind == "renamed" else "same", old, new)
    more = grown(old.data, new.data, "id") if old.entrywise and new.entrywise else None
    if more is not None:
        return CaskChange(new.name, kind, old, new, added=tuple(_put_behind(more, old)))
    old, mended = with_mended_lines(old, new)
    if mended:
        found = CaskChange(new.name, kind, old, new) if old.data == new.data else _by_text(kind, old, new)
        return replace(found, mended=mended)
    return _by_text(kind, old, new)


def _put_behind(texts: Sequence[str], old: Record) -> Iterable[EventChange]:
    """The entries of these texts, which stand behind all that an earlier version has: what comparing the lines of both comes to, without reading them."""
    first = len(old.cask.events) if old.cask is not None else 0
    for row, text in enumerate(texts, first):
        part = event_part(tuple(f"  - id: {text}".split("\n")), None)
        yield EventChange(part.key, None, part.value, new_row=row)


def _by_text(kind: Kind, old: Record, new: Record) -> CaskChange:
    """Two versions of different text, cut into lines where both can be."""
    before, _ = cut_or_fault(old.data, old.document)
    after, reason = cut_or_fault(new.data, new.document)
    if before is not None and after is not None:
        return _compared(kind, old, new, before, after)
    return _by_data(kind, old, new, "" if before is None else reason)


def _by_data(kind: Kind, old: Record, new: Record, reason: str) -> CaskChange:
    """Two versions of which one cannot be cut into lines. `reason`: the fault that came into what had none."""
    before, after = in_pieces(old.document), in_pieces(new.document)
    if not reason and before is None:
        reason = "it could not be read when it landed, and its text is another now"
    if not reason and before is not None and (after is None or after.faults > before.faults):
        reason = next((f"line {one.span.line}: {one.message}" for one in new.document.findings if one.severity == "error"), "it cannot be read")
    if reason or before is None or after is None:
        return CaskChange(new.name, "unreadable", old, new, reason=reason)
    return _compared(kind, old, new, before.layout, after.layout)


def only_adds(old: dict[str, Any], new: dict[str, Any]) -> bool:
    """Whether a file's data holds all that it held, in the order it had: what is sure without reading its layout.

    False says nothing: compare the files then.
    """
    if any(not same(value, new.get(key, ABSENT)) for key, value in old.items() if key != "events"):
        return False
    before, after = _by_id(old), _by_id(new)
    if before is None or after is None or any(not same(event, after.get(key)) for key, event in before.items()):
        return False
    return [key for key in after if key in before] == list(before)


def _by_id(data: dict[str, Any]) -> dict[str, Any] | None:
    """The events by id, in order; None where one has no id of its own."""
    events = data.get("events") or []
    if not isinstance(events, list) or not all(isinstance(event, dict) and isinstance(event.get("id"), str) for event in events):
        return None
    found = {event["id"]: event for event in events}
    return found if len(found) == len(events) else None


def _one_sided(old: Record | None, new: Record | None) -> CaskChange:
    """The change of a cask whose file only one side has: every event of it is added, or removed."""
    present = new or old
    assert present is not None
    layout = cut_or_fault(present.data, present.document)[0]
    if layout is None:
        found = in_pieces(present.document)
        layout = found.layout if found is not None else Layout()
    if new is not None:
        added = tuple(EventChange(part.key, None, part.value, new_row=row) for row, part in enumerate(layout.events))
        return CaskChange(new.name, "added", None, new, added=added)
    removed = tuple(EventChange(part.key, part.value, None, old_row=row) for row, part in enumerate(layout.events))
    return CaskChange(present.name, "removed", old, None, removed=removed)


def _compared(kind: Kind, old: Record, new: Record, before: Layout, after: Layout) -> CaskChange:
    """The change of a cask that both sides have, its events paired by id: added, altered, removed, moved; its head and layout."""
    pairs = _paired(before.events, after.events)
    gone = sorted(set(range(len(before.events))) - {one for one, _ in pairs})
    fresh = sorted(set(range(len(after.events))) - {other for _, other in pairs})
    doubtful = two_ways(new.document)
    changes = [_event(before.events[one], after.events[other], one, other, _in_doubt(old, doubtful, one, other)) for one, other in pairs]
    head = [*fields_changed({str(p.key): p.value for p in before.head}, {str(p.key): p.value for p in after.head}), *_in_doubt(old, doubtful)]
    retold = {change.new_row for change in changes if change.fields}, {field.key for field in head}
    found = CaskChange(
        new.name,
        kind,
        old,
        new,
        added=tuple(EventChange(after.events[row].key, None, after.events[row].value, new_row=row) for row in fresh),
        altered=tuple(change for change in changes if change.fields),
        removed=tuple(EventChange(before.events[row].key, before.events[row].value, None, old_row=row) for row in gone),
        moved=tuple(_moved(changes, after.events)),
        head=tuple(_each_key(head)),
        layout=tuple(laid_out(before, after, pairs, *retold)),
    )
    told = (found.added, found.altered, found.removed, found.moved, found.head, found.layout)
    return found if any(told) or any(change.old != change.new for change in changes) else replace(found, layout=("the layout",))


def _paired(before: Sequence[Part], after: Sequence[Part]) -> list[tuple[int, int]]:
    """Rows of the same event in both versions, in new order. Without an id, only one of exactly the same data is the same."""
    places: dict[str, list[int]] = {}
    for row, part in enumerate(after):
        places.setdefault(part.key or "", []).append(row)
    pairs: list[tuple[int, int]] = []
    for row, part in enumerate(before):
        rows = places.get(part.key or "", [])
        found = rows[:1] if part.key else [n for n in rows if after[n].value == part.value][:1]
        if not part.key and not found:
            found = _stamped(part, after, {n for _, n in pairs})
        for n in found:
            pairs.append((row, n))
            if n in rows:
                rows.remove(n)
    return sorted(pairs, key=lambda pair: pair[1])


def _stamped(part: Part, after: Sequence[Part], taken: set[int]) -> list[int]:
    """An event that was given the id it lacked, everything else of it being equal."""
    bare = {key: value for key, value in part.value.items() if key != "id"}
    return [n for n, other in enumerate(after) if n not in taken and {k: v for k, v in other.value.items() if k != "id"} == bare][:1]


def _in_doubt(old: Record, doubtful: dict[Path, str], old_row: int = -1, new_row: int = -1) -> Iterable[FieldChange]:
    """What of an event, or of the head where no row is named, is written so that readers take it in two ways, and was not."""
    if not doubtful:
        return
    was_at, is_at = ((), ()) if new_row < 0 else ((EVENTS, old_row), (EVENTS, new_row))
    for key, was, now in rewritten(old.document, doubtful, was_at, is_at):
        if key != EVENTS or new_row >= 0:
            yield FieldChange(key, was, now, two_ways=True)


def _each_key(fields: Iterable[FieldChange]) -> Iterable[FieldChange]:
    """Each key once, with its first change."""
    found: dict[str, FieldChange] = {}
    for field in fields:
        found.setdefault(field.key, field)
    return found.values()


def _event(one: Part, other: Part, old_row: int, new_row: int, doubtful: Iterable[FieldChange]) -> EventChange:
    fields = () if one.key is None and other.key is not None else tuple(_each_key([*fields_changed(one.value, other.value), *doubtful]))
    if len(fields) > 1:  # its text as a whole tells nothing more
        fields = tuple(field for field in fields if field.key != WRITTEN)
    return EventChange(other.key, one.value, other.value, old_row, new_row, fields)


def fields_changed(old: dict[str, Any], new: dict[str, Any]) -> Iterable[FieldChange]:
    """Keys whose values differ, in the order of the new version, those taken out last. 1 and 1.0 count as different."""
    for key in [*new, *(key for key in old if key not in new)]:
        one, other = old.get(key, ABSENT), new.get(key, ABSENT)
        if not same(one, other):
            yield FieldChange(str(key), one, other)


def _moved(changes: list[EventChange], after: Sequence[Part]) -> Iterable[Moved]:
    """The fewest events that have to be taken elsewhere to get from the old order to the new one."""
    steady = _longest_rising([change.old_row for change in changes])
    for place, change in enumerate(changes):
        if place not in steady:
            yield Moved(change, after[change.new_row - 1].key if change.new_row else None)


def _longest_rising(rows: list[int]) -> set[int]:
    """Places of a longest rising run; of several, the one that ends lowest."""
    best: list[list[int]] = []
    tails: list[int] = []
    for place, row in enumerate(rows):
        at = next((n for n, tail in enumerate(tails) if tail >= row), len(tails)) if tails and tails[-1] >= row else len(tails)
        run = [*best[at - 1], place] if at else [place]
        best[at : at + 1] = [run]
        tails[at : at + 1] = [row]
    return set(best[-1]) if best else set()
