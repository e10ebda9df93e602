"""The life of one cask in the world: fills one after another, each told as events, with what was true of it kept apart."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random
from typing import Any

from loss.simulator.house import World
from loss.simulator.instruments import Content, Gauger, Reading, grown
from loss.simulator.leaks import Leak, leak
from loss.simulator.vessel import Vessel, vessel
from loss.simulator.weather import FIRST, LAST, YEAR, Store

LEAKING = 0.08
"""Share of the fills that have a leak."""
NEARLY_GONE = 0.15
"""Less than this share of the fill: it is emptied, for what it is worth."""


@dataclass(frozen=True, slots=True)
class GaugeTruth:
    """What was true on the day of a gauge: litres of alcohol there, and gone by the leak so far; `sigma` of the gauge, in the same;
    `air`: what its like have lost to the air since the filling, in logarithms of what is kept."""

    day: date
    event: str
    there: float
    leaked: float
    sigma: float
    slip: str | None
    air: float


@dataclass(slots=True)
class FillTruth:
    """One fill. `event`: its id; `vessel`: its cask; `hazard`: the mean yearly rate of its like where it began, in logarithms; `end`: when it was
    emptied, or the last day of the world."""

    event: str
    vessel: Vessel
    store: Store
    hazard: float
    start: date
    end: date
    leak: Leak | None
    gauges: list[GaugeTruth] = field(default_factory=list)


@dataclass(slots=True)
class CaskStory:
    """A cask: its file as data, and its fills."""

    data: dict[str, Any]
    fills: list[FillTruth]


@dataclass(slots=True)
class _Fill:
    """What is in the cask: litres of alcohol, % vol, and how it came to that."""

    alcohol: float
    abv: float
    first: float
    start: date
    day: date
    leaked: float = 0.0
    air: float = 0.0


def story(chance: Random, world: World, number: int) -> CaskStory:
    """One cask from its arrival to the last day of the world."""
    return _Teller(chance, world, number).told()


class _Teller:
    def __init__(self, chance: Random, world: World, number: int) -> None:
        self.chance, self.world, self.number = chance, world, number
        self.vessel: Vessel = vessel(chance, world.spread)
        self.gauger = Gauger(chance, world.tools, self.vessel, chance.random() < world.habit.by_rod)
        self.store = world.stores[number % len(world.stores)]
        self.events: list[dict[str, Any]] = []
        self.fills: list[FillTruth] = []

    def told(self) -> CaskStory:
        chance, kind = self.chance, self.vessel.kind
        day = FIRST + timedelta(chance.randrange(60, 3600))
        self._add(day - timedelta(30), "receive", verdict="accept")
        self._add(day - timedelta(20), "examine", verdict="sound")
        if self.gauger.by_rod:
            self._add(day - timedelta(15), "measure", **self._measured())
        while day < LAST - timedelta(500):
            day = self._fill(day) + timedelta(chance.randrange(20, 120))
            if day < LAST:
                self._add(day - timedelta(5), "examine", verdict="sound")
        head = {"cask": f"TH-{self.number:06d}", "format": 1, "type": kind.name, "capacity_l": kind.litres, "staves": 31, "heads": [5, 5], "hoops": 6}
        return CaskStory({**head, "prior": [{"contents": "bourbon", "fills": 1}], "charred": 2004, "events": self.events}, self.fills)

    def _measured(self) -> dict[str, Any]:
        """The cask's inside by rod and water, its weight by scale: each with an error of its own."""
        chance, vessel = self.chance, self.vessel
        rods = {"bung": vessel.bung_mm, "head": vessel.kind.waist * vessel.bung_mm, "length": vessel.kind.long * vessel.bung_mm}
        dims = {name: float(round(mm + chance.gauss(0, 3))) for name, mm in rods.items()}
        return {"capacity_l": round(vessel.litres * (1 + chance.gauss(0, 0.003)), 1), "dims_mm": dims, "tare_kg": round(vessel.tare_kg * 2) / 2}

    def _add(self, day: date, job: str, **fields: Any) -> str:
        name = f"e{len(self.events):07d}"
        self.events.append({"id": name, "date": day.isoformat(), "job": job, "by": "ab", **fields})
        return name

    def _fill(self, start: date) -> date:
        """One fill from its first day to the day it is emptied, or the last day of the world."""
        chance, hazard = self.chance, self.vessel.natural * self.store.hazard
        most = min(14.0, math.log(1 / 0.3) / hazard)
        end = min(LAST, start + timedelta(int(chance.uniform(0.55, 1.0) * most * YEAR)))
        hole = leak(chance, start, end, hazard) if chance.random() < LEAKING and (end - start).days > 300 else None
        content = Content(self.vessel.litres * chance.uniform(0.95, 0.985), chance.gauss(63.5, 0.6))
        self.now = _Fill(content.litres * content.abv / 100, content.abv, content.litres * content.abv / 100, start, start)
        read = self._read(start, "meter")
        place = {"berth": f"{self.store.prefix}/{1 + self.number % 9}/{1 + self.number // 9}", "stow": "bilge"}
        name = self._add(start, "fill", spirit="malt", **read.fields, **place)
        self.truth = FillTruth(name, self.vessel, self.store, hazard, start, end, hole)
        self.fills.append(self.truth)
        self._note(name, read)
        for day, job in self._plan(start, end):
            self._pass(day)
            if self.now.alcohol < NEARLY_GONE * self.now.first:
                return self._emptied(min(LAST, day + timedelta(1)), "leaked-out")
            getattr(self, f"_{job}")(day)
        if end >= LAST:
            return LAST
        self._pass(end)
        return self._emptied(end, "drawn")

    def _plan(self, start: date, end: date) -> list[tuple[date, str]]:
        """What is done to the cask between filling and emptying."""
        chance, habit = self.chance, self.world.habit
        plan = [(day, "gauge") for day in habit.days(chance, start, end)]
        days = (end - start).days
        for job, chances in (("sample", 0.4 * days / YEAR), ("draw", 0.06), ("top", 0.03), ("part", 0.03), ("move", 0.05)):
            while chance.random() < chances:
                plan.append((start + timedelta(int(chance.uniform(0.1, 0.95) * days)), job))
                chances -= 1
        return sorted(plan)

    def _pass(self, day: date) -> None:
        """Let the days go by: the air, the wood, the leak."""
        now, hole, vessel = self.now, self.truth.leak, self.vessel
        worn = vessel.own * self.store.weather(now.day, day) * vessel.natural
        air, leaks = worn * self.store.hazard, hole.runs(now.day, day) if hole else 0.0
        before, after = ((one - now.start).days for one in (now.day, day))
        soaked = vessel.thirst * now.first * (math.exp(-before / vessel.soak_days) - math.exp(-after / vessel.soak_days))
        kept = math.exp(-air)
        leaked = now.alcohol * kept * (1 - math.exp(-leaks))
        now.alcohol = max(0.0, now.alcohol * kept - leaked - soaked)
        for when, share in hole.lumps if hole else ():
            if now.day < when <= day:
                leaked += now.alcohol * share
                now.alcohol *= 1 - share
        now.leaked += leaked
        now.air += air / vessel.own
        now.abv = min(78.0, max(41.0, now.abv + self.store.drift * vessel.own * self.store.weather(now.day, day)))
        now.day = day

    def _content(self) -> Content:
        return Content(self.now.alcohol / self.now.abv * 100, self.now.abv)

    def _read(self, day: date, method: str) -> Reading:
        warm = self.chance.random() < self.world.habit.warm
        return self.gauger.read(self._content(), self.store, day, method, warm=warm, exact=day == self.now.start)

    def _note(self, name: str, read: Reading) -> None:
        self.truth.gauges.append(GaugeTruth(self.now.day, name, self.now.alcohol, self.now.leaked, read.sigma, read.slip, self.now.air))

    def _gauge(self, day: date) -> None:
        read = self._read(day, self.chance.choice(self.world.habit.methods))
        self._note(self._add(day, "regauge", **read.fields), read)

    def _sample(self, day: date) -> None:
        ml = self.chance.choice((100, 200))
        self._out(ml / 1000)
        self._add(day, "sample", ml=ml)

    def _draw(self, day: date) -> None:
        litres = round(self.chance.uniform(0.05, 0.25) * self._content().litres, 1)
        self._add(day, "draw", **self._moved(day, litres))
        self._out(litres)

    def _top(self, day: date) -> None:
        room = 0.97 * self.vessel.litres - self._content().litres
        if room < 5:
            return
        litres = round(self.chance.uniform(0.4, 1.0) * room, 1)
        self._add(day, "top", **self._moved(day, litres))
        self.now.alcohol += litres * self.now.abv / 100

    def _part(self, day: date) -> None:
        """Some of it is racked into another cask; what goes and what stays are both measured."""
        there = self._content().litres
        litres = self.chance.uniform(0.2, 0.5) * there
        tools, abv = self.world.tools, round(self.now.abv, 1)
        swollen = grown(abv, self.store.temperature(day))
        shown = [round(one * swollen + self.chance.gauss(0, tools.meter_l), 1) for one in (litres, there - litres)]
        warm = {"temp_c": float(round(self.store.temperature(day)))} if self.world.habit.warm else {}
        to = [{"cask": "TH-999999", "litres": shown[0], "abv": abv}]
        name = self._add(day, "rack-out", to=to, left_l=shown[1], lost_l=0, why="blend", **warm)
        self.truth.gauges.append(GaugeTruth(day, name, self.now.alcohol, self.now.leaked, 1.5 * tools.meter_l * abv / 100, None, self.now.air))
        self._out(litres)

    def _move(self, day: date) -> None:
        """To a store of about the same rate."""
        n = self.world.stores.index(self.store)
        self.store = self.world.stores[n - 1 if n else min(1, len(self.world.stores) - 1)]
        self._add(day, "move", berth=f"{self.store.prefix}/99/{1 + self.number % 999}")

    def _moved(self, day: date, litres: float) -> dict[str, Any]:
        """Litres at 20 °C that go in or out, as the meter has them."""
        shown = round(max(0.1, litres + self.chance.gauss(0, 0.2)), 1)
        return {"litres": shown, "abv": round(self.now.abv, 1), "at_20": True}

    def _out(self, litres: float) -> None:
        self.now.alcohol = max(0.0, self.now.alcohol - litres * self.now.abv / 100)

    def _emptied(self, day: date, why: str) -> date:
        self._pass(day)
        read = self._read(day, "meter")
        self._note(self._add(day, "empty", **read.fields, why=why), read)
        self.truth.end = day
        return day
