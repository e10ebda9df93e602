"""Racking, told on both sides: what left one cask came into the other, as much, as strong and as old."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from datetime import date
from typing import Any

from caskbook.checks.context import Peer, View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.ledger.lineage import life_before
from caskbook.life import Life
from caskbook.model.cask import Cask
from caskbook.model.halves import other_half
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import plain
from caskbook.model.jobs.spirit import RackedTo, RackIn, RackOut
from caskbook.model.untold import held_to, lacking_in
from caskbook.words.job_table import jobs_with

_OAK_SINCE = jobs_with("oak-since")


def racked(view: View) -> Iterable[Fault]:
    """Every racking held against what the other casks tell of it."""
    for event, row in (*view.of("rack-out"), *view.of("rack-in")):
        if isinstance(event, RackOut) and not view.is_spoiled(row, "to"):
            for n, part in enumerate(event.to):
                yield from _out(view, event, row, n, part)
        elif isinstance(event, RackIn) and not view.is_spoiled(row, "from"):
            yield from _in(view, event, row)


def _other_half(view: View, peer: Peer, event: RackOut | RackIn, cask: str) -> tuple[Event, RackedTo] | None:
    """The entry of this racking in the file of the cask on the other side, and what it tells of it."""
    own, others = view.context.numbers(view.cask.id), view.context.numbers(cask)
    other_job = "rack-in" if isinstance(event, RackOut) else "rack-out"
    return other_half(event, _parts(view.work(), event.job, others), _parts(peer.standing, other_job, own), _alike)


def _parts(events: Iterable[Event], job: str, casks: Collection[str]) -> list[tuple[Event, tuple[Event, RackedTo]]]:
    """(racking, itself and what it tells of one of these casks), in the order of the work."""
    field = "to" if job == "rack-out" else "from_"
    return [(one, (one, part)) for one in events if one.job == job for part in getattr(one, field) if part.cask in casks]


def _alike(one: tuple[Event, RackedTo], other: tuple[Event, RackedTo]) -> bool:
    return (one[1].litres, one[1].abv) == (other[1].litres, other[1].abv)


def _missing(view: View, event: Event, row: int, where: tuple[str | int, ...], other: str, known: bool) -> Fault:
    """rack-without-its-pair: one cask's file tells of a racking that the other's does not.

    Why: a racking is written in all its casks or in none; with one half alone spirit vanishes, or comes from nowhere.
    Wrong:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        # TH-004218
        # received 2020-01-01, examined 2024-01-02
    Right:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        # TH-004218
        # received 2020-01-01, examined 2024-01-02
        - {id: e1000001, date: 2024-01-03, job: rack-in, by: ab, from: [{cask: TH-004217, litres: 180,
           abv: 62}], at_20: true, spirit: malt, oak_since: 2020-01-03}
    """
    what = "its file does not tell of this racking" if known else "no cask of the book"
    hint = f"enter the other half in {other}, or void this entry" if known else "correct the number, or void this entry"
    return fault(row, "rack-without-its-pair", f"`cask` is {other}: {what}", hint, *where, of=event)


def _out(view: View, event: RackOut, row: int, n: int, part: RackedTo) -> Iterator[Fault]:
    peer = view.context.whole(part.cask)
    if peer is None or (peer.cask is not None and _other_half(view, peer, event, part.cask) is None):
        yield _missing(view, event, row, ("to", n, "cask"), part.cask, peer is not None)


def _in(view: View, event: RackIn, row: int) -> Iterator[Fault]:
    """The faults of one racking in: each source is a cask of the book that tells of the same racking, the figures agree, and so does the age."""
    since: list[date | None] = []
    aside = False
    for n, part in enumerate(event.from_):
        peer = view.context.whole(part.cask)
        half = _other_half(view, peer, event, part.cask) if peer and peer.cask else None
        if peer is not None and peer.cask is None:
            return
        if peer is None or peer.cask is None or half is None:
            yield _missing(view, event, row, ("from", n, "cask"), part.cask, peer is not None)
            since = [None]
            break
        out, theirs = half
        yield from _figures(event, row, n, part, theirs)
        yield from _ids(view, event, row, part, out)
        files = (peer.cask, *peer.others)
        if not view.is_spoiled(row, "date") and not any((out.id, "date") in file.guessed for file in files):
            yield from _day(event, row, part, out)
        before = life_before(peer.cask, view.context.house, out.date, out.id, peer.others)
        if _age_unread(before, *files):
            return
        aside = aside or (event.oak_since == "unknown" and _told_otherwise(view, part.cask, files, out.date))
        since.append(before.state.oak_since)
        if len(event.from_) == 1 and not view.is_spoiled(row, "spirit") and not any(name == "spirit" for file in files for _, name in file.guessed):
            yield from _spirit(view, event, row, before)
    else:
        if not aside and not view.is_spoiled(row, "oak_since"):
            yield from _age(event, row, since)


def _told_otherwise(view: View, cask: str, files: Collection[Cask], day: date) -> bool:
    """Whether on the day of the racking two files tell of the source otherwise, so that nobody knows the age of what it held: by an entry moved or a number
    joined, or by work in which it had a part and of which another file alone tells."""
    if any(one.job in ("moved", "same-as") or one.moved_from for file in files for one in file.events):
        return True
    return bool(lacking_in(held_to(view.context.untold_of(cask), view.context.today), day, gone=False))


def _age_unread(source: Life, *files: Cask) -> bool:
    """Whether what a cask says of the age of its spirit cannot be read, so that nothing can be held against it."""
    filling = source.state.filling
    if filling is None:
        return False
    brought = [event.id for event in source.events[max(0, filling.seq - 1) :] if event.job in _OAK_SINCE]
    return any((entry, name) in file.guessed for file in files for entry in brought for name in ("date", "oak_since"))


def _figures(event: Event, row: int, n: int, part: RackedTo, half: RackedTo) -> Iterator[Fault]:
    """rack-figures-differ: the two sides of a racking tell of different litres or strength.

    Why: one of them was put right and the other not; the book then holds more, or less, than there is.
    Wrong:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        # TH-004218
        # received 2020-01-01, examined 2024-01-02
        - {id: e1000001, date: 2024-01-03, job: rack-in, by: ab, from: [{cask: TH-004217, litres: 108,
           abv: 62}], at_20: true, spirit: malt, oak_since: 2020-01-03}
    Right:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        # TH-004218
        # received 2020-01-01, examined 2024-01-02
        - {id: e1000001, date: 2024-01-03, job: rack-in, by: ab, from: [{cask: TH-004217, litres: 180,
           abv: 62}], at_20: true, spirit: malt, oak_since: 2020-01-03}
    """
    for name in ("litres", "abv"):
        mine, theirs = getattr(part, name), getattr(half, name)
        if mine is not None and theirs is not None and mine != theirs:
            text = f"`{name}` is {plain(mine)}: {part.cask} tells of {plain(theirs)}"
            yield fault(row, "rack-figures-differ", text, "replace the wrong side, so that both tell the same", "from", n, name, of=event)


def _day(event: Event, row: int, part: RackedTo, out: Event) -> Iterator[Fault]:
    """rack-day-differs: the two sides of a racking are of different days.

    Why: between them the liquor is nowhere, or in two casks at once.
    Wrong:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        # TH-004218
        # received 2020-01-01, examined 2024-01-02
        - {id: e1000001, date: 2024-01-05, job: rack-in, by: ab, from: [{cask: TH-004217, litres: 180,
           abv: 62}], at_20: true, spirit: malt, oak_since: 2020-01-03}
    Right:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        # TH-004218
        # received 2020-01-01, examined 2024-01-02
        - {id: e1000001, date: 2024-01-03, job: rack-in, by: ab, from: [{cask: TH-004217, litres: 180,
           abv: 62}], at_20: true, spirit: malt, oak_since: 2020-01-03}
    """
    if event.date != out.date:
        text = f"`date` is {event.date}: {part.cask} tells of {out.date}"
        yield fault(row, "rack-day-differs", text, "replace the wrong side, so that both are of one day", "date", of=event)


def _ids(view: View, event: Event, row: int, part: RackedTo, out: Event) -> Iterator[Fault]:
    """rack-ids-differ: the two sides of a racking have each an id of its own; told at the side that it came into.

    Why: one run writes both under one id, by which each is known for the other; these are taken for one by their day and figures, and a
    racking of the same day more would leave it open which is whose.
    Wrong:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        # TH-004218
        # received 2020-01-01, examined 2024-01-02
        - {id: e1000002, date: 2024-01-03, job: rack-in, by: ab, from: [{cask: TH-004217, litres: 180,
           abv: 62}], at_20: true, spirit: malt, oak_since: 2020-01-03}
    Right:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        # TH-004218
        # received 2020-01-01, examined 2024-01-02
        - {id: e1000001, date: 2024-01-03, job: rack-in, by: ab, from: [{cask: TH-004217, litres: 180,
           abv: 62}], at_20: true, spirit: malt, oak_since: 2020-01-03}
    """
    if event.id != out.id and not event.replaces and not out.replaces and event.source is None and not view.is_spoiled(row, "id"):
        text = f"`id` is {event.id}: {part.cask} tells of this racking as {out.id}"
        yield fault(row, "rack-ids-differ", text, "nothing, where both are of one racking; by hand write both sides under one id", "id", of=event)


def _spirit(view: View, event: RackIn, row: int, source: Life) -> Iterator[Fault]:
    """rack-spirit-differs: what was racked in from one cask is called otherwise than what that cask held.

    Why: a racking changes no spirit; one of the two is misread, and its class and peers go by it.
    Wrong:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        # TH-004218
        # received 2020-01-01, examined 2024-01-02
        - {id: e1000001, date: 2024-01-03, job: rack-in, by: ab, from: [{cask: TH-004217, litres: 180,
           abv: 62}], at_20: true, spirit: grain, oak_since: 2020-01-03}
    Right:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        # TH-004218
        # received 2020-01-01, examined 2024-01-02
        - {id: e1000001, date: 2024-01-03, job: rack-in, by: ab, from: [{cask: TH-004217, litres: 180,
           abv: 62}], at_20: true, spirit: malt, oak_since: 2020-01-03}
    """
    held = source.state.spirit
    if held is not None and event.spirit is not None and not view.on(event.date).same_spirit(held, event.spirit):
        text = f"`spirit` is {event.spirit}: {source.cask.id} held {held}"
        yield fault(
            row, "rack-spirit-differs", text, f"replace it by an entry with `spirit: {held}`, or correct what {source.cask.id} held", "spirit", of=event
        )


def _age(event: RackIn, row: int, since: list[date | None]) -> Iterator[Fault]:
    """rack-age-differs: `oak_since` of a racking is not the youngest of its sources.

    Why: the age of a mixture is that of its youngest part; an older one on the label would be wrong.
    Wrong:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        # TH-004218
        # received 2020-01-01, examined 2024-01-02
        - {id: e1000001, date: 2024-01-03, job: rack-in, by: ab, from: [{cask: TH-004217, litres: 180,
           abv: 62}], at_20: true, spirit: malt, oak_since: 2010-01-03}
    Right:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2024-01-03, job: rack-out, by: ab, to: [{cask: TH-004218, litres: 180,
           abv: 62}], at_20: true, why: into a butt}
        # TH-004218
        # received 2020-01-01, examined 2024-01-02
        - {id: e1000001, date: 2024-01-03, job: rack-in, by: ab, from: [{cask: TH-004217, litres: 180,
           abv: 62}], at_20: true, spirit: malt, oak_since: 2020-01-03}
    """
    days: list[Any] = [day for day in since if day is not None]
    youngest = max(days) if len(days) == len(since) and days else "unknown"
    if event.oak_since != youngest:
        text = f"`oak_since` is {event.oak_since}: the sources give {youngest}"
        yield fault(row, "rack-age-differs", text, f"replace it by an entry with `oak_since: {youngest}`", "oak_since", of=event)


RULES = (
    Rule(
        racked,
        {
            "rack-without-its-pair": "error",
            "rack-figures-differ": "error",
            "rack-ids-differ": "note",
            "rack-day-differs": "error",
            "rack-age-differs": "warning",
            "rack-spirit-differs": "warning",
        },
        on=("rack-in", "rack-out"),
    ),
)
