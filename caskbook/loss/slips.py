"""Slips of the pen that only the cask's own life shows: a gauge above the last, a dip beyond the cask, a strength far from the
last, and what was probably meant. Nothing here refuses anything; it asks."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from types import SimpleNamespace
from typing import Any

from caskbook.core.days import years_between
from caskbook.gauging.units import likely_slip
from caskbook.life import Life
from caskbook.life.needs import OF_CONTENTS, WINE_ABV
from caskbook.loss.depth import depth_at
from caskbook.loss.expected import USUAL_TEMPERATE
from caskbook.loss.gauges import Amount, Gauge, Vessel, amount_of, gauge_of
from caskbook.loss.intervals import COVERAGE
from caskbook.loss.readings import FIELDS, Reading, readings
from caskbook.loss.records import FillRecord, fill_records, vessel_at
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import plain
from caskbook.words.job_table import jobs_with

_GAUGED, _GAUGES_HELD, _PART_MOVED = jobs_with("gauged"), jobs_with("gauges-held"), jobs_with("part-moved")
MOST_A_YEAR = 0.06
"""Yearly share above which a gauge is far below the last: a slip is then looked for, and told only where one explains it."""
HALF = 0.5
"""Of what it held: a gauge below that is doubted, as an emptying is that leaves half unaccounted for."""
IN_DRINK_ROOM = 0.04
"""Share that may be gone at once, into the wood and by the gauges."""
STRENGTH_STEP = 3.0
STRENGTH_A_YEAR = 1.0
"""% vol: how far a strength may lie from the last one, at once and for every year between: no source."""
_ABV_RANGE = (20.0, 95.0)
_TEMP_RANGE = (-5.0, 35.0)
_FULL = (0.85, 1.02)


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known before the entry: the cask as a vessel, the last gauge, and the alcohol it should hold at most."""

    vessel: Vessel
    last: Gauge | None
    most: float | None
    abv: float | None


def likely_slips(life: Life, event: Event | Mapping[str, Any]) -> list[str]:
    """One line for each figure of the entry that does not fit the cask's life, naming what was probably meant where a usual slip
    (point, unit, swapped digits, sign) explains it: "did you mean 14.5 °C?". `event` may be in the life already, or be only
    its fields. Empty where nothing is odd."""
    entry = _entry(event)
    if entry.job not in _GAUGED:
        return []
    known = _known(life, entry)
    told = [*_out_of_range(entry, _abv_range(life, entry)), *_strength(entry, known)]
    if told or entry.job in _PART_MOVED:
        return told
    return [*_too_deep(entry, known)] or [*_amounts(life, entry, known)]


def doubted_gauge(life: Life, event: Mapping[str, Any]) -> list[str]:
    """At most one line: why a regauge can hardly be. A dip deeper than the cask; more than it held; less than half of what may be
    expected of it, which is `HALF`. Empty where nothing is known to hold it against."""
    entry = _entry(event)
    if not _has_amount(entry):
        return []
    known = _known(life, entry)
    for _, text in depth_at(life, entry.id).deeper(entry):
        return [next(_too_deep(entry, known), text)]
    if known.most is None or known.last is None:
        return []
    found, day = _gauged(life, entry, known), known.last.day
    least = HALF * known.most * (1.0 - MOST_A_YEAR) ** max(0.0, years_between(day, entry.date))
    if found.lpa is None or found.lpa >= least and found.lpa <= known.most * (1 + COVERAGE * math.hypot(found.error, known.last.error)) + 0.1:
        return []
    told = next(_amounts(life, entry, known), f"{found.lpa:.1f} L of alcohol: it held {known.most:.1f} L on {day}")
    return [told if found.lpa > known.most else f"{told}; more than half is gone"]


def _entry(event: Event | Mapping[str, Any]) -> SimpleNamespace:
    fields = dict(event) if isinstance(event, Mapping) else event.model_dump(by_alias=False)
    if isinstance(fields.get("date"), str):
        fields["date"] = date.fromisoformat(fields["date"])
    empty = dict.fromkeys(("id", "abv", "temp_c", "at_20", "litres", "wet_mm", "dry_mm", "gross_kg", "method"))
    return SimpleNamespace(**{**empty, **fields})


