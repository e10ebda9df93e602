"""A register of an old house as it may lie in a drawer: headings of its own, five ways to write a day, gaps everywhere, and faults planted
row by row, so that a test knows what has to be said of each. The same seed makes the same register."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

HEADINGS = (
    "Cask No", "Old mark", "Type", "Cap (USgal)", "Wood", "Made", "Ex", "Fills", "Recharred", "Rec'd", "Full?", "Make", "Date filled", "RL filled",
    "Strength", "°F", "Last gauged", "Litres now", "ABV now", "Tested", "P/F", "Bar", "Bay", "Bought of", "Remarks",
)  # fmt: skip
MAP = """\
register: lower-warehouse
opening: 2026-06-30
dates: day-month-year
liquors: [peated-malt]
unknown: [see book]
columns:
  Cask No: {is: cask, prefix: TH-, digits: 6}
  Old mark: was
  Type: {is: type, words: {B: barrel, H: hogshead}}
  Cap (USgal): {is: capacity, unit: USgal}
  Wood: wood
  Made: made
  Ex: prior_contents
  Fills: fills_in_all
  Recharred: charred
  Rec'd: received
  "Full?": {is: contents, words: {F: malt, E: empty}}
  Make: spirit
  Date filled: filled
  RL filled: filled_litres
  Strength: filled_abv
  °F: {is: filled_temp, unit: °F}
  Last gauged: gauged
  Litres now: litres
  ABV now: abv
  Tested: tested
  P/F: {is: test_result, words: {P: pass, F: fail}}
  Bar: {is: test_psi, unit: bar}
  Bay: berth
  Bought of: supplier
  Remarks: note
