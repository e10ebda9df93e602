"""The entries that bear the reference of a sheet or of a run, found by the whole of it or by its end."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from pathlib import PurePosixPath
from typing import NamedTuple

from caskbook.core.finding import CaskbookError
from caskbook.entry.correct import Target, copies_of, other_files, unsaid_for, written_with
from caskbook.entry.page import Page, event_named
from caskbook.entry.plan import Desk
from caskbook.ledger.files import is_cask_id
from caskbook.model.jobs import Event
from caskbook.model.standing import CORRECTORS, corrections, target_of
from caskbook.words.plural import number_of
from caskbook.yaml.escapes import may_hold

_SHORTEST = 4
_MOST_NAMED = 4
_PLAIN = re.compile(r"[0-9A-Za-z-]+")


def casks_bearing(desk: Desk, sheets: Sequence[str], days: Sequence[str] = ()) -> Iterator[str]:
    """Casks whose files may have entries of these sheets, or of ones whose names end or begin so, on one of these days (ISO) where any are
    given: more rather than fewer, by the bytes. A name may be quoted in a file; the longest plain part of it is not."""
    marks = [max(_PLAIN.findall(sheet), key=len, default="").lower().encode() for sheet in sheets]
    dates = [day.encode() for day in days]
    store = desk.ledger.file_store
    for name in store.names() if sheets else ():
        cask = PurePosixPath(name).stem
        data = (store.read(name) or b"").lower() if is_cask_id(cask) else b""
        if data and may_hold(data, *marks) and (not dates or may_hold(data, *dates)):
            yield cask


class OfSheet(NamedTuple):
    """`standing`: (cask, entry) of those that count, cask by cask in the order of the work."""

    name: str
    standing: list[tuple[str, Event]]


def of_sheet(desk: Desk, text: str, casks: Iterable[str]) -> OfSheet:
    """What bears a sheet of that name in these casks; or the one sheet whose name ends or begins so. CaskbookError where none stands."""
    known: dict[str, list[tuple[str, Event]]] = {}
    for cask in casks:
        page = desk.page(cask)
        for event in page.events:
            for sheet in _sheets_of(page, event):
                known.setdefault(sheet, []).append((cask, event))
    name = _meant(text, list(known))
    found = known.get(name, [])
    standing = [(cask, event) for cask, event in found if event.id not in corrections(desk.page(cask).events).fallen]
    if not standing:
        if found:
            raise CaskbookError(f"no standing entry bears the sheet {_shown(name)}: {number_of(len(found), 'entry')} of it, out of force already")
        raise CaskbookError(f"no standing entry bears the sheet {_shown(name)}; caskbook show CASK --all tells the sheets of a cask")
    return OfSheet(name, standing)


def _sheets_of(page: Page, event: Event) -> list[str]:
    """The sheet of an entry; of one put in the place of others without a sheet of its own, the last that they bear."""
    if event.sheet or not event.replaces:
        return [event.sheet] if event.sheet else []
    return next(([one.sheet] for one in replaced_by(page, event) if one.sheet), [])


def _meant(text: str, names: Sequence[str]) -> str:
    """The sheet meant: of that very name, else the only one that ends or begins so. CaskbookError where several do."""
    if text in names:
        return text
    short = text.casefold()
    likely = [name for name in names if name.casefold() == short]
    if not likely and len(text) >= _SHORTEST:
        likely = [name for name in names if name.casefold().endswith(short) or name.casefold().startswith(short)]
    if len(likely) > 1:
        listed = ", ".join(_shown(name) for name in sorted(likely)[:_MOST_NAMED])
        raise CaskbookError(f"{_shown(text)} is the end or the beginning of {len(likely)} sheets: {listed}: which one?")
    return likely[0] if likely else text


def _shown(text: str) -> str:
    return "".join(sign if sign.isprintable() else "?" for sign in text[:60])


def sheet_targets(desk: Desk, found: OfSheet) -> list[Target]:
    """Every entry that goes out of force with a sheet: those that stand, what they replaced of the same sheet, which would stand again,
    their other sides and copies, and what the book wrote of itself with them. Voids go only where the sheet holds nothing else."""
    entries = [one for one in found.standing if one[1].job != "void"] or found.standing
    ids = {(cask, event.id) for cask, event in entries}
    targets = [Target(cask, event, _because(desk.page(cask), event, ids)) for cask, event in entries]
    for cask, event in entries:
        page = desk.page(cask)
        targets += [Target(cask, one, f"what {event.id} replaced") for one in replaced_by(page, event) if one.sheet == found.name]
        targets += [*other_files(desk, cask, event), *copies_of(desk, cask, event)]
        if event.job in CORRECTORS:
            targets += [Target(cask, one, f"written with the {event.job}") for one in written_with(page, event)]
    known: dict[tuple[str, str], Target] = {}
    for one in targets:
        known.setdefault((one.cask, one.event.id), one)
    return [one for one in known.values() if _goes(desk, one, known.keys())]


def _goes(desk: Desk, target: Target, ids: Iterable[tuple[str, str]]) -> bool:
    """Whether an entry stands, or would once the others are out of force."""
    killer = corrections(desk.page(target.cask).events).fallen.get(target.event.id)
    return killer is None or (target.cask, killer) in ids


def _because(page: Page, event: Event, ids: set[tuple[str, str]]) -> str:
    """Of an opening or closing that was put in for another entry of the sheet: for which."""
    job = unsaid_for(page, event)
    return f"written with the {job.job}" if job is not None and (page.cask_id, job.id) in ids else ""


def replaced_by(page: Page, event: Event) -> list[Event]:
    """What an entry replaced, and what that had replaced in turn."""
    found: list[Event] = []
    at: Event | None = event
    while at is not None and at.replaces and (at := event_named(page, target_of(at) or "")) is not None and at not in found:
        found.append(at)
    return found
