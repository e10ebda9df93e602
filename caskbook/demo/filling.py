"""One filling from the day the spirit goes in to the day it comes out: gauges, samples, leaks that heal, moves, slips."""

from __future__ import annotations

from typing import Any

from caskbook.demo.liquor import Liquor, measured, rate_for, season_temp, usual_rate
from caskbook.demo.page import day_of, fig
from caskbook.demo.story import Finding, Story, month_of

LONG_ENOUGH = 3.0
"""Years to the first gauge from which a fill can be one of a planted leaker."""
YEAR = 365.2425
FILLING_DAY = 3
"""Of the week, with Sunday 0: a house fills on a day of its own."""

Note = tuple[int, int, str, dict[str, Any]]

_LONG = {"butt": (10, 20), "puncheon": (8, 16), "port-pipe": (8, 18), "hogshead": (7, 17), "quarter-cask": (3, 7), "barrique": (3, 9)}


def years_for(s: Story) -> float:
    """How long a filling is meant to last."""
    low, high = _LONG.get(s.type, (5, 15))
    if s.grain:
        low, high = max(3, low - 2), max(6, high - 5)
    return (s.dice.real(low, high) + s.dice.real(low, high)) / 2


def fill(s: Story) -> None:
    """New spirit goes in, on the next day on which the house fills."""
    dice = s.dice
    day = s.after(0, 3)
    day += (FILLING_DAY - day) % 7
    berth = s.settle()
    spirit = "grain" if s.grain else "malt"
    abv = round(dice.bell(63.6 if not s.grain else 66.0, 0.5), 1)
    litres = s.capacity * dice.real(0.95, 0.985)
    s.liquor = Liquor(spirit, day, day, litres, abv, rate_for(s.climate, s.capacity, dice), _drift(s), dice.real(0.014, 0.026))
    shown, how = _gauge(s, day, litres, abv, 0.05)
    stow = {"stow": "bilge" if s.climate.prefix[0] == "D" else dice.pick(("bilge", "upright-A"))} if dice.chance(0.5) else {}
    method = dice.weigh((("meter", 0.8), ("weigh", 0.2)))
    sheet = f"fill-{day_of(day).isoformat()}"
    shown = min(shown, float(s.capacity))
    s.fill_id = s.add(day, "fill", spirit=spirit, litres=fig(shown), abv=fig(abv), **how, method=method, berth=berth, **stow, sheet=sheet)
    _counted(s)


def racked_in(s: Story, event_id: str, day: int, sources: list[dict[str, Any]], litres_20: float, abv: float, oak_since: int) -> None:
    """Spirit from other casks goes in, under the run's shared id; `sources` as the file lists them."""
    berth = s.settle()
    s.liquor = Liquor("malt", day, oak_since, litres_20, abv, rate_for(s.climate, s.capacity, s.dice), _drift(s), 0.006)
    s.day, s.fill_id = day, event_id
    s.page.add_shared(day, event_id, "rack-in", **{"from": sources}, spirit="malt", oak_since=day_of(oak_since), at_20=True, berth=berth)
    _counted(s)


def _counted(s: Story) -> None:
    s.fills += 1
    s.life_fills += 1
    s.since_char += 1


def _drift(s: Story) -> float:
    return s.climate.drift + s.dice.bell(0.0, 0.04)


def _gauge(s: Story, day: int, litres_20: float, abv: float, spread: float) -> tuple[float, dict[str, Any]]:
    """What the instrument shows, and how its temperature is given: mostly in °C, sometimes already at 20 °C or left out."""
    temp = season_temp(s.climate, month_of(day), s.dice)
    there = litres_20 * (1.0 + s.dice.bell(0.0, spread / 100))
    way = s.dice.roll()
    if way < 0.06:
        return there, {"at_20": True}
    shown = measured(there, abv, temp)
    return shown, {} if way > 0.98 else {"temp_c": fig(temp)}


