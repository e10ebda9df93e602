"""The events of a cask as rows, newest first: what was done, by whom, its short id, and what was put right and why."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from rich.cells import cell_len

from caskbook.life import Life
from caskbook.life.written import Written, written
from caskbook.model.entered import entered_on
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import event_words
from caskbook.model.jobs.work import with_what_is_beside
from caskbook.model.standing import CORRECTORS, reason_put_right, target_of
from caskbook.render.console import cut, pad, safe
from caskbook.render.styled import Styled
from caskbook.words.plural import number_of

Codes = Mapping[str, Sequence[str]]
NONE: Codes = {}
USUAL_ROWS = 6
# Paper lies on the bench over a weekend; what comes later than that is worth telling.
LATE_AFTER_DAYS = 3
_SHORTEST_ID = 3
_JOB_CELLS = 10
_MOST_BY_CELLS = 12
_LEAST_SAYS_CELLS = 12


@dataclass(slots=True)
class EventRow:
    """One event as shown: `says` may be cut, `tail` goes under it where it does not fit; `below` are lines under it, `struck` it is out of force."""

    event: Event
    says: str
    tail: str = ""
    below: list[str] = field(default_factory=list)
    struck: bool = False


def short_ids(ids: Iterable[str]) -> dict[str, str]:
    """For each id the shortest start, of three signs or more, that no other of them has, with … after it."""
    ordered = sorted(set(ids))
    short: dict[str, str] = {}
    for at, one in enumerate(ordered):
        beside = ordered[max(0, at - 1) : at] + ordered[at + 1 : at + 2]
        need = max([_SHORTEST_ID, *(_common(one, other) + 1 for other in beside)])
        short[one] = one if need + 1 >= len(one) else one[:need] + "…"
    return short


def short_of(life: Life) -> dict[str, str]:
    """The ids of all entries of a cask, in short."""
    return short_ids(one.event.id for one in written(life))


def _common(one: str, other: str) -> int:
    return next((at for at, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))


def rows_of(life: Life, found: Codes = NONE) -> list[EventRow]:
    """A row for each event shown, newest first; `found`: id → codes of what the check finds wrong with it."""
    short, several, rows = short_of(life), len({*life.state.joined}) > 1, []
    for one in sorted((one for one in written(life) if one.event.date <= life.day), key=lambda one: (one.event.date, one.event.id)):
        row, event = _row(one, life, short), one.event
        if one.file.number != life.cask.id:
            row.tail += f" (other number, {one.file.number})" if several else " (other number)"
        elif codes := [code for code in found.get(event.id, ()) if code not in event.codes]:
            row.says = f"{row.says.removesuffix(']')}, {', '.join(codes)}]" if event.codes and row.says.endswith("]") else f"{row.says}  [{', '.join(codes)}]"
        rows.append(row)
    return rows[::-1]


def _row(one: Written, life: Life, short: dict[str, str]) -> EventRow:
    """One event as a row: what it says, what it corrects, how late it was entered, and what put it out of force."""
    event, by_id = one.event, one.file.by_id
    row = EventRow(event, says_of(event))
    target = target_of(event)
    if target is not None:
        named = by_id.get(target)
        shown = f"{named.job} of {named.date}" if named else _elsewhere(target, life)
        if event.job in CORRECTORS:
            to = f", to {event.to or '?'}" if event.job == "moved" else ""  # type: ignore[attr-defined]
            row.says = f"{shown}{to}: {event_words(event) if event.codes else with_what_is_beside(event, event.why or '')}"
        else:
            row.below.append(f"in place of {shown}: {reason_put_right(event, named) or 'no reason given'}")
    if event.moved_from:
        row.below.append(f"first written on {event.moved_from}")
    late = days_late(event, life.house.timezone)
    if late is not None:
        row.tail = f" (entered {number_of(late, 'day')} after)"
    killer = one.file.fallen.get(event.id) if "job" not in event.lost else None
    if killer is not None:
        row.struck = True
        row.below.append(_why_fallen(event, killer, by_id, short))
    return row


def _elsewhere(id_: str, life: Life) -> str:
    """An entry that the file of the one that names it does not have."""
    there = next((one for one in written(life) if one.event.id == id_), None) if life.others else None
    return f"{there.event.job} of {there.event.date}, which stands under {there.file.number}" if there else f"entry {id_}, which is not here"


def _why_fallen(event: Event, killer_id: str, by_id: Mapping[str, Event], short: dict[str, str]) -> str:
    killer = by_id.get(killer_id)
    if event.id in (killer_id, target_of(killer) if killer else None) and target_of(event) == killer_id:
        return f"void: it goes round in a circle with {short.get(killer_id, killer_id)}"
    if killer is None:
        return f"void ({killer_id})"
    word = {"void": "void", "moved": f"moved to {getattr(killer, 'to', None) or '?'}"}.get(killer.job, "replaced")
    return f"{word}: {reason_put_right(killer, by_id.get(target_of(killer) or '')) or 'no reason given'} ({short[killer_id]})"


def says_of(event: Event) -> str:
    """What the event says, and its reason and note where those are not in it already."""
    said = event_words(event)
    if event.why and event.why not in said and not event.replaces:
        said += f": {event.why}"
    return with_what_is_beside(event, said)


def days_late(event: Event, timezone: str) -> int | None:
    """Days from the job to its entry in the book where those are more than a few, as the id tells; None otherwise."""
    entered = entered_on(event.id, timezone)
    if entered is None or "date" in event.lost or event.source == "register" or event.replaces or event.moved_from:
        return None
    days = (entered - event.date).days
    return days if days > LATE_AFTER_DAYS else None


def event_lines(life: Life, *, width: int | None, rows: int | None = USUAL_ROWS, found: Codes = NONE) -> Styled:
    """The newest `rows` events (None: all) at most `width` cells wide, and how many earlier ones there are."""
    every = rows_of(life, found)
    if not every:
        return Styled("")
    if rows is None:
        _tell_sheets(every)
    # One or two left out would save nothing: the line that tells of them costs as much.
    shown = every if rows is None or len(every) <= rows + 2 else every[:rows]
    short = short_of(life)
    layout = _Layout.of(shown, short, width)
    lines = [line for row in shown for line in layout.lines(row)]
    if len(shown) < len(every):
        lines.append(Styled(cut(f"  …  {len(every) - len(shown)} earlier, caskbook show {life.cask.id} --all", width)))
    return Styled("\n").join(lines)


def _tell_sheets(rows: Sequence[EventRow]) -> None:
    """Below the newest of entries that bear one sheet and stand together: its name, and how many of those under it bear it too."""
    before: str | None = None
    for at, row in enumerate(rows):
        sheet = row.event.sheet
        if sheet and sheet != before:
            more = next((n for n, other in enumerate(rows[at + 1 :]) if other.event.sheet != sheet), len(rows) - at - 1)
            row.below.append(f"sheet {sheet}" + (f", as the {f'{more} entries' if more > 1 else 'entry'} below" if more else ""))
        before = sheet


@dataclass(frozen=True, slots=True)
class _Layout:
    short: dict[str, str]
    says: int | None
    by: int
    id: int
    width: int | None

    @classmethod
    def of(cls, rows: list[EventRow], short: dict[str, str], width: int | None) -> _Layout:
        by = min(_MOST_BY_CELLS, max(cell_len(safe(row.event.by or "")) for row in rows))
        ids = max(cell_len(short[row.event.id]) for row in rows)
        fixed = 2 + 10 + 2 + _JOB_CELLS + 2
        if width is not None and width - fixed - by - ids - 4 < _LEAST_SAYS_CELLS:
            by = ids = 0
        ends = (by + 2 if by else 0) + (ids + 2 if ids else 0)
        says = None if width is None else max(1, width - fixed - ends)
        if says is None or says > _widest(rows):
            says = max(_widest(rows), 0 if width is None else min(says or 0, 40))
        return cls(short, says, by, ids, width)

    def lines(self, row: EventRow) -> list[Styled]:
        """The lines of one row, the columns aligned; what finds no room beside it stands below."""
        event = row.event
        assert self.says is not None
        fits = cell_len(safe(row.says)) + cell_len(row.tail) <= self.says
        said = pad(row.says + row.tail if fits else row.says, self.says)
        below = row.below if fits or not row.tail else [row.tail.strip(" ()"), *row.below]
        ends = (f"  {pad(event.by or '', self.by)}" if self.by else "") + (f"  {self.short[event.id]}" if self.id else "")
        front = f"{'× ' if row.struck else '  '}{pad(str(event.date), 10)}  {pad(event.job, _JOB_CELLS)}  "
        line = Styled(f"{front}{said}{ends}".rstrip())
        if row.struck:
            line.stylize("strike", 2, len(line))
        elif event.job == "test" and row.says.startswith("FAIL"):
            line.stylize("bold", len(front), len(front) + 4)
        room = None if self.width is None else self.width - 26
        return [line, *(Styled(" " * 26 + cut(text, room)) for text in below)]


def _widest(rows: list[EventRow]) -> int:
    return max(cell_len(safe(row.says)) + cell_len(row.tail) for row in rows)
