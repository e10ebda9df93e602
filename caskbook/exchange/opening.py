"""The opening balance of one row: the head of the cask's file and the entries by which it comes into the book.

What the cask was before is its head. The book of a cask begins on the first day from which the register tells its story without a gap:
the day it came, if nothing of the head lies after that; a full one on the day it was filled; else the day on which the register was
right, or for one that is gone the day it left, which closes its book. What no entry can hold, for want of a figure that it cannot be without, is kept in words as a note among the entries, and never made up.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from caskbook.core.days import DayError, parse_when
from caskbook.exchange.contents import NOT_TOLD, Contents, contents_of
from caskbook.exchange.figures import unusual_figures
from caskbook.exchange.leaving import EMPTY_ONLY, leaving_entry, refuse_full, refuse_leaving
from caskbook.exchange.life_before import prior_of
from caskbook.exchange.liquors import EMPTY
from caskbook.exchange.reading import LONGEST, Values
from caskbook.exchange.register_map import RegisterMap
from caskbook.exchange.states import GONE, way_of
from caskbook.model.jobs.base import plain

_HEAD = ("type", "capacity", "wood", "maker", "made", "staves", "heads", "hoops", "owner", "charred", "parcel", "supplier")
_FILE_KEY = {"capacity": "capacity_l"}
_LEFT = {"left_to": "to", "left_why": "reason:", "approved_by": "signed by"}
GONE_FULL = tuple(way for way in GONE if way not in EMPTY_ONLY)
"""Ways of leaving in which a full cask can go too."""
_TEST = {"test_method": "method", "test_psi": "psi", "test_water": "water_l", "test_result": "result"}


@dataclass
class Opening:
    """What a row makes: head and entries (without ids) as in a file, what was kept in words and of which key, and what is wrong, by key."""

    head: dict[str, Any]
    events: list[dict[str, Any]] = field(default_factory=list)
    words: list[tuple[str, str]] = field(default_factory=list)
    faults: list[tuple[str, str, str, str]] = field(default_factory=list)

    def refuse(self, key: str, code: str, reason: str, remedy: str = "") -> None:
        """Note a fault of the row: of which key, its code, why, and what to do."""
        self.faults.append((key, code, reason, remedy))


def opening_of(values: Values, chart: RegisterMap, today: date) -> Opening:
    """The opening balance of a row whose cells were read. Where it has faults it is not to be written."""
    known = values.known
    found = Opening({"cask": known["cask"][0], "format": 1})
    found.head |= {_FILE_KEY.get(key, key): known[key] for key in _HEAD if key in known}
    marks = [*([known["cask"][1]] if known["cask"][1] else []), *values.marks]
    if marks:
        found.head["was"] = list(dict.fromkeys(marks))
    if "type" not in known:
        found.refuse("type", "type-not-known", "the type is not known: a cask file cannot be without it", "give it; `custom` with its litres is any other cask")
    if "verdict" not in known:
        found.refuse("verdict", "verdict-not-known", "how it was taken in is not known: a receipt has its verdict", "write accept, hold or reject")
    for key in ("received", "filled", "oak_since", "gauged", "tested", "left"):
        if key in known and known[key] > today:
            found.refuse(key, "date-in-future", f"{known[key]} lies ahead: today is {today}", "put the day right")
    refuse_leaving(known, found.refuse)
    contents = contents_of(known, found.refuse)
    refuse_full(known, contents, found.refuse)
    prior = prior_of(known, contents, found.refuse)
    found.head |= {"prior": prior} if prior is not None else {}
    unusual_figures(known, contents, found.refuse)
    if contents is not None and not found.faults:
        last = chart.opening if way_of(known) is None else known["left"]
        _entries(known, contents, chart, last, found)
        _leave(values, contents, {column.key for column in chart.columns}, last, found)
    for event in found.events:
        event["source"] = "register"
        event["sheet"] = chart.register
    return found


def _leave(values: Values, contents: Contents, told: set[str], last: date | None, found: Opening) -> None:
    """What no entry holds, in words, and behind it the entry by which the cask left, if it did: after that nothing can be entered.
    `told`: the keys of all columns."""
    known = values.known
    leaving, taken = leaving_entry(known) if way_of(known) is not None else (None, ())
    alone = [key for key in ("left_to", "left_why", "approved_by") if key in told and key in known and key not in taken]
    found.words += [(key, f"{_LEFT[key]} {known[key]}") for key in alone]
    if contents.kind == NOT_TOLD and way_of(known) in GONE_FULL:
        found.words.append(("contents", "what was in it when it left is not known"))
    _keep_words(values, last, found)
    if leaving is not None and found.events:
        found.events.append(leaving)


def _keep_words(values: Values, last: date | None, found: Opening) -> None:
    """A note of what the register's own notes say, then of what no entry could hold; of the last day of which the row tells."""
    parts = [*values.notes, *values.kept, *(text for _, text in found.words)]
    text = "; ".join(parts)
    if len(text) > LONGEST:
        found.refuse("note", "too-long", f"{len(text)} characters of notes are too many for one line: at most {LONGEST}", "shorten it")
    elif text and found.events:
        day = found.events[-1]["date"]
        found.events.append({"date": max(day, last or day), "job": "note", "note": text})