def stay(s: Story, years: float, last: int | None = None) -> int:
    """Everything that happens in the cask until its last day there; that day. `last`: a day that is settled."""
    assert s.liquor is not None
    start = s.liquor.start
    end = last if last is not None else start + int(years * YEAR)
    gauges = _gauge_days(s, start, end)
    end = _leaker(s, gauges, end) if last is None else end
    notes: list[Note] = [(day, 0, "regauge", {}) for day in gauges if day < end - 500]
    notes += _leaks(s, start, end) + _small_things(s, start, end)
    for day, _, job, fields in sorted(notes, key=lambda note: note[:2]):
        if day >= end - 3:
            break
        _happen(s, max(day, s.day + 1), job, fields)
    return max(end, s.day + 4)


def _gauge_days(s: Story, start: int, end: int) -> list[int]:
    """From the fifth year every third, yearly from the fifteenth, some missed; a few early ones."""
    dice = s.dice
    found: list[int] = []
    if dice.chance(0.12):
        found.append(start + int(dice.real(2.2, 3.2) * YEAR))
    year = 5
    while start + year * YEAR < end:
        if dice.chance(0.85):
            found.append(start + int(year * YEAR) + dice.whole(-50, 70))
        year += 3 if year < 14 else 1
    return found


def _leaker(s: Story, gauges: list[int], end: int) -> int:
    """Plant a leak where the share asks for one and the fill is long enough to show it; the last day of the fill."""
    assert s.liquor is not None
    until = s.block.calendar.until
    seen = [day for day in (*[g for g in gauges if g < end - 500], end) if day <= until]
    if not seen or seen[0] - s.liquor.start < LONG_ENOUGH * YEAR or any(cask == s.page.number for cask, _ in s.block.planted):
        return end
    if not s.dice.chance(s.block.leakers):
        return end
    s.liquor.leak = max(usual_rate(s.climate, s.capacity), s.liquor.rate) * s.dice.real(3.6, 5.2)
    s.block.planted.append((s.page.number, s.fill_id))
    if seen[0] < end and s.dice.chance(0.5):
        return min(end, seen[0] + 510 + s.dice.whole(0, 300))
    return end


def _leaks(s: Story, start: int, end: int) -> list[Note]:
    """Weeps come with the turn of the season and most take up; a few are pegged, driven or last until emptying."""
    assert s.liquor is not None
    dice = s.dice
    if not dice.chance((0.45 if s.liquor.leak else 0.13) * min(2.0, s.plan.parcel.bad)):
        return []
    year = day_of(start + dice.whole(20, max(21, end - start - 60))).year
    month, days = dice.pick((3, 4, 9, 10, 11)), dice.whole(0, 27)
    day = day_of(1).replace(year=year, month=month).toordinal() + days
    if not start + 3 < day < end - 120:
        return []
    stave = dice.whole(2, s.staves - 1)
    place = dice.weigh(
        ((f"joint-{stave}", 0.5), (f"croze-A-{stave}", 0.12), (f"croze-B-{stave}", 0.12), (f"stave-{stave}", 0.12), ("head-B", 0.07), ("bung", 0.07))
    )
    severity = dice.weigh((("weep", 0.82), ("drip", 0.15), ("run", 0.03)))
    return [(day, 1, "leak", {"at": place, "severity": severity}), *_after_leak(s, day, end, place, severity)]


