"""The append-only law: what landed is never altered, removed or moved. Two states of the ledger are compared, by event id."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from caskbook.checks.docs.landed import CODES
from caskbook.core.finding import START, Finding, Span, in_file_order
from caskbook.core.typed_word import typed_word
from caskbook.ledger.changes import ABSENT, CaskChange, EventChange, FieldChange
from caskbook.ledger.layout_changes import same
from caskbook.words.plural import number_of
from caskbook.yaml.write import flow_text

_KEY = re.compile(r"[a-z_]+")
_MOST_OF_A_LINE = 400
_MOST_OF_A_TEXT = 40
_PUT_BACK = "put it back as it was, and put a mistake right by adding: caskbook void"


def append_only(changes: Iterable[CaskChange]) -> list[Finding]:
    """Every breach in these changes, each once, in file order: altered, removed, moved; changed heads; mere layout as a note."""
    return in_file_order(breach.finding for change in changes for breach in breaches(change))


@dataclass(frozen=True, slots=True)
class Breach:
    """One breach of the law. `unit` names what was altered, the same in every pair of versions; `old` and `new` are what it was
    and is (ABSENT where it is not there); `event` and both its versions where the unit is one, or a field of one."""

    finding: Finding
    unit: tuple[str, ...]
    old: Any = ABSENT
    new: Any = ABSENT
    event: EventChange | None = None
    text: bytes = b""

    @property
    def fact(self) -> tuple[object, ...]:
        """What tells one alteration from another, wherever it is met."""
        return (self.finding.code, self.unit, repr(self.old), repr(self.new))


def breaches(change: CaskChange) -> Iterator[Breach]:
    """Every breach in one file, lines that were mended first, notes about mere layout last."""
    yield from _mended(change)
    if change.kind == "removed" and change.old is not None:
        count = len(change.removed)
        finding = _finding_at(
            change,
            "landed-file-removed",
            START,
            f"{change.name} is gone, with {number_of(count, 'event')}",
            "restore the file; enter `dispose` or `break-up` for a cask that left",
        )
        yield Breach(finding, ("file", change.name), data_of(change.removed, old=True))
        return
    if change.kind == "unreadable":
        finding = _finding_at(
            change, "landed-file-unreadable", START, f"cannot be compared with what landed: {change.reason}"[:160], "put the file right, then compare again"
        )
        yield Breach(finding, ("text", change.name), change.old.data if change.old else ABSENT, change.new.data if change.new else ABSENT)
        return
    if change.old is None or change.new is None:
        return
    if change.old.path != change.new.path:
        yield _moved(change)
    yield from _events(change)
    yield from _head(change)
    for text in change.layout:
        yield Breach(
            _finding_at(change, "landed-layout-changed", START, f"{text} changed; the data is the same", "leave the lines as they landed"),
            ("layout", change.name, text),
        )


def _mended(change: CaskChange) -> Iterator[Breach]:
    """A warning for each line that could not be read when it landed and reads now, or was taken out."""
    for one in change.mended:
        now = "was taken out" if one.new is None else f"reads {value_text(one.new, _MOST_OF_A_LINE)} now"
        spot = Span(one.line, 1, one.line, 1)
        finding = _finding_at(
            change,
            "landed-text-mended",
            spot,
            f"could not be read when it landed: {value_text(one.old, _MOST_OF_A_LINE)} {now}",
            "see with who wrote it that it says what was meant",
        )
        yield Breach(finding, ("line", change.name, one.old), one.old, ABSENT if one.new is None else one.new)


def data_of(events: Iterable[EventChange], *, old: bool) -> dict[str, Any]:
    """The data of events by id, of the one version or the other."""
    return {event.id or "": event.old if old else event.new for event in events}


def _finding_at(change: CaskChange, code: str, span: Span, message: str, help_: str) -> Finding:
    record = change.new or change.old
    assert record is not None
    return Finding(code, CODES[code], message, record.path, span, help_, change.name)


def _moved(change: CaskChange) -> Breach:
    """The breach of a file that bears another name now, or lies in another folder."""
    assert change.old is not None and change.new is not None
    old, new = change.old, change.new
    was = old.name if old.name != new.name else "/".join(old.path.split("/")[-3:])
    help_ = (
        f"rename it back; two numbers of one cask are joined by `same-as: {old.name}`"
        if old.name != new.name
        else "move it back: its folder is its number without the last three digits"
    )
    return Breach(
        _finding_at(change, "landed-file-renamed", new.document.span(("cask",)), f"this was {was} when it landed", help_),
        ("place", old.name),
        old.path,
        new.path,
    )


def _events(change: CaskChange) -> Iterator[Breach]:
    """A breach for each landed event of a cask that was altered, is gone, or stands in another place now."""
    name = change.old.name if change.old is not None else change.name
    for event in change.altered:
        for field in event.fields:
            message = f"{_named(event)}: {_both(field)}"
            finding = _finding_at(change, "landed-event-altered", change.span(event, field.key), message, f"{_PUT_BACK} {change.name} {event.id} --why …")
            yield Breach(finding, ("field", name, event.id or "", field.key), field.old, field.new, event)
    for event in change.removed:
        twin = look_alike(event, change.added)
        message = f"{_named(event)} is gone" + (f"; {twin.id or 'an event without id'} has the same data" if twin else "")
        help_ = "give it its id back" if twin else f"{_PUT_BACK} {change.name} {event.id} --why …"
        yield Breach(
            _finding_at(change, "landed-event-removed", change.span(twin or event), message, help_), ("event", name, event.id or ""), event.old, ABSENT, event
        )
    for moved in change.moved:
        where = f"behind {moved.behind}" if moved.behind else "first"
        finding = _finding_at(
            change,
            "landed-events-reordered",
            change.span(moved.event),
            f"{_named(moved.event)} stands {where} now, it landed elsewhere",
            "put it back in its place",
        )
        yield Breach(finding, ("order", name, moved.event.id or ""), event=moved.event)


def _head(change: CaskChange) -> Iterator[Breach]:
    assert change.new is not None
    for field in change.head:
        if field.old is ABSENT or (field.key == "cask" and change.kind == "renamed"):
            continue  # To say what was unknown before takes nothing away, and a rename is told already.
        span = change.new.document.span((field.key,) if field.new is not ABSENT else ("events",), key=field.new is ABSENT)
        finding = _finding_at(change, "landed-head-changed", span, _both(field), _head_help(change, field))
        yield Breach(finding, ("head", change.old.name if change.old else change.name, field.key), field.old, field.new)


def _head_help(change: CaskChange, field: FieldChange) -> str:
    """What to do: `correct` says the right value beside the written head, of any key but the number and the format."""
    if field.new is ABSENT or field.key in ("cask", "format") or not _KEY.fullmatch(field.key):
        return "put it back as it was"
    return f"put it back: caskbook enter correct {typed_word(change.name)} --{field.key.replace('_', '-')} VALUE --why …"


def look_alike(gone: EventChange, added: Iterable[EventChange]) -> EventChange | None:
    """An added event of the same data but for the id. It is another event all the same; this only helps a person to see."""
    bare = {key: value for key, value in (gone.old or {}).items() if key != "id"}
    return next((one for one in added if same({k: v for k, v in (one.new or {}).items() if k != "id"}, bare)), None)


def _named(event: EventChange) -> str:
    data = event.old or event.new or {}
    return f"{data.get('job', 'event')} of {data.get('date', 'no date')} ({event.id or 'no id'})"


def _both(field: FieldChange) -> str:
    """Both values of a key, in one line; both texts where only these differ."""
    if field.two_ways:
        return f"`{field.key}` was {field.old[:_MOST_OF_A_TEXT]} when it landed, is {field.new[:_MOST_OF_A_TEXT]}: read two ways"
    old, new = value_text(field.old), value_text(field.new)
    if old == new:  # The two differ only where a long text was cut.
        old, new = value_text(field.old, last=True), value_text(field.new, last=True)
    return f"`{field.key}` was {old} when it landed, is {new}"


def value_text(value: object, most: int = 40, *, last: bool = False) -> str:
    """A value as it may stand in a message: on one line, cut to its first (or last) `most` characters."""
    if value is ABSENT:
        return "absent"
    text = flow_text(value) if isinstance(value, dict | list) else f'"{value}"' if isinstance(value, str) else str(value)
    text = "".join(sign if sign.isprintable() else "?" for sign in text)
    if len(text) <= most:
        return text
    return "…" + text[1 - most :] if last else text[: most - 1] + "…"
