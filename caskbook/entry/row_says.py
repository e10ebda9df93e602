"""What is said of a row of a sheet that is read again, and of what the book holds of it."""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence

from caskbook.entry.entry import Entry
from caskbook.entry.page import Page, event_named, tidy
from caskbook.entry.row_match import Slot
from caskbook.model.cask import read_event
from caskbook.model.jobs import Event
from caskbook.model.standing import corrections


def named(event: Event, article: str = "") -> str:
    """ "a test (dt3q62s1)"."""
    return f"{article or ('an' if event.job[0] in 'aeio' else 'a')} {event.job} ({event.id})"


def stays_out(entry: Entry, event: Event, page: Page) -> str:
    """That an entry made of the row counts no more, and is not brought back, and what stands in its place."""
    heir = event_named(page, corrections(page.events).heirs(page.events).get(event.id, ""))
    if heir is not None:
        return f"row {entry.row}: its entry ({event.id}) was put out of force, and stays so: {named(heir)} of {heir.date} stands in its place"
    return f"row {entry.row}: its entry ({event.id}) was put out of force, and stays so; enter it by itself if it shall stand"


def otherwise(entry: Entry, there: Event) -> str:
    """That an entry has the id of this row, and says something else."""
    return f"{entry.cask} has {named(there)} of that day, made of a row like this one, which reads otherwise: enter this row by itself"


def changed(entry: Entry, before: Event, *, moved: bool = False) -> str:
    """What a row replaces, and by what."""
    if moved:
        return (
            f"row {entry.row}: moved since this sheet was entered; {entry.cask} {before.job} {before.id} is replaced by the same at the row's place of the day"
        )
    now, _ = read_event({**tidy(entry.data), "id": before.id}, ())
    return (
        f"row {entry.row}: changed since this sheet was entered; {entry.cask} {before.job} {before.id} ({before.says() or 'no more said'})"
        f" is replaced by: {(now.says() if now else '') or 'no more said'}"
    )


def by_hand(entry: Entry, slot: Slot) -> str:
    """That what a row wrote was put right by hand, and reads neither as before nor as the row does now."""
    heir = slot.current or slot.heir
    first = next((one for one in slot.past if one is not heir), slot.last)
    if heir is None or heir.job == "moved":
        to = f" to {getattr(heir, 'to', '?')}" if heir is not None else ""
        return f"{named(first)} that this sheet wrote on {entry.cask} was put right by hand, moved{to}: put the row right by hand too, its cask or its words"
    of = f" of {heir.date}" if heir.date != entry.day else ""
    return (
        f"what this sheet wrote on {entry.cask} was put right by hand: {heir.id}{of} ({heir.says() or 'no more said'}) counts; write the row as that, or if it is"
        f" to be as the row: caskbook enter {heir.job} {entry.cask} --replaces {heir.id} --sheet {shlex.quote(str(entry.data.get('sheet')))} --why …, with what it says"
    )


def void_commands(cask: str, event: Event, chain: Sequence[Event], fallen: Mapping[str, str], sheet: str) -> str:
    """The commands that put an entry out of force, and in turn each that would come back by that. `chain`: the entry and what it replaced;
    `fallen`: what is out of force, and by what."""
    known, ids = {one.id: one for one in chain}, [event.id]
    at = known.get(event.replaces or "")
    while at is not None and at.id not in ids:
        ids += [at.id] if fallen.get(at.id) in known else []  # What was voided itself does not come back.
        at = known.get(at.replaces or "")
    why = shlex.quote(f"not on the sheet {sheet}")
    return ", then ".join(f"caskbook void {cask} {one} --why {why}" for one in ids)