def _after_leak(s: Story, day: int, end: int, place: str, severity: str) -> list[Note]:
    """What is done about a leak of the given severity, as notes from `day` on: it takes up, is mended, or lasts to the end."""
    dice = s.dice
    again = day + (dice.whole(8, 16) if severity == "weep" else dice.whole(1, 3))
    ends = dice.weigh((("took-up", 0.72), ("peg", 0.1), ("drive", 0.08), ("hoop", 0.02), ("lasts", 0.08)))
    if severity == "run" and ends == "took-up":
        ends = "peg"
    if ends == "took-up":
        wet = [(again, 2, "look", {"seen": "weep", "at": place})] if dice.chance(0.25) else []
        return [*wet, (again + (14 if wet else 0), 3, "look", {"seen": "dry", "at": place, "closed_as": "took-up"})]
    if ends == "peg":
        return [(again, 3, "peg", {"at": place, "kind": dice.pick(("spile", "wedge", "wax"))})]
    if ends == "lasts":
        looks = range(again, end, dice.whole(150, 330))
        return [*((again, 3, "look", {"seen": "weep", "at": place}) for again in looks), (again, 4, "lasts", {"at": place})]
    fields = {} if ends == "drive" else {"hoops": [f"hoop-{dice.pick('AB')}-1"], "from": "new"}
    return [(again, 3, ends, fields), (again + 7, 4, "look", {"seen": "dry", "at": place, "closed_as": "repaired"})]


def _small_things(s: Story, start: int, end: int) -> list[Note]:
    """Samples, moves, draws, tops, holds, notes: each seldom."""
    dice = s.dice
    notes: list[Note] = []

    def some(share: float, job: str, **fields: Any) -> int:
        day = start + dice.whole(30, max(31, end - start - 520))
        if dice.chance(share):
            notes.append((day, 5, job, fields))
        return day

    for _ in range(int((end - start) / (4 * YEAR))):
        some(0.6, "sample", ml=dice.pick((50, 100, 100, 200)))
    some(0.1, "move")
    some(0.015, "draw", litres=dice.pick((2, 3, 5)))
    some(0.01, "top", litres=dice.pick((2, 4, 5)))
    some(0.01, "hold", why=dice.pick(("owner's stocktake", "label in doubt", "duty query")))
    some(0.006, "missing")
    some(0.02, "note", note=dice.pick(("mould on head B, wiped", "stencil fading", "chime knocked, not leaking", "row restacked")))
    some(0.008, "decide", rule="regauge", outcome="defer", why="row blocked until the spring")
    some(0.02, "mark", kind=dice.pick(("paint", "tag", "barcode")), at=dice.pick(("head-A", "head-A", "head-B")))
    return notes


def _happen(s: Story, day: int, job: str, fields: dict[str, Any]) -> None:
    """Write one thing that happens while the cask is full, with what it brings after it."""
    special = _SPECIAL.get(job)
    if special is not None:
        special(s, day, fields)
    elif s.dice.chance(0.01):
        s.add_late(day, day + s.dice.whole(4, 40), job, **fields)
    else:
        if job in ("drive", "hoop"):
            leak = next(event["id"] for event in reversed(s.page.events) if event["job"] == "leak")
            fields = {**fields, "closes": leak}
            s.unproved |= job == "hoop"
        elif job == "peg":
            s.waiting.append(_found_again(fields["at"], "peg", 1))
        s.add(day, job, **fields)


def regauge(s: Story, day: int, _: dict[str, Any]) -> None:
    """How much is left; now and then a slip, put right at once."""
    assert s.liquor is not None
    dice = s.dice
    litres, abv = s.liquor.at(day)
    method = dice.weigh((("dip", 0.45), ("meter", 0.3), ("weigh", 0.25)))
    shown, how = _gauge(s, day, litres, abv, 0.5 if method == "dip" else 0.25)
    strength = fig(abv + dice.bell(0.0, 0.05))
    fields = {"litres": fig(shown), "abv": strength, **how, "method": method, "sheet": f"gauge-{day_of(day).isoformat()}"}
    slip = dice.roll()
    if slip < 0.006:
        s.add(day, "regauge", **{**fields, "litres": fig(shown / 3.785412)})
        s.page.replace(s.page.events[-1], "US gallons typed for litres", litres=fields["litres"])
    elif slip < 0.012 and "temp_c" in how:
        s.add(day, "regauge", **{**fields, "temp_c": 35})
        s.page.replace(s.page.events[-1], "temperature misread", temp_c=how["temp_c"])
    elif slip < 0.016:
        s.add(day, "regauge", **fields)
        twice = s.add(day, "regauge", **fields)
        s.page.void(day + dice.whole(1, 30), twice, "entered twice")
    elif slip < 0.03:
        s.add_late(day, day + dice.whole(3, 30), "regauge", **fields)
    else:
        s.add(day, "regauge", **fields)


