"""One block of casks told from end to end: every life by itself, then their meetings, then what follows from these."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from caskbook.demo.bench import make_ready
from caskbook.demo.dice import Dice
from caskbook.demo.filling import fill
from caskbook.demo.house import Calendar, start_of
from caskbook.demo.life import live, live_on, stand
from caskbook.demo.page import BookEndsError, Page, day_of
from caskbook.demo.parcels import HOGSHEAD, Parcel, Plan, head_of, remade_head
from caskbook.demo.plan import BLOCK, Lot, Roster, roster
from caskbook.demo.story import Block, Story
from caskbook.demo.together import convert, move_entry, rack, swap_heads
from caskbook.words import is_wine


@dataclass(frozen=True, slots=True)
class Demo:
    """What ledger is wanted: so many casks, from a seed, up to a day, with a share of planted leakers among the casks
    that were filled long enough to show a leak."""

    casks: int
    seed: int
    until: date
    leakers: float = 0.02

    @property
    def blocks(self) -> int:
        """How many blocks it is told in; what is in a block depends on nothing outside it."""
        return -(-self.casks // BLOCK)


@dataclass(slots=True)
class Told:
    """A block's files in order of number, and what was planted in it: (cask, id of the fill)."""

    pages: list[Page]
    planted: list[tuple[str, str]]


def tell(demo: Demo, number: int) -> Told:
    """All casks of one block."""
    first = number * BLOCK
    size = min(BLOCK, demo.casks - first)
    calendar = Calendar(start_of(demo.until).toordinal(), demo.until.toordinal())
    days = calendar.until - calendar.start - 20
    window = (calendar.start + days * first // demo.casks, calendar.start + days * (first + size) // demo.casks)
    made = roster(demo.seed, number, first + 1, size, window, calendar)
    block = Block(calendar, demo.leakers)
    stories = {plan.number: _story(demo, plan, block) for plan in made.plans}
    _share_heads(made, stories)
    _run(made, stories, demo)
    pages = sorted((story.page for story in stories.values()), key=lambda page: page.number[3:])
    return Told(pages, sorted(block.planted))


def _story(demo: Demo, plan: Plan, block: Block) -> Story:
    dice = Dice(f"{demo.seed}/{plan.number}")
    story = Story(Page(plan.number, head_of(plan, dice), dice, block.calendar), plan, dice, block, day=plan.parcel.day)
    prior = plan.parcel.kind.prior or ()
    story.wine = any(is_wine(contents) for contents, _ in prior)
    story.grain = plan.parcel.grain
    story.life_fills = sum(entry.get("fills", 1) for entry in story.page.head.get("prior", ()))
    story.since_char = story.life_fills if plan.parcel.kind.charred == "made" else 0
    return story


def _share_heads(made: Roster, stories: dict[str, Story]) -> None:
    """A cask labelled twice is described alike under both numbers."""
    for plan in made.plans:
        if plan.fate == "joined":
            other = stories[plan.parents[0]].page
            other.head = {**stories[plan.number].page.head, "cask": other.number}


def _run(made: Roster, stories: dict[str, Story], demo: Demo) -> None:
    """The lives of a block are told: each as far as it waits for others, then the meetings, then each to its end, then the moved entries."""
    steps = {number: live(story) for number, story in stories.items()}
    waits: dict[str, str] = {}
    for plan in sorted(made.plans, key=lambda p: (p.fate != "donor", p.number)):
        waits[plan.number] = _on(steps[plan.number])
    for lot in made.lots:
        members = [stories[plan.number] for plan in lot.members]
        _meet(lot, members, waits, stories, demo)
    for plan in made.plans:
        while waits[plan.number] and not stories[plan.number].spent:
            waits[plan.number] = _on(steps[plan.number])
    for lot in made.lots:
        if lot.kind == "move":
            one, other = (stories[plan.number] for plan in lot.members)
            move_entry(one, other) or move_entry(other, one)


def _on(steps: Iterator[str]) -> str:
    """The life goes on to its next meeting; '' where there is none any more."""
    try:
        return next(steps, "")
    except BookEndsError:
        return ""


def _meet(lot: Lot, members: list[Story], waits: dict[str, str], stories: dict[str, Story], demo: Demo) -> None:
    there = [story for story in members if waits[story.page.number]]
    if lot.kind == "rack":
        target = members[-1]
        if waits[target.page.number] == "rack-in":
            rack([story for story in there if story is not target], target)
    elif lot.kind == "swap" and len(there) == 2:
        swap_heads(*there)
    elif lot.kind == "convert":
        _remade(lot, there, stories, demo)


def _remade(lot: Lot, there: list[Story], stories: dict[str, Story], demo: Demo) -> None:
    """The children of a conversion begin their lives."""
    block = there[0].block if there else next(iter(stories.values())).block
    day = max((story.day for story in there), default=0) + 6
    if len(there) < 2 or day > block.calendar.until:
        _bought_instead(lot, stories, demo, block)
        return
    for number, made in zip(lot.numbers, convert(there, lot.numbers, day), strict=True):
        story = _child(number, made, there, day, demo)
        stories[number] = story
        _on(_grow(story))


def _child(number: str, made: dict[str, Any], parents: list[Story], day: int, demo: Demo) -> Story:
    """The story of a cask that was made of others: its file begins on `day` with what it took over from them."""
    dice = Dice(f"{demo.seed}/{number}")
    block, old = parents[0].block, parents[0].plan.parcel
    parcel = Parcel(HOGSHEAD, day, old.name, old.made, 1.0, False, "house", dice.chance(0.3))
    staves = sum(share["staves"] for share in made["parents"])
    page = Page(number, remade_head(number, staves, dice), dice, block.calendar)
    story = Story(page, Plan(number, parcel), dice, block, day=day, grain=parcel.grain, unproved=True)
    story.wine = any(parent.wine for parent in parents)
    story.life_fills = max(parent.life_fills for parent in parents)
    story.since_char = max(parent.since_char for parent in parents)
    page.add_shared(day, made["id"], "made-from", parents=made["parents"], inherited=made["inherited"], sheet=f"remake-{day_of(day).isoformat()}")
    return story


def _grow(story: Story) -> Iterator[str]:
    if not make_ready(story):
        return
    while not story.spent:
        stand(story)
        fill(story)
        yield from live_on(story)


def _bought_instead(lot: Lot, stories: dict[str, Story], demo: Demo, block: Block) -> None:
    """The conversion never came to pass: its numbers went to casks that were bought then."""
    parcel = lot.members[0].parcel
    late = Parcel(parcel.kind, min(lot.members[0].meet + 40, block.calendar.until - 5), parcel.name + "x", parcel.made, 1.0, False, "house", parcel.grain)
    for number in lot.numbers:
        plan = Plan("TH" + number[2:], late)
        stories[plan.number] = _story(demo, plan, block)
        _on(live(stories[plan.number]))


def planted_leakers(demo: Demo) -> tuple[tuple[str, str], ...]:
    """(cask, id of the fill) of every planted leaker of that ledger; nothing of it stands in the files."""
    return tuple(pair for number in range(demo.blocks) for pair in tell(demo, number).planted)
