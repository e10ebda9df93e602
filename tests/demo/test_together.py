"""What several casks of an invented ledger do together: their files have to agree, whoever else they have met."""

from __future__ import annotations

from datetime import date

import pytest

from caskbook.demo.dice import Dice
from caskbook.demo.house import UNTIL, Calendar, start_of
from caskbook.demo.page import Page
from caskbook.demo.parcels import HOGSHEAD, Parcel, Plan
from caskbook.demo.story import Block, Story
from caskbook.demo.together import move_entry, swap_heads
from caskbook.model.cask import read_cask
from caskbook.model.standing import corrections

BLOCK = Block(Calendar(start_of(UNTIL).toordinal(), UNTIL.toordinal()), 0.0)
CAME = date(2020, 3, 2).toordinal()


def story(nth: int) -> Story:
    """A hogshead that came and was accepted, all of its chance named by its number."""
    number = f"TH-{nth:06d}"
    dice = Dice(number)
    parcel = Parcel(HOGSHEAD, CAME, "P-1", "2020", 1.0, False, "house", False)
    head = {"cask": number, "format": 1, "type": "hogshead", "capacity_l": 250, "staves": 30, "heads": [5, 5], "hoops": 8}
    told = Story(Page(number, head, dice, BLOCK.calendar), Plan(number, parcel), dice, BLOCK)
    told.add(CAME, "receive", verdict="accept")
    return told


def missing(told: Story) -> tuple[str, ...]:
    """Ids of the corrections of a file that name no entry of it."""
    cask, faults = read_cask({**told.page.head, "events": told.page.in_order()})
    assert cask is not None and not faults
    return tuple(corrections(cask.events).absent)


def test_an_entry_that_was_moved_is_not_moved_on() -> None:
    """Three neighbours met in two pairs: what was written on the second for the first is no sample of the second's own."""
    first, second, third = story(1), story(2), story(3)
    first.add(CAME + 400, "sample", ml=50)
    assert move_entry(second, first)
    assert not move_entry(third, second)  # The second has no sample of its own.
    assert missing(second) == missing(third) == ()


def test_an_entry_that_came_from_another_file_is_not_moved_on() -> None:
    first, second, third = story(1), story(2), story(3)
    first.add(CAME + 400, "sample", ml=50)
    assert move_entry(second, first)
    assert not move_entry(third, first)
    assert missing(first) == missing(third) == ()


def test_an_id_of_several_files_is_new_to_all_of_them() -> None:
    """The id that chance gives is one of the second file already: it would stand there twice."""
    day = CAME + 1500
    other = story(2)
    taken = story(1).page.shared_id(day)
    other.page.add_shared(day, taken, "note", note="as it happened")
    assert story(1).page.shared_id(day) == taken
    assert story(1).page.shared_id(day, other.page) != taken


def test_heads_are_swapped_under_an_id_that_is_new_to_both(monkeypatch: pytest.MonkeyPatch) -> None:
    """Chance gives the same bits and the same minute time and again."""
    monkeypatch.setattr(Dice, "bits", lambda self, count: 7)
    monkeypatch.setattr(Dice, "whole", lambda self, low, high: low)
    one, other = story(1), story(2)
    one.plan.meet = CAME + 1500
    other.page.add_shared(CAME, one.page.shared_id(CAME + 1500), "note", note="as it happened")
    one.page.used.clear()
    assert swap_heads(one, other)
    ids = [event["id"] for event in other.page.events]
    assert len(ids) == len(set(ids))
