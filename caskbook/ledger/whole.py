"""A cask with all files of its life, whichever of its numbers it is looked at from: what an entry under any of them is planned and judged by.

A life is folded for the number that goes on. Under another number the same is told of the same cask: the entries of all files, and the head of the file that goes on.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from caskbook.ledger.ahead import held_to_today
from caskbook.ledger.bound_files import Joined
from caskbook.ledger.lineage import life_before
from caskbook.life import Life, live_with
from caskbook.model.cask import Cask
from caskbook.model.untold import lacking_in

if TYPE_CHECKING:
    from caskbook.ledger.files import Ledger
    from caskbook.model.jobs import Event


@dataclass(frozen=True, slots=True)
class Whole:
    """`cask`: the file it is looked at from, with the head of the one that goes on; `joined`: the other files of its life; `goes_on`: the
    cask under whose number it goes on, None where that is this one."""

    ledger: Ledger
    cask: Cask
    joined: Joined
    goes_on: Cask | None = None

    def life(self, day: date) -> Life:
        """Its life on a day."""
        ledger, beside = self.ledger, self.joined
        return live_with(held_to_today(self.cask, ledger.today), ledger.house, day, beside.casks, beside.numbers, beside.untold)

    def before(self, day: date, event_id: str) -> Life:
        """The cask as it stood just before the event of that day and id; told in part as its life is."""
        life, beside = life_before(self.cask, self.ledger.house, day, event_id, self.joined.casks), self.joined
        absent = sorted(beside.numbers - {self.cask.id, *(one.id for one in beside.casks)})
        unread = (*(f"file of {number}" for number in absent), *lacking_in(beside.untold, day, gone=life.state.form == "gone"))
        life.unread, life.lacks_entries = (*life.unread, *unread), life.lacks_entries or bool(unread)
        return life

    def beside(self) -> Iterator[tuple[str, Event]]:
        """(number, entry) of all that its other files hold, out of force or not."""
        yield from ((other.id, event) for other in self.joined.casks for event in other.events)


def whole_of(ledger: Ledger, cask: Cask, *, planned: bool = True, judged: bool = False) -> Whole:
    """The whole cask of a file. `planned`: its other files as a run that is planned would leave them, else as they are; `judged` as `Ledger.joined_to` takes it."""
    number = ledger.joins().get(cask.id)
    going = _file_of(ledger, number, planned) if number is not None else None
    found = ledger.joined_to(going or cask, judged=judged)
    others = [_planned(ledger, one) if planned else one for one in found.casks]
    if going is None or cask.id not in found.numbers:  # A run may put out what joins them.
        return Whole(ledger, cask, found._replace(casks=others) if going is None else ledger.joined_to(cask, judged=judged))
    under = replace(cask, head=going.head.model_copy(update={"cask": cask.id}))
    return Whole(ledger, under, found._replace(casks=[going, *(one for one in others if one.id != cask.id)]), going)


def whole_life(ledger: Ledger, cask: Cask, day: date, *, planned: bool = True, judged: bool = False) -> Life:
    """The life of the whole cask of a file on a day, as `whole_of` takes it."""
    return whole_of(ledger, cask, planned=planned, judged=judged).life(day)


def whole_before(ledger: Ledger, cask: Cask, day: date, event_id: str) -> Life:
    """The whole cask of a file as it stood just before the event of that day and id."""
    return whole_of(ledger, cask).before(day, event_id)


def _planned(ledger: Ledger, cask: Cask) -> Cask:
    return (ledger.planned(cask.id) if ledger.planned is not None else None) or cask


def _file_of(ledger: Ledger, number: str, planned: bool) -> Cask | None:
    """The file of a number; None where it cannot be read."""
    record = ledger.find(number)
    own = record.own if record is not None else None
    return _planned(ledger, own) if planned and own is not None else own
