"""The fills of a cask, each with its gauges and with what was put in or taken out between them, in the order of the work."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container
from dataclasses import dataclass, field
from datetime import date
from typing import Any, NamedTuple

from caskbook.core.days import UnknownDay
from caskbook.gauging.domain import DomainError
from caskbook.gauging.volume import Dimensions
from caskbook.life import Life
from caskbook.life.carried import Filling
from caskbook.loss.gauges import NOT_TOLD, Amount, Gauge, Move, Vessel, amount_of, at_20, gauge_of, move_of
from caskbook.model.house import Settings
from caskbook.model.jobs import Event
from caskbook.words.job_table import jobs_with

BANDS = {1: "1st fill", 2: "2nd fill"}
LATER_BAND = "3rd fill or later"
UNKNOWN_BAND = "fill not known"
_BERTHED = frozenset(jobs_with("berthed"))
_TAKES_AWAY = jobs_with("takes-away")
_BEGINS_FILL = jobs_with("begins-fill")
_LIQUOR_OUT = jobs_with("liquor-out")
_LEAK_SEEN = jobs_with("leak-seen")
_GAUGES_HELD = jobs_with("gauges-held")
_PART_MOVED = jobs_with("part-moved")


class Stay(NamedTuple):
    """Where a fill lay from a day on: berth and store, None where that is not known, or away."""

    since: date
    berth: str | None
    store: str | None


@dataclass(slots=True)
class FillRecord:
    """One fill. `entries`: gauges and moves in order; `store`: where it lay longest up to the last gauge, which entries alone change; `band`: which fill with our class of spirit.

    `stays`: from which day at which berth, in which store; the first is that of the filling, and of several of one day the last counts.
    `fresh`: whether the spirit came into this wood by filling, so that some of it goes into the wood at first. `leaks`: what was
    seen of leaks while it lasted. `size_l`: capacity, litres, as measured or nominal. `unread`: what of the cask's files cannot be read and may have said anything.
    """

    filling: Filling
    band: str
    size_l: float | None
    fresh: bool
    entries: list[Gauge | Move] = field(default_factory=list)
    leaks: list[Event] = field(default_factory=list)
    store: str | None = None
    stays: list[Stay] = field(default_factory=list)
    unread: tuple[str, ...] = ()

    @property
    def gauges(self) -> list[Gauge]:
        """The gauges in time."""
        return [entry for entry in self.entries if isinstance(entry, Gauge)]

    @property
    def moves(self) -> list[Move]:
        """What was put in or taken out."""
        return [entry for entry in self.entries if isinstance(entry, Move)]


def fill_records(life: Life, known: Container[str] = ()) -> list[FillRecord]:
    """Every fill of spirit up to the day of the life, oldest first. Of those `known`, by the event that began them, and before the last one nothing is
    gathered: they have no entries."""
    starts = {filling.seq: filling for filling in life.state.fillings if filling.is_spirit and not isinstance(filling.start, UnknownDay)}
    passed = {seq for seq, filling in starts.items() if filling.event in known and filling.end_seq is not None} - {max(starts)} if known and starts else ()
    found = _Walk(life, starts, passed).run() if starts else []
    for record in found if life.in_part else ():
        record.unread = life.unread
    return found


def vessel_at(life: Life, event_id: str | None = None) -> Vessel:
    """The cask as a vessel when this event was entered (None: on the day of the life)."""
    walk = _Walk(life, {})
    for event in life.events:
        if event.id == event_id:
            break
        walk.note(event)
    return walk.vessel


class _Walk:
    """Goes through the standing events once."""

    def __init__(self, life: Life, starts: dict[int, Filling], passed: Container[int] = ()) -> None:
        self.life, self.starts, self.passed = life, starts, passed
        self.vessel = Vessel(life.cask.head.capacity_l)
        self.berth: str | None = None
        self.since = date.min
        self.stays: list[tuple[str | None, date, date]] = []
        self.now: FillRecord | None = None
        self.abv: float | None = None
        self.found: list[FillRecord] = []

    def run(self) -> list[FillRecord]:
        """All fills of the cask in order, each with its gauges, moves and leaks."""
        for seq, event in enumerate(self.life.events, 1):
            ended = self.now is not None and self.now.filling.end_seq == seq
            if ended and event.job not in _LIQUOR_OUT:
                self._end(event.date)
            self.note(event)
            filling = self.starts.get(seq)
            if filling is not None and event.job in _BEGINS_FILL:
                self._begin(event, filling)
            elif self.now is not None and self.now.entries:
                self._carry(event, self.now)
            if ended and event.job in _LIQUOR_OUT:
                self._end(event.date)
        self._end(self.life.day)
        return self.found

    def note(self, event: Event) -> None:
        """What an event tells of the vessel, and of where it lies."""
        e: Any = event
        if event.job == "measure":
            self.vessel = _measured(self.vessel, e)
        elif event.job in _TAKES_AWAY:
            self._lie(None, event.date)
        elif event.job in _BERTHED:
            if e.berth is not None:
                self._lie(e.berth, event.date)
            if e.stow is not None:
                self.vessel = Vessel(self.vessel.capacity_l, self.vessel.tare_kg, self.vessel.inside, e.stow)

    def _lie(self, berth: str | None, day: date) -> None:
        if self.now is not None and self.berth is not None:
            self.stays.append((self._store(), self.since, day))
        self.berth, self.since = berth, day
        if self.now is not None:
            self._stay(self.now, day)

    def _stay(self, now: FillRecord, day: date) -> None:
        now.stays.append(Stay(day, self.berth, self._store()))

    def _store(self) -> str | None:
        return self.life.state.settings.store_of(self.berth)

    def _begin(self, event: Event, filling: Filling) -> None:
        """A fill begins: its record, with the filling as its first gauge; nothing in it where it is passed over."""
        if filling.seq in self.passed:
            self.now = FillRecord(filling, UNKNOWN_BAND, None, fresh=False)
            return
        settings = self._settings(event)
        past = self.life.state.past.fills_of_class
        of_spirit = sum(one.is_spirit and one.count <= filling.count for one in self.life.state.fillings)  # Wine that it came full of is none.
        band = UNKNOWN_BAND if past is None else BANDS.get(past + of_spirit, LATER_BAND)
        self.now = FillRecord(filling, band, self.vessel.capacity_l, event.job != "receive")
        self.since, self.abv = event.date, filling.abv
        self.stays.clear()
        self._stay(self.now, event.date)
        amount = NOT_TOLD if filling.litres is None else amount_of(event, filling.abv, self.vessel)
        self.now.entries.append(gauge_of(event, event.job, filling.abv, amount, settings, self.vessel))

    def _end(self, day: date) -> None:
        if self.now is None:
            return
        if self.now.entries:
            self._lie(self.berth, day)
            self.now.store = self._longest_in(max(one.day for one in self.now.entries if isinstance(one, Gauge)))
        self.found.append(self.now)
        self.now = None

    def _longest_in(self, last: date) -> str | None:
        """The store of most days up to that of the last gauge, the first of several alike; without such a day, the present one."""
        days: Counter[str | None] = Counter()
        for store, start, end in self.stays:
            days[store] += max(0, (min(end, last) - start).days)
        most = max(days.values(), default=0)
        return next(store for store, count in days.items() if count == most) if most else self._store()

    def _settings(self, event: Event) -> Settings:
        return self.life.house.on(event.date, self.life.cask.head.type)

    def _carry(self, event: Event, now: FillRecord) -> None:
        """One event during a fill is added to its record: as a gauge, as litres put in or taken out, or as a leak."""
        e: Any = event
        if event.job in _LEAK_SEEN:
            now.leaks.append(event)
        elif event.job in _GAUGES_HELD:
            if "date" in event.lost:
                return
            self.abv = e.abv if e.abv is not None else self.abv
            now.entries.append(gauge_of(e, event.job, e.abv, amount_of(e, e.abv, self.vessel), self._settings(event), self.vessel))
        elif event.job in _PART_MOVED:
            sign = 1 if event.job == "top" else -1
            now.entries.append(move_of(e, event.job, sign, e.abv, amount_of(e, e.abv, self.vessel), self._settings(event)))
        elif event.job == "sample":
            now.entries.append(move_of(e, "sample", -1, self.abv, NOT_TOLD if e.ml is None else Amount(e.ml / 1000, "meter", True), self._settings(event)))
        elif event.job == "rack-in":
            litres, abv = _mixed(e.from_)
            if e.from_:
                now.entries.append(self._part(e, "rack-in", 1, litres, abv))
            else:
                now.entries.append(move_of(e, "rack-in", 1, None, NOT_TOLD, self._settings(e)))
        elif event.job == "rack-out":
            self._racked(e, now)

    def _racked(self, e: Any, now: FillRecord) -> None:
        """What was moved, lost and left together is a gauge of what there was; what was moved and lost then leaves."""
        moved, abv = _mixed(e.to)
        abv = self.abv if abv is None else abv
        lost = e.lost_l or 0.0
        settings = self._settings(e)
        amount = NOT_TOLD if e.lost & {"to", "left_l", "lost_l", "date"} else _safely_at_20(moved + lost + (e.left_l or 0.0), abv, e)
        now.entries.append(gauge_of(e, "rack-out", abv, amount, settings))
        self.abv = abv
        if not e.empties:
            now.entries.append(self._part(e, "rack-out", -1, moved, abv))
            if lost:
                now.entries.append(self._part(e, "lost in racking", -1, lost, abv))

    def _part(self, e: Any, job: str, sign: int, litres: float, abv: float | None) -> Move:
        return move_of(e, job, sign, abv, _safely_at_20(litres, abv, e), self._settings(e))


def _safely_at_20(litres: float, abv: float | None, entry: Any) -> Amount:
    try:
        return at_20(litres, abv, entry, "meter", ())
    except DomainError as error:
        return Amount(litres, "meter", False, (str(error),))


def _mixed(parts: list[Any]) -> tuple[float, float | None]:
    """(litres, % vol) of parts together; the strength None where one's is not known."""
    litres = sum(part.litres for part in parts)
    if any(part.abv is None for part in parts) or not litres:
        return litres, None
    return litres, sum(part.litres * part.abv for part in parts) / litres


def _measured(vessel: Vessel, e: Any) -> Vessel:
    capacity = vessel.capacity_l if e.capacity_l is None else e.capacity_l
    tare = vessel.tare_kg if e.tare_kg is None else e.tare_kg
    return Vessel(capacity, tare, _inside(e.dims_mm) or vessel.inside, vessel.stow)


def _inside(dims: Any) -> Dimensions | None:
    """The inside of a cask of spheroid shape; None where a measure is lacking or cannot be."""
    if dims is None or None in (dims.bung, dims.head, dims.length):
        return None
    try:
        return Dimensions(dims.bung, dims.head, dims.length)
    except DomainError:
        return None
