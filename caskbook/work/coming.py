"""The verdicts on a cask on each day on which one of them turns, nothing being entered; and those after an emptying that is only planned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.due import Verdict, changes_on, judge
from caskbook.ledger.files import Ledger
from caskbook.life import Life, live_with
from caskbook.life.facts import facts_of
from caskbook.life.later import without_later
from caskbook.life.needs import needs_broken
from caskbook.loss import PeerTable
from caskbook.model.cask import Cask, read_event
from caskbook.model.house import House
from caskbook.model.untold import Gap

_LAST_ID = "zzzzzzzz"
"""Behind every id that is minted, so that what is planned is the last work of its day; two figures behind it count what is."""


@dataclass(frozen=True, slots=True)
class Files:
    """The files of one cask as they were known on a day: its own, and those joined to it. `numbers`: all that it joins, be their files unreadable;
    `untold`: what may be of its history and nobody can tell; `read`: the content of its own file."""

    cask: Cask
    joined: tuple[Cask, ...]
    house: House
    numbers: frozenset[str] = frozenset()
    untold: tuple[Gap, ...] = ()
    read: bytes = b""

    def life(self, day: date) -> Life:
        """The life on a day, of what these files say."""
        return live_with(self.cask, self.house, day, self.joined, self.numbers, self.untold)


def files_of(ledger: Ledger, cask: str, day: date) -> Files:
    """The files of a cask as they were known on the day. CaskbookError where its own cannot be read any more."""
    record = ledger.get(cask)
    own = record.own
    if own is None:
        raise CaskbookError(f"{record.path} cannot be read any more; try again")
    return known_on(with_joined(ledger, own, record.data), day)


def with_joined(ledger: Ledger, cask: Cask, read: bytes = b"") -> Files:
    """The files of a cask whose own was read; `read`: its content."""
    casks, numbers, untold = ledger.joined_to(cask)
    return Files(cask, tuple(casks), ledger.house, numbers, untold, read)


def known_on(files: Files, day: date) -> Files:
    """The same without what was done after the day. What puts an entry out of force holds for all days and stays."""
    untold = tuple(gap for gap in files.untold if gap.since is None or gap.since <= day)
    return replace(files, cask=without_later(files.cask, day), joined=tuple(without_later(other, day) for other in files.joined), untold=untold)


@dataclass(frozen=True, slots=True)
class Turn:
    """A day on which verdicts turned: the life on that day, and all its verdicts."""

    life: Life
    verdicts: Sequence[Verdict]

    @property
    def day(self) -> date:
        """The day."""
        return self.life.day


def turns(files: Files, day: date, until: date, *, peers: PeerTable | None = None, excess_losses: int = 0) -> Iterator[Turn]:
    """The day itself, then each day up to `until` on which some verdict changes if nothing is entered. `peers` and `excess_losses` as `judge` takes them."""
    on: date | None = day
    while on is not None and on <= until:
        life = files.life(on)
        verdicts = judge(life, facts_of(life), peers=peers, excess_losses=excess_losses) if life.begun else []
        yield Turn(life, verdicts)
        on = changes_on(life, verdicts)


def tipped(files: Files, day: date) -> Files | str:
    """The files with the cask emptied on the day, or why it cannot be: what `enter empty` would say of it.

    Nothing came out is said of the litres, for nobody knows them yet: no rule but that of losses asks for them, and that is not asked.
    """
    return laid_in(files, day, {"job": "empty", "litres": 0, "note": "planned"})


def laid_in(files: Files, day: date, fields: Mapping[str, Any], before: Life | None = None) -> Files | str:
    """The files with an entry more, as the last work of the day, or why it cannot be. `fields`: of the entry, all but its id, day and hand;
    `before`: the life of these files on the day, where it is at hand."""
    cask = files.cask
    planned = sum(event.id.startswith(_LAST_ID) for event in cask.events)
    item = {"id": f"{_LAST_ID}{planned:02d}", "date": day, "by": "plan", **fields}
    event, faults = read_event(item, ("events", len(cask.events)))
    if event is None or faults:
        return faults[0].message
    before = before or files.life(day)
    if not before.begun:
        return f"it has no entry up to {day}"
    broken = needs_broken(event, len(cask.events), before.state, first=False)
    return broken[0].message if broken else replace(files, cask=replace(cask, events=(*cask.events, event), rows=(*cask.rows, 1 + max(cask.rows, default=-1))))
