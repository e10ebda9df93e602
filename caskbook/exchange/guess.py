"""A first guess at what each column of a register is, by its heading and by what stands in it. What only a person can tell is left open."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from caskbook.exchange.grid import Grid
from caskbook.exchange.keys import ASK, KEYS, MANY
from caskbook.exchange.liquors import is_liquor
from caskbook.exchange.register_days import ORDERS, DayRules, UnclearDayError, read_when
from caskbook.exchange.register_map import UNKNOWN
from caskbook.exchange.row import DAY, NUMBER, Row
from caskbook.exchange.states import is_state, is_way
from caskbook.gauging.units import KINDS
from caskbook.ledger.paths import is_cask_id
from caskbook.words.lookup import is_known
from caskbook.words.spelling import fold

_MOST_LOOKED_AT = 5000
_MOSTLY = 0.8
_UNITS = {
    "litres": (("usgal", "USgal"), ("ukgal", "UKgal"), ("impgal", "UKgal"), ("gallon", "gal"), ("gal", "gal"), ("litre", "L"), ("liter", "L")),
    "abv": (("usproof", "USproof"), ("ukproof", "UKproof"), ("proof", "proof")),
    "temp_c": (("°f", "°F"), ("degf", "°F"), ("fahrenheit", "°F"), ("°c", "°C"), ("celsius", "°C")),
    "psi": (("bar", "bar"), ("kpa", "kPa"), ("psi", "psi")),
}
_SHORT_UNITS = {"temp_c": {"f": "°F", "c": "°C"}, "litres": {"l": "L", "ltr": "L"}}
_NUMBER = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?\s*[^0-9]{0,8}")
_THREE = re.compile(r"([0-9]{1,2})\s*[-/.]\s*([0-9]{1,2})\s*[-/.]\s*([0-9]{2}|[0-9]{4})(?![0-9])")


@dataclass
class Seen:
    """One column as it was seen: its known cells, how many cells are empty or unknown, its guessed key and unit, and why."""

    heading: str
    cells: list[str]
    kinds: Counter[str]
    unknown: int
    key: str = ASK
    unit: str = ""
    why: str = ""
    numbers: list[str] = field(default_factory=list)


@dataclass
class Guess:
    """What was seen of a register: its columns; the order of days, and why; whether years have two figures, days are counted; figures with a
    decimal comma, and with a point."""

    columns: list[Seen]
    order: str | None = None
    order_why: str = ""
    short_years: bool = False
    serials: bool = False
    commas: list[str] = field(default_factory=list)
    points: list[str] = field(default_factory=list)


def guess_columns(grid: Grid) -> Guess:
    """Look at the first rows of a register and guess what its columns are."""
    rows = grid.rows[:_MOST_LOOKED_AT]
    columns = [_seen(heading, at, rows) for at, heading in enumerate(grid.headings) if heading]
    taken: set[str] = set()
    for match in (_by_exact_heading, _by_heading, _by_cells):
        for column in columns:
            if column.key == ASK:
                key, why = match(column, taken)
                if key is not None:
                    column.key, column.why = key, why
                    taken |= {key} - set(MANY)
    _settle_pairs(columns, taken)
    _settle_prior(columns, taken)
    _drop_leaving(columns, taken)
    for column in columns:
        column.unit = _unit(column)
    found = Guess(columns)
    _days(found)
    found.commas, found.points = (_decimals(columns, mark) for mark in (",", "."))
    return found


def _decimals(columns: Iterable[Seen], mark: str) -> list[str]:
    """Figures of a spreadsheet's texts with this decimal mark."""
    form = re.compile(rf"[0-9]+{re.escape(mark)}[0-9]{{1,2}}\D*")
    return [cell for one in columns if one.key in KEYS and KEYS[one.key].kind for cell in one.cells if form.fullmatch(cell)]