def _entries(known: dict[str, Any], contents: Contents, chart: RegisterMap, last: date | None, found: Opening) -> None:
    """The receipt, the test, the fill and the gauge that the register tells of, in the order of the work. `last`: the day on which the
    register was right; of a cask that is gone the day it left."""
    told = _latest_in_head(known, found)
    came = known.get("received")
    if came is not None and told is not None and told > came:
        found.words.append(("received", f"here since {came}"))
        came = None
    if contents.word is None:
        _of_empty(known, contents, came, told, last, found)
    else:
        _of_full(known, contents, came, told, last, found)
    in_fill = any("vat" in event for event in found.events)
    found.words += _loose(known, contents, {column.key for column in chart.columns}, found.head.get("prior"), in_fill=in_fill)


def _loose(known: dict[str, Any], contents: Contents, told: set[str], prior: Any, *, in_fill: bool) -> list[tuple[str, str]]:
    """What the row tells and nothing else in its entries takes up: figures of an empty cask, a test or a gauge of which half is not told, a
    vat where no entry of a filling tells it (`in_fill`)."""
    alone = ["test_result", "test_psi", "test_water"] if "tested" not in known else []
    alone += [] if prior else ["prior_evidence"]
    alone += [] if in_fill else ["vat", "vat_litres"]
    if contents.word is None:
        alone += ["oak_since", "gauged", "abv", "temp", "filled_abv", "filled_temp"]
    else:
        alone += ["gauged"] if not _amount(known, "") else []
        alone += [lead + "temp" for lead in ("", "filled_") if lead + "litres" not in known]
        alone += ["oak_since"] if contents.kind != "spirit" else []
    return [(key, f"{key.replace('_', ' ')} {_with_unit(key, known[key])}") for key in alone if key in told and key in known]


_UNITS = {"temp": " °C", "abv": " %", "psi": " psi", "water": " L", "litres": " L"}


def _with_unit(key: str, value: Any) -> str:
    return f"{plain(value) if isinstance(value, float) else value}{_UNITS.get(key.rpartition('_')[2], '')}"


def _latest_in_head(known: dict[str, Any], found: Opening) -> date | None:
    """The first day that the latest time in the head may mean; None where the head tells of no time."""
    days = []
    for value in (known.get("made"), known.get("charred"), *(one.get("emptied") for one in found.head.get("prior") or [])):
        try:
            days.append(parse_when(value).first)
        except DayError:
            continue
    return max(days, default=None)


def _begun(day: date | None, told: date | None, lacking: str, found: Opening) -> date | None:
    """The day the book of this cask begins; None, and a fault, where there is none or the head tells of later times."""
    if day is None:
        found.refuse("received", "no-day", lacking, "say the day on which the register was right in the map, as `opening: 2026-01-31`")
    elif told is not None and told > day:
        what = "charred" if "charred" in found.head and found.head["charred"] not in ("never", "unknown") else "prior_emptied"
        found.refuse(what, "later-than-its-opening", f"{told} is later than {day}, from which the book would tell of it", "put one of the days right")
        return None
    return day


def _receipt(known: dict[str, Any], day: date, **more: Any) -> dict[str, Any]:
    return {"date": day, "job": "receive", "verdict": known["verdict"], **more}


def _lies(known: dict[str, Any]) -> dict[str, Any]:
    return {key: known[key] for key in ("berth", "stow") if key in known}


def _of_empty(known: dict[str, Any], contents: Contents, came: date | None, told: date | None, last: date | None, found: Opening) -> None:
    """An empty cask: it comes in when it came, else with its last test, else on the last day of which the row tells."""
    tested = known.get("tested")
    first = came or (tested if tested is not None and (told is None or told <= tested) else None) or last
    day = _begun(first, told, "nothing says when it came, and the map has no `opening`", found)
    if day is None:
        return
    found.events.append(_receipt(known, day, **({"contents": EMPTY} if contents.kind == EMPTY else {}), **_lies(known)))
    if tested is not None:
        _test(known, found, since=day, until=None)


