"""The fold: standing events in the order of the work, each judged against the cask as it stood, then applied."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from caskbook.cask import Cask
from caskbook.finding import Fault
from caskbook.house import House
from caskbook.jobs import Event
from caskbook.life.bench import BENCH_EFFECTS
from caskbook.life.custody import CUSTODY_EFFECTS
from caskbook.life.needs import fault_at, needs_broken, policy_broken
from caskbook.life.past import past_of
from caskbook.life.standing import Corrections, corrections
from caskbook.life.state import State
from caskbook.places import Frame
from caskbook.words import is_wine

EFFECTS: dict[str, Callable[[State, Any], None]] = {**BENCH_EFFECTS, **CUSTODY_EFFECTS}
_ARRIVALS = ("receive", "raise", "made-from")
_MAY_CLOSE = ("drive", "hoop", "peg")


@dataclass(slots=True)
class Life:
    """The cask on a day. `events` are the standing ones up to that day in order; `faults` what was impossible or unwise."""

    cask: Cask
    house: House
    day: date
    state: State
    events: list[Event] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    corrections: Corrections = field(default_factory=Corrections)

    @property
    def begun(self) -> bool:
        """Whether anything had happened by the day; before its first event a cask has no figures."""
        return bool(self.events)

    def last(self, *jobs: str) -> Event | None:
        """The last standing event of these jobs."""
        return next((event for event in reversed(self.events) if event.job in jobs), None)


def live(cask: Cask, house: House, day: date, joined: Sequence[Cask] = ()) -> Life:
    """The life of `cask` on `day`, corrections being timeless. `joined`: files that `same-as` made one with this one."""
    put_right = corrections(cask.events)
    ordered = [(event, row) for event, row in zip(cask.events, cask.rows, strict=True) if event.id not in put_right.fallen]
    for other in joined:
        theirs = corrections(other.events)
        ordered += [(event, -1) for event in other.events if event.id not in theirs.fallen]
    ordered.sort(key=lambda pair: (pair[0].date, pair[0].id))
    life = Life(cask, house, day, _start(cask, house, day), corrections=put_right)
    life.state.joined = [event.of for event, _ in ordered if event.job == "same-as"]  # type: ignore[attr-defined]
    _run(life, ordered)
    return life


def _start(cask: Cask, house: House, day: date) -> State:
    head = cask.head
    settings = house.on(day, head.type)
    pieces = (head.heads[0], head.heads[1]) if head.heads else (None, None)
    frame = Frame(head.staves, pieces, head.hoops)
    state = State(house, head.type, past_of(head, settings), frame, settings)
    state.staves_first = head.staves
    state.capacity_l = head.capacity_l
    state.wine_held = state.past.held == "wine"
    return state


def _run(life: Life, ordered: list[tuple[Event, int]]) -> None:
    st, faults = life.state, life.faults
    arrived = False
    for event, row in ordered:
        if event.date > life.day:
            break
        st.seq += 1
        st.day = event.date
        first = not arrived and not any(e.job not in ("note", "void", "moved", "same-as") for e in life.events)
        arrival = first or (row < 0 and event.job in _ARRIVALS) or (bool(st.joined) and event.job in _ARRIVALS)
        found = needs_broken(event, row, st, first=arrival)
        found += policy_broken(event, row, st)
        if row >= 0:
            faults += found
            faults += _leak_faults(event, row, st)
        apply(event, st)
        arrived = arrived or event.job in _ARRIVALS
        life.events.append(event)


def apply(event: Event, st: State) -> None:
    """Change what the event's row names, and answer the defects at its places."""
    answered = event.places()
    if answered:
        st.answer(answered)
    if event.answers:
        st.answer_named(event.answers)
    EFFECTS[event.job](st, event)


def _leak_faults(event: Event, row: int, st: State) -> list[Fault]:
    closes = event.closes if event.job in _MAY_CLOSE else None  # type: ignore[attr-defined]
    if closes is None or any(leak.event == closes for leak in st.leaks):
        return []
    message = f"`closes` names {closes}: no leak of that id is open"
    return [fault_at(event, row, "leak-not-open", message, "name the leak event, or take `closes` out", "closes", severity="warning")]


def is_wine_word(word: str, house: House, day: date) -> bool:
    """Whether the word names a wine in this house."""
    return is_wine(word, house.on(day).wine_words)