def _seen(heading: str, at: int, rows: Iterable[Row]) -> Seen:
    """The cells of one column, those that say nothing counted."""
    cells, kinds, unknown = list[str](), Counter[str](), 0
    for row in rows:
        text = " ".join(row.texts[at].split()) if at < len(row.texts) else ""
        if text.casefold() in UNKNOWN:
            unknown += 1
            continue
        cells.append(text)
        kinds[row.kind(at)] += 1
    return Seen(heading, cells, kinds, unknown)


_IN_FULL = {"prev": "previous"}


def _plain(heading: str) -> str:
    """A heading as it is looked up: small letters, no unit in brackets, no stops; `previous` written out."""
    words = re.sub(r"[^a-z0-9 ]", " ", re.sub(r"[(\[].*?[)\]]", " ", heading.casefold().replace("°", " "))).split()
    return " ".join(_IN_FULL.get(word, word) for word in words)


def _by_exact_heading(column: Seen, taken: set[str]) -> tuple[str | None, str]:
    plain = fold(_plain(column.heading))
    for key in KEYS.values():
        if key.name not in taken and plain in map(fold, (key.name.replace("_", " "), *key.headings)) and _fits(column, key.name):
            return key.name, "by its heading"
    return None, ""


def _by_heading(column: Seen, taken: set[str]) -> tuple[str | None, str]:
    """A key whose longest heading stands within the column's, as whole words."""
    plain = f" {_plain(column.heading)} "
    fits = [(len(name), key.name) for key in KEYS.values() if key.name not in taken for name in key.headings if len(name) > 3 and f" {name} " in plain]
    best = max(((size, key) for size, key in fits if _fits(column, key)), default=None)
    return (best[1], "by its heading, about") if best else (None, "")


def _by_cells(column: Seen, taken: set[str]) -> tuple[str | None, str]:
    """By what stands in it, where that can be one thing only."""
    if not column.cells:
        return None, ""
    looks: tuple[tuple[str, Callable[[str], bool]], ...] = (
        ("cask", lambda text: is_cask_id(text.upper())), ("type", lambda text: is_known("type", text)), ("state", is_way),
    )  # fmt: skip
    for key, is_so in looks:
        if key not in taken and _share(column.cells, is_so) >= _MOSTLY:
            return key, "by what stands in it"
    return None, ""


def _fits(column: Seen, key: str) -> bool:
    """Whether what stands in a column can be this key at all."""
    if not column.cells:
        return True
    match KEYS[key].reads:
        case "day" | "when":
            return column.kinds[DAY] > 0 or _share(column.cells, lambda text: _is_day(text) or text.casefold() == "never") >= 0.5
        case "count":
            return _share(column.cells, lambda text: re.match(r"[0-9]{1,2}(st|nd|rd|th|\.0)?$", text.casefold()) is not None) >= 0.5
        case "prior":  # Figures alone are counts: no liquor is named.
            return _share(column.cells, lambda text: any(map(str.isalpha, text))) >= 0.3
        case "liquor":
            return _share(column.cells, is_liquor) >= 0.3
        case "state":  # What is full or empty and nothing else is `contents`.
            return any(map(is_way, set(column.cells))) and _share(column.cells, is_state) >= 0.3
    if KEYS[key].kind:
        return column.kinds[NUMBER] > 0 or _share(column.cells, lambda text: _NUMBER.fullmatch(text) is not None) >= 0.5
    if key == "type":
        return _share(column.cells, lambda text: is_known("type", text)) >= 0.3
    return key != "cask" or _share(column.cells, lambda text: any(sign.isdigit() for sign in text)) >= _MOSTLY


def _share(cells: Sequence[str], is_so: Callable[[str], bool]) -> float:
    known = Counter(cells)
    return sum(count for text, count in known.items() if is_so(text)) / len(cells)


_ANY = (DayRules("day-month-year", 1950, 1900), DayRules("month-day-year", 1950, 1900))


def _is_day(text: str) -> bool:
    for rules in _ANY:
        try:
            read_when(text, rules)
            return True
        except UnclearDayError:
            continue
    return False


