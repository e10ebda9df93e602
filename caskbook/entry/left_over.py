"""What a sheet wrote before, and no row of it says any more: a row was taken out, or its cask or day was put right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from caskbook.core.finding import CaskbookError
from caskbook.entry.entry import Entry
from caskbook.entry.of_sheet import casks_bearing
from caskbook.entry.plan import CLOSES, OPENS, Plan
from caskbook.entry.row_match import UNSAID, chains_of, of_rows, reads_like
from caskbook.entry.row_places import Faults, Reading
from caskbook.entry.row_says import named, void_commands
from caskbook.model.jobs import Event
from caskbook.model.standing import corrections
from caskbook.words.plural import number_of

_MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Left:
    """An entry of a sheet that stands, and that no row of the sheet as it is now was paired with. `chain`: it, with what it replaced and what
    was put in its place and voided since; `commands`: what puts it out."""

    cask: str
    event: Event
    chain: Sequence[Event]
    commands: str


def tell_left_over(reading: Reading, written: Sequence[Entry]) -> None:
    """A fault for each such entry that belongs to this reading of the sheet, as far as something is written; else a word. Those of a cask
    are told by the last first: an opening that two of them needed goes with the one it was written for only once the other is out."""
    sheets = list(dict.fromkeys(str(entry.data.get("sheet")) for entry in reading.entries if entry.data.get("sheet")))
    days = {entry.day for entry in reading.entries}
    found: dict[str, list[Left]] = {}
    for one in _left(reading, sheets, days):
        found.setdefault(one.cask, []).insert(0, one)
    apart: list[Left] = []
    for of_cask in found.values():
        faults: Faults = []
        apart += [one for one in of_cask if not _told(reading, one, days, faults)]
        row = min((row for row, _ in faults), default=0)
        if written:
            reading.told.faults.extend((row, text) for _, text in faults)
        else:
            reading.told.echoes.extend(text for _, text in faults)
    if apart:
        (reading.told.changed if any(one.event.date in days for one in apart) and written else reading.told.echoes).append(_summed(apart))


def _told(reading: Reading, one: Left, days: set[date], faults: Faults) -> bool:
    """Whether there is something to tell of an entry by itself; it goes into `faults` or is asked about."""
    new = _put_right(reading, one)
    first = next((entry for entry in reading.entries if (entry.cask, entry.day) == (one.cask, one.event.date)), None)
    if new is not None:
        of_that_day = f"; if it was that day: --date {one.event.date}" if "date" in new.assumed and new.cask == one.cask else ""
        faults.append((new.row or 0, _as_before(one, new) + of_that_day + _other_sheet(one)))
    elif first is not None or (reading.same_paper and one.event.date in days):
        faults.append(((first or reading.entries[0]).row or 0, _taken_out(one) + _other_sheet(one)))
    elif (same := _same_job(reading, one)) is not None:
        reading.told.changed.append(f"row {same.row}: {_as_before(one, same)}")
    elif reading.same_paper or one.event.date in days:
        return False
    return True


def _left(reading: Reading, sheets: Sequence[str], days: set[date]) -> Iterator[Left]:
    """The entries of these sheets that stand, in the casks of the rows and in all others, and that no row stands for."""
    here = dict.fromkeys(entry.cask for entry in reading.entries)
    for cask in (
        *here,
        *(one for one in casks_bearing(reading.desk, sheets, [] if reading.same_paper else [day.isoformat() for day in days]) if one not in here),
    ):
        try:
            events = reading.desk.page(cask).events
        except CaskbookError:
            continue  # The file cannot be added to; `check` tells of it.
        found, chains = corrections(events), {one.id: chain for chain in chains_of(events) for one in chain}
        for one in events:
            mine = one.sheet in sheets and of_rows(one) and not one.moved_from and not UNSAID.match(one.note or "")
            if mine and found.stands(one) and (cask, one.id) not in reading.kept:
                yield Left(cask, one, chains[one.id], void_commands(cask, one, chains[one.id], found.fallen, str(one.sheet)))


def surplus(plan: Plan, entries: Sequence[Entry]) -> list[tuple[int, str]]:
    """(row, what is to be done) of openings and closings that the book put in for another row of the sheet, and that a row put in before it
    has made too many."""
    rows = {entry.cask: entry for entry in reversed(entries)}
    found = []
    for page in plan.pages:
        late = {ident for cask, fault in plan.later if cask == page.cask_id for ident in fault.related}
        for one in page.events if page.cask_id in rows else ():
            if one.id in late and one.sheet == rows[page.cask_id].data.get("sheet") and UNSAID.match(one.note or ""):
                why = f"{page.cask_id}  {named(one, 'the')} written for a row behind it is one too many with this row: "
                found.append((rows[page.cask_id].row or 0, f"{why}{void_commands(page.cask_id, one, [one], {}, str(one.sheet))}, then read the sheet again"))
    return found


def wanted_before(plan: Plan, entries: Sequence[Entry]) -> list[str]:
    """What is to be entered before what the sheet wrote behind a row put in: heads that this one left out, or in."""
    sheets = {(entry.cask, entry.data.get("sheet")) for entry in entries}
    found: dict[str, str] = {}
    for page in plan.pages:
        mine = {one.id for one in page.events if (page.cask_id, one.sheet) in sheets}
        for cask, fault in plan.later:
            job = "close" if fault.code in CLOSES else "open" if fault.code in OPENS else ""
            late = next((one for one in fault.related if one in mine), None)
            if job and late and cask == page.cask_id:
                found.setdefault(cask, f"{cask}  once that is written, also: caskbook enter {job} {cask} --heads both --before {late}")
    return list(found.values())


def _put_right(reading: Reading, one: Left) -> Entry | None:
    """A new row that says the same of another day of the cask, or of another cask of the day."""
    for entry in reading.new:
        if (entry.cask == one.cask or entry.day == one.event.date) and any(reads_like(event, entry, but="date") for event in one.chain):
            return entry
    return None


def _same_job(reading: Reading, one: Left) -> Entry | None:
    """A new row of the same job on the same cask, of another day."""
    return next((entry for entry in reading.new if (entry.cask, entry.job) == (one.cask, one.event.job)), None)


def _as_before(one: Left, new: Entry) -> str:
    what = "the cask" if new.cask != one.cask else "only the day"
    return f"this sheet wrote {_where(one)} already, and no row of it says that now; if {what} was changed: {one.commands}, then read the sheet again"


def _taken_out(one: Left) -> str:
    return f"{one.cask}  this sheet wrote {named(one.event)} that no row of it says any more: {one.commands}, if it was not done"


def _where(one: Left) -> str:
    return f"{named(one.event)} on {one.cask} for {one.event.date}"


def _other_sheet(one: Left) -> str:
    return f"; another sheet of the name {one.event.sheet}? --sheet with a name of its own"


def _summed(left: Sequence[Left]) -> str:
    some = "; ".join(f"{_where(one)}: {one.commands}" for one in left[:_MOST_NAMED])
    more = f"; and {len(left) - _MOST_NAMED} more" if len(left) > _MOST_NAMED else ""
    return f"the book has {number_of(len(left), 'entry')} of a sheet of this name that no row says any more, if one was not done: {some}{more}"