every_row: {verdict: accept, gauge_method: dip}
"""
UNKNOWN = ("", "?", "n/a", "not known", "-", "see book")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_TYPES = {
    "B": (53, 62),
    "ASB": (53, 62),
    "barrel": (52, 60),
    "H": (66, 73),
    "hogshead": (66, 72),
    "HHD": (66, 74),
    "Butt": (132, 145),
    "Sherry butt": (131, 140),
}
_HEAD_LITRES = {"B": 190, "ASB": 192, "barrel": 188, "H": 240, "hogshead": 242, "HHD": 239, "Butt": 480, "Sherry butt": 478}
_FIRST_NUMBER = 1000


@dataclass
class Register:
    """A register: its rows under HEADINGS, what is to be said of which row as (row, heading, code), the numbers that the book is to have
    beforehand, and the numbers that are well."""

    rows: list[list[str]] = field(default_factory=list)
    planted: set[tuple[int, str, str]] = field(default_factory=set)
    in_book: list[str] = field(default_factory=list)
    good: set[str] = field(default_factory=set)

    def csv(self) -> str:
        sink = io.StringIO(newline="")
        writer = csv.writer(sink)
        writer.writerows([HEADINGS, *self.rows])
        return sink.getvalue()


Cells = dict[str, str]


def _day(dice: Random, day: date) -> str:
    forms = (f"{day:%d/%m/%Y}", f"{day.day}.{day.month}.{day.year}", day.isoformat(), f"{day.day} {_MONTHS[day.month - 1]} {day.year}", f"{day:%d-%m-%Y}")
    return dice.choice(forms)


def _maybe(dice: Random, text: str, share: float = 0.75) -> str:
    return text if dice.random() < share else dice.choice(UNKNOWN)


def good_row(dice: Random, number: int) -> Cells:
    """A row that is well: full or empty, with gaps where a register may have them."""
    kind = dice.choice(list(_TYPES))
    came = date(1998, 1, 1) + timedelta(days=dice.randrange(9000))
    row = dict.fromkeys(HEADINGS, "")
    row |= {
        "Cask No": str(number) if dice.random() < 0.7 else f"th-{number:06d}", "Old mark": _maybe(dice, f"{came:%y}-{number:05d}", 0.5), "Type": kind,
        "Cap (USgal)": _maybe(dice, str(_TYPES[kind][0]), 0.6), "Wood": _maybe(dice, dice.choice(("white oak", "French oak", "Q. robur"))),
        "Made": _maybe(dice, str(came.year - dice.randrange(1, 12)), 0.5), "Ex": _maybe(dice, dice.choice(("bourbon", "Oloroso", "PX", "Rum", "virgin"))),
        "Recharred": _maybe(dice, str(came.year - 1), 0.3), "Rec'd": _maybe(dice, _day(dice, came), 0.8), "Bay": _maybe(dice, f"W{dice.randrange(1, 5)}/{number // 40:02d}/{number % 40}"),
        "Bought of": _maybe(dice, dice.choice(("northquay", "ashgarth"))), "Remarks": _maybe(dice, "hoops rusty; see to it", 0.1),
    }  # fmt: skip
    if row["Ex"] != "virgin":
        row["Fills"] = _maybe(dice, str(dice.randrange(2, 5)), 0.7)
    if dice.random() < 0.2:
        row["Full?"], row["Tested"] = "E", _maybe(dice, _day(dice, came + timedelta(days=40)), 0.5)
    else:
        _full(dice, row, kind, came)
    if row["Tested"] not in UNKNOWN:
        row |= {"P/F": _maybe(dice, dice.choice("PPPF")), "Bar": _maybe(dice, "0.75")}
    return row


def _full(dice: Random, row: Cells, kind: str, came: date) -> None:
    filled = came + timedelta(days=dice.randrange(60, 400))
    row |= {
        "Full?": dice.choice(("F", "full", "malt")), "Make": dice.choice(("malt", "Single malt", "peated malt")), "Date filled": _maybe(dice, _day(dice, filled), 0.9),
        "RL filled": _maybe(dice, str(_HEAD_LITRES[kind]), 0.8), "Strength": _maybe(dice, "63.5", 0.8), "°F": _maybe(dice, "57", 0.5), "Tested": _maybe(dice, _day(dice, came + timedelta(days=20)), 0.4),
    }  # fmt: skip
    if row["Make"] == "peated malt" and row["Full?"] != "full":
        row["Full?"] = "full"
    if row["Date filled"] in UNKNOWN:
        row["RL filled"] = row["Strength"] = row["°F"] = ""
    if dice.random() < 0.4:
        gauged = filled + timedelta(days=1200)
        row |= {"Last gauged": _day(dice, gauged), "Litres now": _maybe(dice, str(_HEAD_LITRES[kind] - 15), 0.9), "ABV now": _maybe(dice, "61.2", 0.9)}


Plant = Callable[[Random, Cells], tuple[str, str]]


def _set(heading: str, text: str, code: str, **others: str) -> Plant:
    """A fault that is one cell, on a full cask whose other cells are as they should be."""

    def plant(dice: Random, row: Cells) -> tuple[str, str]:
        row |= {"Full?": "malt", "Make": "malt", "Rec'd": "12/03/2010", "Date filled": "20/04/2010", "RL filled": "188", "Strength": "63.5", "°F": "57", "Tested": "", "P/F": "", "Bar": "",
                "Type": "barrel", "Cap (USgal)": "53", "Made": "", "Recharred": "", "Ex": "bourbon", "Fills": "2", "Last gauged": "", "Litres now": "", "ABV now": ""}  # fmt: skip
        row |= {"Date filled" if key == "filled" else key: value for key, value in others.items()}
        row[heading] = text
        return heading, code

    return plant


def _empty(heading: str, text: str, code: str) -> Plant:
    def plant(dice: Random, row: Cells) -> tuple[str, str]:
        row |= {"Full?": "E", "Make": "", "Date filled": "", "RL filled": "", "Strength": "", "°F": "", "Last gauged": "", "Litres now": "", "ABV now": ""}
        row[heading] = text
        return heading, code

    return plant


PLANTS: dict[str, Plant] = {
    "a type misspelt": _set("Type", "hogshed", "unknown-word"),
    "a type that is none": _set("Type", "tank", "unknown-word"),
    "no type": _set("Type", "?", "type-not-known"),
    "a number that is none": _set("Cask No", "12/B", "bad-number"),
    "no number": _set("Cask No", "", "no-number"),
    "a day that never was": _set("Date filled", "31/02/2016", "no-day"),
    "a month that never was": _set("Rec'd", "03/25/2010", "no-day"),
    "two figures for a year": _set("Date filled", "12/03/15", "two-digit-year"),
    "a day of a spreadsheet": _set("Date filled", "42075", "spreadsheet-day"),
    "a month for a day": _set("Date filled", "03/2015", "no-whole-day"),
    "a day ahead": _set("Date filled", "01/01/2031", "date-in-future"),
    "a decimal comma": _set("RL filled", "188,4", "decimal-comma"),
    "a figure with a word": _set("RL filled", "abt 190", "no-such-value"),
    "a lost point in litres": _set("RL filled", "1884", "hardly-possible"),
    "a lost point in strength": _set("Strength", "6.35", "hardly-possible"),
    "°C under °F": _set("°F", "200", "no-such-value"),
    "a spirit misspelt": _set("Make", "mlat", "unknown-word"),
    "what it held misspelt": _set("Ex", "burbon", "unknown-word"),
    "two things in it": _set("Full?", "rum", "contents-contradict"),
    "a formula that broke": _set("Strength", "#REF!", "spreadsheet-error"),
    "full and never filled": _set("Fills", "0", "fills-contradict"),
    "a count that is none": _set("Fills", "many", "no-count"),
    "charred in a time to come": _set("Recharred", "2031", "later-than-its-opening"),
    "tested while full": _set("Tested", "01/05/2015", "tested-while-full"),
    "gauged before it was filled": _set("Last gauged", "01/05/2009", "gauged-before-filled", **{"Litres now": "180", "ABV now": "61"}),
    "a gauge of no day": _set("Litres now", "180", "gauge-without-day"),
    "empty, and litres in it": _empty("Litres now", "180", "contents-contradict"),
    "empty, and full since": _empty("Date filled", "01/05/2009", "contents-contradict"),
    "nothing tells what is in it": _empty("Full?", "?", "contents-not-known"),
}  # fmt: skip
_CELL_OF = {"contents-contradict": {"Full?": "Make"}}


def register(rows: int, seed: int = 1, faults: int = 8) -> Register:
    """So many rows, in which each fault of PLANTS stands so many times, and numbers and marks that stand twice."""
    dice, made = Random(seed), Register()
    for number in range(_FIRST_NUMBER, _FIRST_NUMBER + rows):
        made.rows.append(list(good_row(dice, number).values()))
    places = dice.sample(range(rows), len(PLANTS) * faults + 12 * 2)
    for name in PLANTS:
        for _ in range(faults):
            _plant(dice, made, places.pop(), name)
    _plant_pairs(dice, made, places)
    bad = {row for row, _, _ in made.planted}
    made.good = {f"TH-{row[0].upper().removeprefix('TH-'):0>6}" for at, row in enumerate(made.rows) if at + 2 not in bad}
    return made


def _plant(dice: Random, made: Register, at: int, name: str) -> None:
    row = dict(zip(HEADINGS, made.rows[at], strict=True))
    heading, code = PLANTS[name](dice, row)
    made.rows[at] = [row[one] for one in HEADINGS]
    made.planted.add((at + 2, _CELL_OF.get(code, {}).get(heading, heading), code))


def _plant_pairs(dice: Random, made: Register, places: list[int]) -> None:
    """Numbers of another row, the same row again, a number of the book, a mark that two casks bear."""
    kinds = ("number-twice", "same-row", "number-in-book", "mark-twice")
    for n in range(12):
        at, other = places.pop(), places.pop()
        row, twin = made.rows[at], made.rows[other]
        match kinds[n % 4]:
            case "number-twice":
                row[0] = twin[0]
                row[24], twin[24] = "this one", "that one"
                made.planted |= {(at + 2, "Cask No", "number-twice"), (other + 2, "Cask No", "number-twice")}
            case "same-row":
                made.rows[at] = list(twin)
                made.planted.add((max(at, other) + 2, "Cask No", "number-twice"))
            case "number-in-book":
                made.in_book.append(f"TH-{_FIRST_NUMBER + at:06d}")
                made.planted.add((at + 2, "Cask No", "number-in-book"))
            case _:
                row[1] = twin[1] = f"double {n}"
                made.planted |= {(at + 2, "Old mark", "mark-twice"), (other + 2, "Old mark", "mark-twice")}
