"""The fold: standing events in the order of the work, each judged against the cask as it stood, then applied."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from caskbook.core.finding import Fault
from caskbook.life.arrivals import arrived_again
from caskbook.life.bench import BENCH_EFFECTS
from caskbook.life.carried import Own
from caskbook.life.custody import CUSTODY_EFFECTS
from caskbook.life.first_staves import FirstStaves
from caskbook.life.leak_faults import MAY_CLOSE, SEEN_AGAIN, leak_faults
from caskbook.life.needs import (
    LOOKED_INTO,
    needs_broken,
    places_absent,
    wine_strength,
)
from caskbook.life.order import in_order_of_work, is_ordered
from caskbook.life.past import past_of
from caskbook.life.policy import WITH_POLICY, policy_broken
from caskbook.life.state import State
from caskbook.life.unsure import lacks_entries, note_lost, sure_again, unread_of
from caskbook.model.cask import Cask
from caskbook.model.house import House
from caskbook.model.jobs import JOBS, Event
from caskbook.model.jobs.base import Need
from caskbook.model.places import Frame
from caskbook.model.standing import Corrections, corrections, own_reasons
from caskbook.model.untold import Gap, lacking_in
from caskbook.words.job_table import jobs_of_family, jobs_with

EFFECTS: dict[str, Callable[[State, Any], None]] = {**BENCH_EFFECTS, **CUSTODY_EFFECTS}
_ARRIVALS = jobs_with("arrival")
_BOOK = jobs_of_family("book")
NO_WORK = jobs_with("no-work")  # where only these stand, there is no cask to speak of


@dataclass(slots=True)
class Life:
    """The cask on a day. `events` are the standing ones up to that day in order; `faults` what was impossible or unwise;
    `joined_faults` what was impossible of the entries of joined files: (its number, the entry, what);
    `in_order`: the file's own events all stand in the order of the work; `on_wine`: ids of those that found wine in the cask;
    `next_event`: the day of the first standing entry after the day, of joined files too;
    `numbers`: the number of the joined file that each entry out of one is from, by the identity of the entry; `later_joined`: how many
    entries of joined files are of a later day; `unread`: what of its file, or of one joined to it, cannot be read and may have said anything, in words;
    `lacks_entries`: among that are whole entries, `out_of_reach`: all that would tell of work; `files`: by number the files of a cask that has several,
    `others`: those joined to its own, as they were read."""

    cask: Cask
    house: House
    day: date
    state: State
    events: list[Event] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    joined_faults: list[tuple[str, Event, Fault]] = field(default_factory=list)
    corrections: Corrections = field(default_factory=Corrections)
    in_order: bool = False
    next_event: date | None = None
    on_wine: set[str] = field(default_factory=set)
    numbers: Mapping[int, str] = field(default_factory=dict)
    later_joined: int = 0
    unread: tuple[str, ...] = ()
    lacks_entries: bool = False
    out_of_reach: bool = False
    files: Mapping[str, Own] = field(default_factory=dict)
    others: Sequence[Cask] = ()

    @property
    def in_part(self) -> bool:
        """Whether it is told without some of what its file, or one joined to it, says."""
        return bool(self.unread)

    @property
    def begun(self) -> bool:
        """Whether anything had happened to the cask by the day; before that, and where its receipt was voided and only notes,
        voids, moves and marks stand, it has no figures. Where no entry of work can be read on any day, it may have happened on any."""
        for event in self.events:
            if event.job not in NO_WORK:
                return True
        return self.out_of_reach

    def last(self, *jobs: str) -> Event | None:
        """The last standing event of these jobs."""
        return next((event for event in reversed(self.events) if event.job in jobs), None)


def live(cask: Cask, house: House, day: date, joined: Sequence[Cask] = (), *, faults: bool = True) -> Life:
    """The life of `cask` on `day`, corrections being timeless. `joined`: files that `same-as` made one with this one; `faults`: whether it is noted what
    was impossible or unwise."""
    put_right = corrections(cask.events)
    fallen = put_right.fallen
    ordered = list(zip(cask.events, cask.rows, strict=True))
    if fallen:
        ordered = [pair for pair in ordered if pair[0].id not in fallen]
    heirs = [put_right.heirs(cask.events) if fallen else {}]
    numbers: dict[int, str] = {}
    for other in joined:
        theirs = corrections(other.events)
        heirs.append(theirs.heirs(other.events))
        standing = [event for event in other.events if event.id not in theirs.fallen]
        ordered += [(event, -1) for event in standing]
        numbers.update((id(event), other.id) for event in standing)
    in_order = is_ordered(cask.events)
    if joined or not in_order:
        ordered.sort(key=lambda pair: in_order_of_work(pair[0]))
    life = Life(cask, house, day, _start(cask, house, day), corrections=put_right, in_order=in_order, numbers=numbers, others=tuple(joined))
    life.later_joined = sum(event.date > day for other in joined for event in other.events)
    life.state.joined = [event.of for event, _ in ordered if event.job == "same-as" and event.of]  # type: ignore[attr-defined]
    life.state.own = Own(cask.id, heirs[0], own_reasons=own_reasons(cask.events) if fallen else frozenset())
    life.files = files = _owns((cask, *joined), heirs) if joined else {}
    _run(life, _done(ordered, (cask, *joined)), numbers, files, faults=faults)
    life.unread, life.lacks_entries = unread_of((cask, *joined), life.events, numbers), lacks_entries((cask, *joined))
    life.out_of_reach = life.lacks_entries and _none_readable([event for event, _ in ordered], (cask, *joined))
    life.state.own = files.get(cask.id, life.state.own)
    return life


def _done(ordered: list[tuple[Event, int]], casks: Sequence[Cask]) -> list[tuple[Event, int]]:
    """The standing entries of these files without those that are set aside."""
    aside = {id(event) for cask in casks if cask.aside for event, row in zip(cask.events, cask.rows, strict=True) if row in cask.aside}
    return [pair for pair in ordered if id(pair[0]) not in aside] if aside else ordered


def _none_readable(events: Sequence[Event], casks: Sequence[Cask]) -> bool:
    """Whether none of the standing entries of these files tells of work on a day that can be."""
    return sum(event.job not in _BOOK for event in events) <= sum(len(cask.ahead) for cask in casks)


def live_with(
    cask: Cask, house: House, day: date, others: Sequence[Cask], numbers: Collection[str], untold: Sequence[Gap] = (), *, faults: bool = True
) -> Life:
    """The same of a cask with what the book has beside it: `others` are the files that go into its life, `numbers` those that it joins, be
    their files unreadable; `untold`, what may be of its history and stands in no file that can be believed."""
    life = live(cask, house, day, others, faults=faults)
    life.state.joined = [number for number in life.state.joined if number in numbers]
    absent = sorted(set(numbers) - {cask.id, *(other.id for other in others)})
    unread = (*(f"file of {number}" for number in absent), *lacking_in(untold, day, gone=life.state.form == "gone"))
    life.unread, life.lacks_entries = life.unread + unread, life.lacks_entries or bool(unread)
    return life


def _owns(casks: Sequence[Cask], heirs: Sequence[dict[str, str]]) -> dict[str, Own]:
    """The files of a cask by number. What a file names is its own entry; only an id that it has not is that of another file."""
    found: dict[str, Own] = {}
    for cask, own in zip(casks, heirs, strict=True):
        ids = frozenset(event.id for event in cask.events)
        found[cask.id] = Own(
            cask.id, {one: by for theirs in heirs for one, by in theirs.items() if theirs is own or one not in ids}, ids, own_reasons(cask.events)
        )
    return found


def _start(cask: Cask, house: House, day: date) -> State:
    head = cask.head
    settings = house.on(day, head.type)
    frame = Frame(head.staves, (head.heads[0], head.heads[1]) if head.heads else (None, None), head.hoops)
    state = State(house, head.type, past_of(head, settings), frame, settings)
    state.staves_first, state.first_staves = head.staves, FirstStaves(head.staves, stood=head.staves)
    state.capacity_l = head.capacity_l
    state.wine_held = state.past.wine
    return state


@dataclass(frozen=True, slots=True)
class _Plan:
    """What is to be asked of an event of a job, looked up once and not at every event."""

    effect: Callable[[State, Any], None]
    need: Need
    arrival: bool
    looked_into: bool
    policy: bool
    closes: bool
    sees: bool
    works_at: bool
    names: bool


def _plan(job: str, model: type[Event]) -> _Plan:
    works_at, names = model.places is not Event.places, model.named_places is not Event.named_places
    names = names and not model.need.always
    effect, need, arrival = EFFECTS[job], model.need, job in _ARRIVALS
    return _Plan(effect, need, arrival, job in LOOKED_INTO, job in WITH_POLICY, job in MAY_CLOSE, job in SEEN_AGAIN, works_at, names)


class _Plans(dict[str, _Plan]):
    """Made when a job is first met, as its model is: one cask knows but a few jobs."""

    def __missing__(self, job: str) -> _Plan:
        plan = self[job] = _plan(job, JOBS[job])
        return plan


_PLANS = _Plans()


def _run(life: Life, ordered: list[tuple[Event, int]], numbers: Mapping[int, str], files: Mapping[str, Own], *, faults: bool) -> None:
    """The events up to the life's day are judged against the state as they find it, then applied; row -1 is one of a joined file, of which
    only what cannot have been is noted. `numbers`: the file's number of each of these, by the identity of the event;
    `files`: by number the files of a cask that has several."""
    st, events, end = life.state, life.events, life.day
    arrived = False
    for event, row in ordered:
        day = event.date
        if day > end:
            life.next_event = day
            break
        st.seq += 1
        st.day = day
        if files:
            st.own = files[numbers.get(id(event), life.cask.id)]
            st.files.append(st.own.number)
        plan = _PLANS[event.job]
        if row >= 0 and st.contents == "wine" and st.form != "gone":
            life.on_wine.add(event.id)
        if faults:
            _hold(life, plan, event, row, numbers, arrived=arrived)
        if st.form != "gone":
            _apply(st, plan, event)
        arrived = arrived or plan.arrival
        events.append(event)


def _hold(life: Life, plan: _Plan, event: Event, row: int, numbers: Mapping[int, str], *, arrived: bool) -> None:
    """An entry held against the cask as it finds it; row -1 is one of a joined file."""
    st, need = life.state, plan.need
    stands = need.always or st.form in need.form and st.contents in need.contents and st.where in need.where and not plan.looked_into
    again = plan.arrival and bool(st.joined) and any(e.job not in _BOOK for e in life.events)
    if row >= 0:
        _judge(life, plan, event, row, stands=stands, first=plan.arrival and _is_first(life, arrived), again=again)
    elif again:
        life.joined_faults += [(numbers[id(event)], event, fault) for fault in arrived_again(event, row, st)]
    elif not stands and not plan.arrival:
        life.joined_faults += _of_joined(event, numbers[id(event)], st)


def _apply(st: State, plan: _Plan, event: Event) -> None:
    """What an entry answers, then what it does to the cask."""
    if plan.works_at and st.defects and not event.lost:
        st.answer(event.places())
    if event.answers:
        st.answer_named(event.answered())
    plan.effect(st, event)
    if event.lost:
        note_lost(st, event)
    elif st.unsure:
        sure_again(st, event)


def steps(life: Life) -> Iterator[tuple[Event, State]]:
    """The life once more for whoever has to see it on the way: each of its entries with the state that it leaves, which goes on changing."""
    st = _start(life.cask, life.house, life.day)
    st.joined, st.own = list(life.state.joined), life.state.own
    for event in life.events:
        st.seq += 1
        st.day = event.date
        if life.files:
            st.own = life.files[life.numbers.get(id(event), life.cask.id)]
            st.files.append(st.own.number)
        if st.form != "gone":
            _apply(st, _PLANS[event.job], event)
        yield event, st


def _judge(life: Life, plan: _Plan, event: Event, row: int, *, stands: bool, first: bool, again: bool) -> None:
    """An entry of the file itself is held against the cask as it stood, and against the house's rules. `again`: an arrival, allowed to each
    number, that another number's entries went before."""
    st = life.state
    if again:
        life.faults += arrived_again(event, row, st)
    elif plan.arrival or not stands:
        life.faults += needs_broken(event, row, st, first=first)
    elif plan.names and not event.lost:
        life.faults += places_absent(event, row, st)
    if plan.policy:
        life.faults += policy_broken(event, row, st)
    if st.contents == "wine" and st.form != "gone":
        life.faults += wine_strength(event, row)
    if plan.closes or plan.sees:
        life.faults += leak_faults(event, row, st)


def _of_joined(event: Event, number: str, st: State) -> list[tuple[str, Event, Fault]]:
    return [(number, event, fault) for fault in needs_broken(event, -1, st, first=False) if fault.severity == "error"]


def _is_first(life: Life, arrived: bool) -> bool:
    """Whether an arrival is the one that begins the life, or may be that of a joined file."""
    return bool(life.state.joined) or not (arrived or any(e.job not in _BOOK for e in life.events))