def _known(life: Life, entry: SimpleNamespace) -> _Known:
    vessel = vessel_at(life, entry.id)
    record = _record_of(life, entry)
    before = [e for e in record.entries if e.event != entry.id and e.day <= entry.date] if record is not None else []
    gauges = [e for e in before if isinstance(e, Gauge)]
    last = next((gauge for gauge in reversed(gauges) if gauge.lpa is not None), None)
    if last is None or last.lpa is None:
        return _Known(vessel, last, None, next((g.abv for g in reversed(gauges) if g.abv), None))
    at = next(n for n, e in enumerate(before) if e is last)
    since = [e for e in before[at:] if not isinstance(e, Gauge)]
    return _Known(vessel, last, last.lpa + sum(move.lpa or 0.0 for move in since), last.abv)


def _record_of(life: Life, entry: SimpleNamespace) -> FillRecord | None:
    if entry.job == "fill":
        return None
    held = [record for record in fill_records(life) if record.filling.start <= entry.date]
    if not held:
        return None
    filling = held[-1].filling
    over = filling.end is not None and filling.end < entry.date
    return None if over or (filling.end_event is not None and filling.end_event != entry.id) else held[-1]


def _abv_range(life: Life, entry: SimpleNamespace) -> tuple[float, float]:
    """The range of strength of what the entry finds in the cask: wine has its own."""
    wine = entry.id in life.on_wine or (life.state.contents == "wine" and all(event.id != entry.id for event in life.events))
    return WINE_ABV if wine and entry.job in OF_CONTENTS else _ABV_RANGE


def _out_of_range(entry: SimpleNamespace, strength: tuple[float, float]) -> Iterator[str]:
    for name, kind, bounds, unit in (("abv", "abv", strength, "% vol"), ("temp_c", "temp_c", _TEMP_RANGE, "°C")):
        value = getattr(entry, name)
        if value is None or bounds[0] <= value <= bounds[1] or (name == "abv" and not value):
            continue
        slip = likely_slip(kind, value, *bounds)
        yield f"{name} {plain(value)}: {plain(bounds[0])} to {plain(bounds[1])} {unit} is usual" + (f"; {slip}" if slip else "")


def _strength(entry: SimpleNamespace, known: _Known) -> Iterator[str]:
    """A strength far from the last one."""
    if entry.job not in _GAUGES_HELD or not entry.abv or not known.abv or known.last is None:
        return
    if not _ABV_RANGE[0] <= entry.abv <= _ABV_RANGE[1]:
        return
    room = STRENGTH_STEP + STRENGTH_A_YEAR * max(0.0, years_between(known.last.day, entry.date))
    last = known.abv
    if abs(entry.abv - last) <= room:
        return
    meant = next((one for one in readings("abv", entry.abv) if abs(one.value - last) <= room / 2), None)
    yield f"abv {plain(entry.abv)}: it was {plain(last)} % vol on {known.last.day}" + _did_you_mean(meant)


def _did_you_mean(meant: Reading | None) -> str:
    return "" if meant is None else f"; {meant.words}"


def _too_deep(entry: SimpleNamespace, known: _Known) -> Iterator[str]:
    """A dip longer than the cask is deep, or so short that it was hardly read in mm."""
    for name in ("wet_mm", "dry_mm"):
        value = getattr(entry, name)
        if value is None or entry.litres is not None:
            continue
        depth = _depth(known.vessel)
        if depth is None:
            continue
        nearly_full = name == "wet_mm" and known.most is not None and 0 < value < depth / 10
        if value <= depth and not nearly_full:
            continue
        low, high = (depth / 2, depth) if name == "wet_mm" else (0.0, depth / 2)
        meant = next((one for one in readings("mm", value) if low < one.value <= high), None)
        if value > depth or meant is not None:
            about = "" if known.vessel.inside else "about "
            yield f"{name.replace('_mm', '')} dip {plain(value)} mm: the cask is {about}{depth:.0f} mm deep" + _did_you_mean(meant)


