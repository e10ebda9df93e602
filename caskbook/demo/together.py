"""What several casks do together: racking under one shared id, five barrels into four hogsheads, heads swapped, entries moved."""

from __future__ import annotations

from typing import Any

from caskbook.demo.filling import racked_in
from caskbook.demo.house import house_settings
from caskbook.demo.page import BookEndsError, day_of, fig
from caskbook.demo.story import Story, month_of
from caskbook.ledger.lineage import inherited_from, life_before
from caskbook.life import Life
from caskbook.model.cask import Cask, read_cask

ROOM = 0.985


def rack(sources: list[Story], target: Story) -> bool:
    """Rack the sources into the target on their day; those that no longer fit stay as they are. False if none fits."""
    day = target.plan.meet
    parts: list[tuple[Story, float, float]] = []
    room = target.capacity * ROOM
    for story in sources:
        litres, abv = (0.0, 0.0) if story.liquor is None else story.liquor.at(day)
        lost = 0.4
        if story.liquor is not None and story.day < day and 20 < litres - lost <= room:
            parts.append((story, round(litres - lost, 1), round(abv, 1)))
            room -= litres
    if not parts or day > target.block.calendar.until or target.day >= day:
        return False
    event_id = target.page.shared_id(day, *(story.page for story, _, _ in parts))
    _write_rack(target, parts, day, event_id)
    return True


def _write_rack(target: Story, parts: list[tuple[Story, float, float]], day: int, event_id: str) -> None:
    """One racking is written into all its casks: out of each part's (story, litres, % vol), into the target, under one id."""
    oldest: list[int] = []
    for story, litres, abv in parts:
        assert story.liquor is not None
        oldest.append(story.liquor.oak_since or story.liquor.start)
        to = [{"cask": target.page.number, "litres": fig(litres), "abv": fig(abv)}]
        story.page.add_shared(day, event_id, "rack-out", to=to, lost_l=0.4, at_20=True, sheet=f"rack-{day_of(day).isoformat()}", why="finishing")
        story.liquor, story.day = None, day
    total = sum(litres for _, litres, _ in parts)
    abv = sum(litres * strength for _, litres, strength in parts) / total
    sources = [{"cask": story.page.number, "litres": fig(litres), "abv": fig(strength)} for story, litres, strength in parts]
    racked_in(target, event_id, day, sources, total, abv, max(oldest))


def convert(parents: list[Story], numbers: list[str], day: int) -> list[dict[str, Any]]:
    """Take the parents down and give what each child's first entry says: parents, staves of each, inherited figures."""
    event_id = parents[0].page.shared_id(day, *(story.page for story in parents[1:]))
    given = [story.staves - story.dice.whole(0, 2) for story in parents]
    lives = [_life_before(story, day, event_id) for story in parents]
    inherited = {key: value for key, value in inherited_from(lives, unnumbered=False).items() if value is not None}
    for story, staves in zip(parents, given, strict=True):
        story.page.add_shared(day, event_id, "convert", children=numbers, staves=staves, sheet=f"remake-{day_of(day).isoformat()}")
        story.spent = True
    shares = [[staves // len(numbers) + (n < staves % len(numbers)) for staves in given] for n in range(len(numbers))]
    return [
        {"id": event_id, "parents": [{"cask": p.page.number, "staves": count} for p, count in zip(parents, share, strict=True)], "inherited": inherited}
        for share in shares
    ]


def _life_before(story: Story, day: int, event_id: str) -> Life:
    return life_before(cask_of(story), house_settings(day_of(story.block.calendar.until)), day_of(day), event_id)


def cask_of(story: Story) -> Cask:
    """The cask as a reader would find it."""
    cask, faults = read_cask({**story.page.head, "events": story.page.in_order()})
    if cask is None or faults:
        raise AssertionError(f"{story.page.number}: {faults}")
    return cask


def swap_heads(one: Story, other: Story) -> bool:
    """Two casks of a parcel turn out to bear each other's head A: both are opened and the book says so."""
    day = max(one.plan.meet, one.day + 1, other.day + 1)
    if day + 2 > one.block.calendar.until or one.liquor is not None or other.liquor is not None:
        return False
    for story in (one, other):
        story.add(day, "open", heads=["A"])
    event_id = one.page.shared_id(day, other.page)
    for story, partner in ((one, other), (other, one)):
        story.page.add_shared(day, event_id, "swap-heads", **{"with": partner.page.number}, heads=["A"], why="numbers did not fit the staves")
    for story in (one, other):
        story.add(day + 1, "close", heads=["A"])
    return True


def move_entry(wrong: Story, right: Story) -> bool:
    """One sample of `right` was first written on `wrong`; found out weeks later and moved. What another move left there is none of its own."""
    named = {event["of"] for event in right.page.events if event["job"] == "moved"}
    for at, event in enumerate(right.page.events):
        same_day = sum(e["date"] == event["date"] for e in right.page.events) == 1
        if event["job"] != "sample" or not same_day or event["id"] in named or "moved_from" in event:
            continue
        day = event["date"].toordinal()
        found_out = day + 9 + month_of(day)
        if found_out > right.block.calendar.until or day <= wrong.page.events[0]["date"].toordinal():
            continue
        fields = {key: value for key, value in event.items() if key not in ("id", "date", "job")}
        first = wrong.page.add_late(day, day, "sample", **fields)
        try:
            wrong.page.add(found_out, "moved", of=first, to=right.page.number, why="next cask in the row")
            del right.page.events[at]
            right.page.add_late(day, found_out, "sample", **fields, moved_from=f"{wrong.page.number}/{first}")
        except BookEndsError:  # The day was looked at above.
            return False
        return True
    return False