def _of_full(known: dict[str, Any], contents: Contents, came: date | None, told: date | None, last: date | None, found: Opening) -> None:
    """A full cask: the story from its coming on where it is whole; else it comes in full on the day it was filled, or was gauged, or on the
    last day of which the row tells. Of its vat only the entry of a filling can tell: such a one is received, empty, on that day."""
    filled, gauged = known.get("filled"), known.get("gauged")
    liquor = {"contents": contents.kind, **({"spirit": contents.word} if contents.kind == "spirit" and contents.word != "spirit" else {})}
    begun = came or (filled if "vat" in known else None)
    if filled is not None and begun is not None and begun <= filled and _is_whole_fill(known, contents):
        if _begun(begun, told, "", found) is not None:
            _filled_here(known, contents, begun, filled, found)
        return
    day = came if filled is not None and came is not None and came > filled else filled
    if day is None:
        day = gauged if gauged is not None and (last is None or gauged <= last) else last
    day = _begun(day, told, "nothing says since when it is full, and the map has no `opening`", found)
    if day is None:
        return
    if came is not None and came != day:
        found.words.append(("received", f"here since {came}"))
    own = _amount(known, "filled_") if day == filled else _amount(known, "") if gauged == day or (filled is None and gauged is None) else {}
    oak = _oak(known) or ({"oak_since": filled} if filled is not None and contents.kind == "spirit" else {})
    found.events.append(_receipt(known, day, **liquor, **own, **oak, **_lies(known)))
    if day != filled and _amount(known, "filled_"):
        found.words.append(("filled_litres", f"filled {filled or 'on a day not known'}: {_said(_amount(known, 'filled_'))}"))
    if own != _amount(known, "") or day == filled:
        _gauge(known, found, day)
    if "tested" in known:
        _test(known, found, since=None, until=day)


def _filled_here(known: dict[str, Any], contents: Contents, begun: date, filled: date, found: Opening) -> None:
    """The receipt of an empty cask, its test, its filling with the vat, and the last gauge."""
    found.events.append(_receipt(known, begun))
    _test(known, found, since=begun, until=filled)
    vat: dict[str, Any] = {key: known[key] for key in ("vat", "vat_litres") if "vat" in known and key in known}
    found.events.append({"date": filled, "job": "fill", "spirit": contents.word, **_amount(known, "filled_"), **_oak(known), **_lies(known), **vat})
    _gauge(known, found, filled)


def _is_whole_fill(known: dict[str, Any], contents: Contents) -> bool:
    """Whether the register tells all that an entry of a filling needs."""
    return contents.kind == "spirit" and "filled_litres" in known and "filled_abv" in known


def _oak(known: dict[str, Any]) -> dict[str, Any]:
    return {"oak_since": known["oak_since"]} if "oak_since" in known else {}


def _amount(known: dict[str, Any], lead: str) -> dict[str, Any]:
    """Litres, strength and temperature under a lead (`filled_` or none), as an entry has them."""
    found = {name: known[lead + key] for key, name in (("litres", "litres"), ("abv", "abv"), ("temp", "temp_c")) if lead + key in known}
    if "litres" not in found:
        found.pop("temp_c", None)
    elif "temp_c" not in found and known.get("at_20"):
        found["at_20"] = True
    return found


def _said(amount: dict[str, Any]) -> str:
    """ "198.4 L, 63.5 %, 14.5 °C"."""
    units = (("litres", " L"), ("abv", " %"), ("temp_c", " °C"))
    return ", ".join([f"{plain(amount[key])}{unit}" for key, unit in units if key in amount] + (["at 20 °C"] if amount.get("at_20") else []))


def _gauge(known: dict[str, Any], found: Opening, since: date) -> None:
    """The last gauge as an entry; in words where it lacks what an entry of it needs. A gauge without a day is refused: litres of when?"""
    amount, day = _amount(known, ""), known.get("gauged")
    if not amount:
        return
    key = "litres" if "litres" in known else "abv"
    if day is None:
        found.refuse(
            key, "gauge-without-day", "of which day? it was filled before", "add a column that is `gauged`, or make this one `filled_litres` or `filled_abv`"
        )
    elif day < since:
        found.refuse("gauged", "gauged-before-filled", f"gauged {day}, and full of this since {since}", "put one of the days right")
    elif {"litres", "abv"} <= amount.keys() and "gauge_method" in known:
        found.events.append({"date": day, "job": "regauge", **amount, "method": known["gauge_method"]})
    else:
        found.words.append(("gauged", f"gauged {day}: {_said(amount)}{'' if 'gauge_method' in known else ', method not known'}"))


def _test(known: dict[str, Any], found: Opening, *, since: date | None, until: date | None) -> None:
    """The last test as an entry where the cask was in the book and empty on its day, in words where it was not; none while it was full."""
    day = known.get("tested")
    if day is None:
        return
    told = {name: known[key] for key, name in _TEST.items() if key in known}
    if until is not None and day > until:
        found.refuse("tested", "tested-while-full", f"tested {day}, and full since {until}", "put one of the days right")
    elif since is None or day < since or not _is_whole_test(told):
        psi = f", {plain(told['psi'])} psi" if "psi" in told else ""
        found.words.append(("tested", f"tested {day}: {told.get('result', 'result not known')}{psi}"))
    else:
        leaks = {"leaks": [{"at": "unseen"}]} if told["result"] == "fail" else {}
        found.events.append({"date": day, "job": "test", **told, **leaks})


def _is_whole_test(told: dict[str, Any]) -> bool:
    return "result" in told and ("psi" in told or told.get("method") == "water")
