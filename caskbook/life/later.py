"""A life on a later day, nothing being entered: of all that its files say of later days only what puts entries out of force counts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from caskbook.life.fold import Life, live
from caskbook.model.cask import Cask


def without_later(cask: Cask, day: date) -> Cask:
    """The file without what was done after a day. What puts an entry out of force holds for all days, be it of a later one, and so does what stands in
    the place of a later one: the entries stay where they are, and are set aside."""
    later = frozenset(row for event, row in zip(cask.events, cask.rows, strict=True) if event.date > day)
    return cask if later <= cask.aside else replace(cask, aside=cask.aside | later)


def stands_on(life: Life, day: date) -> Life:
    """The life of the same files on a later day. What of them cannot be read, or nobody can tell, stays so. What was impossible or
    unwise of it is not noted: the life itself has that."""
    own, *others = [cask if life.next_event is None else without_later(cask, life.day) for cask in (life.cask, *life.others)]
    later = live(own, life.house, day, others, faults=False)
    later.state.joined = life.state.joined
    later.unread, later.lacks_entries, later.out_of_reach = life.unread, life.lacks_entries, life.out_of_reach
    return later