_NOW = re.compile(r"\b(now|current|present|last|gauged|regauged?)\b")
_FIGURES = {"litres": ("litres", "liters", "rl", "volume", "gal", "gals"), "abv": ("abv", "strength", "proof")}


def _settle_pairs(columns: list[Seen], taken: set[str]) -> None:
    """Which of two columns of litres, or of strength, is that of the last gauge: the one that says `now`. Without a day of a gauge one alone
    is that of the filling, where there is a day of that."""
    for key, words in _FIGURES.items():
        early = next((one for one in columns if one.key == key and not _NOW.search(_plain(one.heading))), None)
        late = next((one for one in columns if one.key == ASK and _NOW.search(_plain(one.heading)) and set(words) & set(_plain(one.heading).split())), None)
        if early is not None and late is not None and f"filled_{key}" not in taken:
            early.key, late.key = f"filled_{key}", key
            early.why = late.why = "by the headings of the two"
            taken.add(f"filled_{key}")
    if "filled" in taken and "gauged" not in taken:
        for column in columns:
            if column.key in ("litres", "abv", "temp") and f"filled_{column.key}" not in taken:
                column.key, column.why = f"filled_{column.key}", "no day of a gauge is there, so it is taken for that of the filling"


def _settle_prior(columns: Iterable[Seen], taken: set[str]) -> None:
    """A column of liquors alone is what was in the cask before, where another one counts its fills: both together are no list of contents with fills."""
    for column in columns if "prior_fills" in taken and "prior_contents" not in taken else ():
        if column.key == "prior" and column.cells and _share(column.cells, is_liquor) >= _MOSTLY:
            column.key, column.why = "prior_contents", "by what stands in it, beside a column of the fills"


def _drop_leaving(columns: Iterable[Seen], taken: set[str]) -> None:
    """A reason, and to whom or by whom, are those of a leaving only where a column tells that casks left."""
    for column in columns if not taken & {"state", "left"} else ():
        if column.key in ("left_to", "left_why", "approved_by"):
            column.key, column.why = ASK, ""


def _unit(column: Seen) -> str:
    """The unit that the heading names for a figure; "" where it names none, or the book's own."""
    kind = KEYS[column.key].kind if column.key in KEYS else ""
    heading = column.heading.casefold().replace("º", "°")
    folded = re.sub(r"[^a-z°]", "", heading)
    named = next((unit for word, unit in _UNITS.get(kind, ()) if word in folded), "")
    words = re.findall(r"[a-z]+", heading)
    unit = named or next((unit for word, unit in _SHORT_UNITS.get(kind, {}).items() if word in words), "")
    return "" if kind and unit == KINDS[kind].unit else unit


def _days(found: Guess) -> None:
    """In which order day, month and year stand, where the cells tell it beyond doubt."""
    first: list[str] = []
    second: list[str] = []
    for column in found.columns:
        if column.key not in KEYS or KEYS[column.key].reads not in ("day", "when"):
            continue
        found.serials |= any(re.fullmatch(r"[0-9]{5}(\.[0-9]+)?", cell) for cell in column.cells)
        for cell in column.cells:
            three = _THREE.match(cell)
            if three is None:
                found.short_years |= re.fullmatch(r".*[a-z]{3}[a-z]*[-/. ']+[0-9]{2}", cell.casefold()) is not None
                continue
            found.short_years |= len(three[3]) == 2
            first += [cell] if int(three[1]) > 12 else []
            second += [cell] if int(three[2]) > 12 else []
            found.order_why = found.order_why or cell
    orders = list(ORDERS)
    if found.order_why and bool(first) != bool(second):
        found.order, found.order_why = (orders[0], f"{first[0]} can be nothing else") if first else (orders[1], f"{second[0]} can be nothing else")
    elif first:
        found.order_why = f"{len(first):,} can only be day first, as {first[0]}, and {len(second):,} only month first, as {second[0]}: that"