def _move(s: Story, day: int, _: dict[str, Any]) -> None:
    s.add(day, "move", berth=f"{s.climate.prefix}/{s.dice.whole(1, s.climate.rows):02d}/{s.dice.whole(1, 40):02d}/{s.dice.whole(1, 4)}")


def _draw(s: Story, day: int, fields: dict[str, Any]) -> None:
    assert s.liquor is not None
    abv = round(s.liquor.at(day)[1], 1)
    s.liquor.change(day, -float(fields["litres"]), abv)
    s.add(day, "draw", litres=fields["litres"], abv=fig(abv), at_20=True)


def _top(s: Story, day: int, fields: dict[str, Any]) -> None:
    """Top the cask up, where its age is known and there is room for it."""
    assert s.liquor is not None
    if s.liquor.oak_since is None or s.liquor.at(day)[0] + fields["litres"] > 0.97 * s.capacity:
        return
    s.liquor.change(day, float(fields["litres"]), abv := round(s.liquor.abv + 0.2, 1))
    source = {"from": "vatting remnant", "spirit": s.liquor.spirit, "oak_since": day_of(s.liquor.oak_since)}
    s.add(day, "top", litres=fields["litres"], abv=fig(abv), at_20=True, **source)


def _hold(s: Story, day: int, fields: dict[str, Any]) -> None:
    s.add(day, "hold", **fields)
    day = s.after(2, 60)
    s.add(day, "release", why="settled", approved_by=s.lead(day))


def _missing(s: Story, day: int, _: dict[str, Any]) -> None:
    s.add(day, "missing")
    s.add(s.after(1, 90), "found", berth=s.berth)


def _decide(s: Story, day: int, fields: dict[str, Any]) -> None:
    s.add(day, "decide", **fields, until=day_of(day + 120), approved_by=s.lead(day))


def _mark(s: Story, day: int, fields: dict[str, Any]) -> None:
    s.add(day, "mark", text=s.page.number, **fields)


def _lasts(s: Story, day: int, fields: dict[str, Any]) -> None:
    """The leak is there still when the cask is emptied."""
    at = fields["at"]
    word = "croze-leak" if at.startswith("croze") else "joint-leak" if at.startswith("joint") else "cracked"
    s.waiting.append(_found_again(at, "worn-bung-hole" if at == "bung" else word, 2))


def _found_again(place: str, defect: str, severity: int) -> Finding:
    """What the examination after emptying will say of a place that leaked; of a head it names the piece."""
    return Finding(f"{place}-2" if place in ("head-A", "head-B") else place, defect, severity)


_SPECIAL = {
    "regauge": regauge, "move": _move, "draw": _draw, "top": _top, "hold": _hold, "missing": _missing, "decide": _decide,
    "mark": _mark, "lasts": _lasts,
}  # fmt: skip


def emptied(s: Story, day: int) -> None:
    """What comes out, and what is thought of it."""
    assert s.liquor is not None
    dice = s.dice
    litres, abv = s.liquor.at(day)
    shown, how = _gauge(s, day, litres, abv, 0.2)
    if litres < 4:
        s.add(day, "empty", litres=0, why="leaked-out")
    else:
        s.add(day, "empty", litres=fig(shown), abv=fig(abv + dice.bell(0.0, 0.05)), **how, method=dice.pick(("meter", "weigh")), why="drawn")
    s.liquor = None
    if dice.chance(0.35):
        s.add(s.after(0, 20), "grade", of=s.fill_id, grade=dice.weigh((("A", 0.25), ("B", 0.5), ("C", 0.2), ("D", 0.05))))
