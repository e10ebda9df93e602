"""The invented house: its crew and leavers, shops, suppliers and stores with their climates, and its house.yaml."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from caskbook.model.house import House
from caskbook.model.house_file import read_house

SPAN_YEARS = 22
EARLIEST = date(2000, 3, 1)
UNTIL = date(2026, 6, 30)
"""The last day of the book where none is named: fixed, so that one seed gives one ledger whenever it is run."""

FIRST_UNTIL, LAST_UNTIL = date(2010, 1, 1), date(2086, 12, 31)
"""Entries before February 2000 and from 2087 have no ids."""

# Each row has initials, and the days from the start of the book until they come and go (None: they stay).
_CREW: tuple[tuple[str, int, int | None], ...] = (
    ("ow", 0, 2890), ("tb", 0, None), ("gp", 0, 5230), ("ml", 1100, None), ("ei", 2600, 4900),
    ("rn", 2850, None), ("sv", 4700, None), ("jc", 5200, None), ("dy", 6900, None),
)  # fmt: skip
LEADS = ("tb", "ml")
"""Who signs: both of the crew for most of the book; `ml` only once there."""

SHOPS = ("cinder-row", "stoopwell")
SUPPLIERS: tuple[tuple[str, str, int], ...] = (
    ("northquay", "Northquay Casks", 30), ("ashgarth", "Ashgarth Cask Yard", 21), ("velo-negro", "Bodega Velo Negro", 45),
    ("quinta-pedrinal", "Quinta Pedrinal", 30), ("tollerby", "Tollerby Wood", 60),
)  # fmt: skip
MAKERS = ("Fenwick Hollow", "Blackshale Cooperage", "Corvel Creek", "Tollerby Wood", "Hermanos Baldío", "Tanoaria Pedrinal")


@dataclass(frozen=True, slots=True)
class Climate:
    """A store. `rate`: share of the alcohol lost a year from a 200 L cask; `drift`: % vol a year; temperatures in °C."""

    prefix: str
    name: str
    rate: float
    drift: float
    mean_c: float
    swing_c: float
    rows: int


STORES = (
    Climate("D1", "low dunnage", 0.0185, -0.32, 9.0, 4.0, 24),
    Climate("D2", "burn dunnage", 0.0200, -0.25, 9.5, 5.0, 30),
    Climate("R3", "racked three", 0.0225, -0.12, 10.5, 6.5, 60),
    Climate("R4", "racked four", 0.0235, -0.10, 10.5, 7.0, 60),
    Climate("L5", "warm loft", 0.0360, 0.06, 15.0, 9.0, 18),
)


def start_of(until: date) -> date:
    """The first day of a book that ends on `until`."""
    return max(EARLIEST, date.fromordinal(until.toordinal() - round(SPAN_YEARS * 365.25)))


@dataclass(frozen=True, slots=True)
class Calendar:
    """The days of the book as ordinals, and who was at work on them."""

    start: int
    until: int

    def crew_on(self, day: int) -> tuple[str, ...]:
        """Everybody of the crew on a day."""
        return _crew_on(day - self.start)

    def lead_on(self, day: int) -> str:
        """Who signs on a day."""
        there = self.crew_on(day)
        return LEADS[1] if LEADS[1] in there and day % 3 else LEADS[0]


@lru_cache(maxsize=16384)
def _crew_on(since_start: int) -> tuple[str, ...]:
    return tuple(who for who, first, last in _CREW if first <= since_start and (last is None or since_start <= last))


def house_text(until: date) -> str:
    """house.yaml of the invented house."""
    start = start_of(until)
    return _HOUSE.format(
        crew="\n".join(_person(start, *row) for row in _CREW),
        suppliers="\n".join(f"  {key}: {{name: {name}, claim_days: {days}}}" for key, name, days in SUPPLIERS),
        shops=", ".join(SHOPS),
        stores="\n".join(f"  {store.prefix}: {store.name}" for store in STORES),
        losses=", ".join(f"{store.name}: {100 * store.rate:.1f}" for store in STORES),
        start=start.isoformat(),
        changed=date.fromordinal(start.toordinal() + 4000).isoformat(),
    )


@lru_cache(maxsize=4)
def house_settings(until: date) -> House:
    """The settings as a reader of house.yaml finds them."""
    return read_house("house.yaml", house_text(until).encode()).house


def _person(start: date, initials: str, first: int, last: int | None) -> str:
    begun = date.fromordinal(start.toordinal() + first).isoformat()
    until = "" if last is None else f", until: {date.fromordinal(start.toordinal() + last).isoformat()}"
    return f"  - {{initials: {initials}, from: {begun}{until}}}"


_HOUSE = """\
# The settings of an invented house. A setting that judges entries may be a list of {{since, value}}:
# each entry is judged by the value in force on its date.

name: Tarnholt Stillhouse
timezone: UTC
id_pattern: T[HR]-[0-9]{{6,7}}      # TH as bought, TR remade here; one run of numbers for both

crew:                             # never remove anybody: give an `until`
{crew}
shops: [{shops}]
suppliers:
{suppliers}
stores:                           # prefix of a berth: the store it lies in
{stores}
  YD: yard
temperate_stores: [low dunnage, burn dunnage, racked three, racked four]

fill_needs: examine
examine_valid_days: 30
test_valid_days: 60
test_limit_psi: 12
drive_unproves: true
minimum_age: 3
class_of_spirit: [malt, grain, whisky]

in_drink_percent: 2
measuring_error: {{meter: 0.5, weigh: 0.5, dip: 1.0}}
loss_table: {{{losses}}}

due:
  rechar:
    due_at:
      - {{since: {start}, value: 6}}
      - {{since: {changed}, value: 5}}
  look: {{weep_days: 14, drip_days: 0, run_days: 0}}
"""