def _depth(vessel: Vessel) -> float | None:
    """How deep the cask is where it is dipped; about, where its inside was not measured: 620 mm at the bung of 200 L."""
    standing = (vessel.stow or "").startswith("upright")
    if vessel.inside is not None:
        return vessel.inside.length_mm if standing else vessel.inside.bung_mm
    if vessel.capacity_l is None or standing:
        return None
    return 620.0 * float((vessel.capacity_l / 200.0) ** (1 / 3))


def _amounts(life: Life, entry: SimpleNamespace, known: _Known) -> Iterator[str]:
    """Why the alcohol of an entry, in litres, can hardly be after what the cask last held, with what may have been meant."""
    if entry.job == "fill":
        yield from _filling(entry, known)
        return
    if known.most is None or known.last is None or (entry.job == "empty" and not entry.litres):
        return
    found = _gauged(life, entry, known)
    if found.lpa is None:
        return
    most = known.most
    error = COVERAGE * math.hypot(found.error * found.lpa, known.last.error * most)
    years = max(0.0, years_between(known.last.day, entry.date))
    least = most * (1.0 - MOST_A_YEAR) ** years * (1.0 - IN_DRINK_ROOM) - error

    def fits(lpa: float | None) -> bool:
        return lpa is not None and least <= lpa <= most + error

    if fits(found.lpa):
        return
    meant = _meant(life, entry, known, fits)
    told = f"{found.lpa:.1f} L of alcohol: it held {most:.1f} L on {known.last.day}"
    if found.lpa > most:
        yield f"{told}, and spirit does not grow{meant or '; is it the right cask, or was it topped?'}"
    elif meant:
        yield told + meant


def _gauged(life: Life, entry: SimpleNamespace, known: _Known) -> Gauge:
    settings = life.house.on(entry.date, life.cask.head.type)
    amount = amount_of(entry, entry.abv, known.vessel) if _has_amount(entry) else Amount(None, "meter", False)
    return gauge_of(entry, entry.job, entry.abv, amount, settings)


def _has_amount(entry: SimpleNamespace) -> bool:
    return any(getattr(entry, name) is not None for name in ("litres", "gross_kg", "wet_mm", "dry_mm"))


def _meant(life: Life, entry: SimpleNamespace, known: _Known, fits: Callable[[float | None], bool]) -> str:
    """The usual slip of one figure that makes the entry fit: of units the one that fits best, else the first."""
    usual = (known.most or 0.0) * (1.0 - USUAL_TEMPERATE) ** max(0.0, years_between(known.last.day, entry.date)) if known.last else 0.0
    for name, kind in FIELDS.items():
        value = getattr(entry, name)
        found: list[tuple[bool, float, str]] = []
        for reading in readings(kind, value) if value else ():
            lpa = _gauged(life, SimpleNamespace(**{**vars(entry), name: reading.value}), known).lpa
            if lpa is not None and fits(lpa):
                found.append((not reading.unit, abs(lpa - usual) if reading.unit else 0.0, reading.words))
        if found:
            return f"; {min(found, key=lambda one: one[:2])[2]}"
    return ""


def _filling(entry: SimpleNamespace, known: _Known) -> Iterator[str]:
    """Litres that overfill the cask, or that fill less than half of it where another unit would fill it."""
    full = known.vessel.capacity_l
    if entry.litres is None or full is None:
        return
    meant = next((one for one in readings("litres", entry.litres) if _FULL[0] * full <= one.value <= _FULL[1] * full), None)
    if entry.litres > full * _FULL[1]:
        yield f"{plain(entry.litres)} L: the cask holds {plain(full)} L" + _did_you_mean(meant)
    elif entry.litres < full / 2 and meant is not None:
        yield f"{plain(entry.litres)} L: less than half of a cask of {plain(full)} L" + _did_you_mean(meant)
