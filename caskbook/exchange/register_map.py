"""The map of a register: what each of its columns means, and what holds for all rows. All that is wrong with a map is told at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from caskbook.exchange.grid import ENCODINGS, SEPARATORS, Grid, Layout
from caskbook.exchange.keys import ASK, EVERY_ROW, KEYS, LEAVE_OUT, MANY
from caskbook.exchange.liquors import EMPTY
from caskbook.exchange.register_days import ORDERS, DayRules
from caskbook.gauging.units import UnitError, parse_quantity
from caskbook.model.house import Settings
from caskbook.words.spelling import fold, nearest_word
from caskbook.yaml.source import Source
from caskbook.yaml.text import read_yaml

UNKNOWN = ("", "?", "??", "???", "n/a", "n.a.", "na", "n/k", "nk", "not known", "unknown", "unk", "not recorded", "-", "--", "–", "—", "tbc", "tba")
"""Cells that say that nobody knows. A map may add words; none of them becomes a figure or a default."""
_OPTIONS = ("is", "unit", "words", "blank", "prefix", "digits", "unclear", "dates", "century")
_CHOICES: Mapping[str, tuple[Any, ...]] = {
    "dates": tuple(ORDERS), "excel_days": (1900, 1904), "decimal_comma": (True, False), "gallon": ("us", "uk"), "proof": ("us", "uk"),
    "encoding": ENCODINGS, "separator": tuple(SEPARATORS), "marks_repeat": (True, False),
}  # fmt: skip
_LISTS = ("unknown", "liquors")
_PLAIN = ("register", "worksheet", "opening", "century", "header")
_BLANK = ("contents", "spirit", "filled")
"""Keys of which an empty cell may mean an empty cask, where the map says so."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading, its place in the row, the key it is read as, and how. `words`: what stands in a cell, folded → what it means.
    `blank`: what an empty cell says. `to_note`: what cannot be read is kept as words. `written`: the heading as the map has it."""

    heading: str
    at: int
    key: str
    unit: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    blank: str | None = None
    prefix: str = ""
    digits: int = 0
    to_note: bool = False
    days: DayRules = DayRules()
    written: str = ""


@dataclass(frozen=True, slots=True)
class RegisterMap:
    """A map that fits its register. `opening`: the day on which the register was right, on which casks come in that have no day of their own."""

    register: str
    columns: tuple[Column, ...]
    every_row: Mapping[str, str]
    opening: date | None = None
    days: DayRules = DayRules()
    decimal_comma: bool = False
    gallon: Any = None
    proof: Any = None
    unknown: frozenset[str] = frozenset()
    liquors: tuple[str, ...] = ()
    marks_repeat: bool = False

    def headings_of(self, *keys: str) -> str:
        """The headings of the columns that are read as these keys, as they are told."""
        return " and ".join(column.heading for column in self.columns if column.key in keys)

    def heading_for(self, keys: Sequence[str]) -> str:
        """The heading of the first of these keys that a column is read as; the first key where none is."""
        return next((heading for key in keys if (heading := self.headings_of(key))), keys[0] if keys else "")


class MapFaults(Exception):  # noqa: N818 - named for what it holds
    """What is wrong with a map, a line each, with its place."""

    def __init__(self, lines: list[str]) -> None:
        self.lines = lines
        super().__init__("; ".join(lines))


@dataclass
class MapFile:
    """A map as written, before it is held against its register."""

    name: str
    data: Mapping[str, Any]
    line: Any
    gallon: Any = None
    proof: Any = None
    faults: list[tuple[int, str]] = field(default_factory=list)

    def wrong(self, text: str, *path: str) -> None:
        """Note a fault at its line."""
        self.faults.append((self.line(path), text))

    @property
    def lines(self) -> list[str]:
        """The faults in the order of the map."""
        return [f"{self.name}:{line}: {text}" for line, text in sorted(self.faults)]


def read_map_file(name: str, data: bytes) -> MapFile:
    """A map from its bytes. MapFaults where it is no YAML of the right form; what is wrong in it is found by `layout_of` and `map_for`."""
    reading = read_yaml(Source.from_bytes(name, data))
    if reading.findings:
        raise MapFaults([f"{name}:{one.span.line}: {one.message}{one.help and f'; {one.help}'}" for one in reading.findings])
    if not isinstance(reading.data, dict) or not isinstance(reading.data.get("columns"), dict):
        raise MapFaults([f"{name}:1: no map: expected `columns:` and below it what each is, as `Type: type`; caskbook import map writes a first one"])
    return MapFile(name, reading.data, lambda path: reading.span(path).line)


def layout_of(file: MapFile) -> Layout:
    """Where the map says that the table stands. MapFaults for what is wrong above the columns."""
    for key, value in file.data.items():
        if key in _CHOICES and not any(value is one or (value == one and type(value) is type(one)) for one in _CHOICES[key]):
            file.wrong(f"`{key}` is {_shown(value)}: expected {_listed(_CHOICES[key])}", key)
        elif key in _LISTS and not (isinstance(value, list) and all(isinstance(one, str) for one in value)):
            file.wrong(f"`{key}` is {_shown(value)}: expected a list of words, as [tba, see book]", key)
        elif key not in (*_CHOICES, *_LISTS, *_PLAIN, "columns", "every_row"):
            near = nearest_word(str(key), {fold(one): one for one in (*_CHOICES, *_LISTS, *_PLAIN, "columns", "every_row")})
            file.wrong(f"`{str(key)[:40]}` is no setting of a map" + (f": did you mean {near}?" if near else ""), key)
    header = file.data.get("header")
    if header is not None and (type(header) is not int or not 1 <= header <= 40):
        file.wrong(f"`header` is {_shown(header)}: expected the row of the headings, 1 to 40", "header")
    if file.faults:
        raise MapFaults(file.lines)
    worksheet = file.data.get("worksheet")
    return Layout(None if worksheet is None else str(worksheet), header, file.data.get("encoding"), file.data.get("separator"))


def map_for(file: MapFile, grid: Grid, today: date, settings: Settings) -> RegisterMap:
    """The map held against the table it is for: each column named, each once. What it does not say of units and commas the house's
    `settings` do. MapFaults with everything that is wrong."""
    data = file.data
    if grid.counts_from is not None and data.get("excel_days") not in (None, grid.counts_from):
        file.wrong(f"`excel_days` is {_shown(data['excel_days'])}: {grid.name} itself counts its days from {grid.counts_from}", "excel_days")
    file.gallon, file.proof = data.get("gallon") or settings.gallon, data.get("proof") or settings.proof
    days = DayRules(data.get("dates"), _century(file, data.get("century"), "century"), data.get("excel_days"))
    columns = [column for heading, value in data["columns"].items() if (column := _column(file, grid, str(heading), value, days)) is not None]
    named = {" ".join(str(heading).split()) for heading in data["columns"]}
    for heading in grid.headings:
        if heading and heading not in named:
            file.wrong(f"nothing says what the column '{heading[:40]}' is: a key, `note`, or `{LEAVE_OUT}`", "columns")
    _refuse_same(file, columns)
    every_row = _every_row(file, {column.key for column in columns})
    _refuse_lacking(file, {str(value.get("is") if isinstance(value, dict) else value) for value in data["columns"].values()} | set(every_row))
    unknown = frozenset(" ".join(word.casefold().split()) for word in (*UNKNOWN, *data.get("unknown", ())))
    register = str(data.get("register") or grid.name.rpartition(".")[0] or grid.name)
    opening = _opening(file, today)
    if file.faults:
        raise MapFaults(file.lines)
    return RegisterMap(
        register, tuple(columns), every_row, opening, days, data.get("decimal_comma", settings.decimal_comma), file.gallon, file.proof, unknown,
        tuple(data.get("liquors", ())), bool(data.get("marks_repeat")),
    )  # fmt: skip


def _century(file: MapFile, value: object, *path: str) -> int | None:
    if value is None or (type(value) is int and 1800 <= value <= 2000):
        return value
    file.wrong(f"`century` is {_shown(value)}: expected the first year of a hundred, as 1950 for 1950 to 2049", *path)
    return None


def _opening(file: MapFile, today: date) -> date | None:
    value = file.data.get("opening")
    if value is None or (isinstance(value, date) and value <= today):
        return value
    why = "lies ahead" if isinstance(value, date) else "expected the day on which the register was right, as 2026-01-31"
    file.wrong(f"`opening` is {_shown(value)}: {why}; or leave it out where each row has a day of its own", "opening")
    return None


def _column(file: MapFile, grid: Grid, heading: str, value: object, days: DayRules) -> Column | None:
    """One column as the map has it; None where it is left out, or where something about it is wrong, which is noted."""
    plain = " ".join(heading.split())
    options: dict[str, Any] = value if isinstance(value, dict) else {"is": value}
    at = grid.headings.index(plain) if plain in grid.headings else -1
    path = ("columns", heading)
    if at < 0:
        file.wrong(f"{grid.name} has no column '{plain[:40]}' in row {grid.header}{_suggestion(plain, grid.headings)}", *path)
    key = options.get("is")
    if key == LEAVE_OUT:
        return None
    if key not in KEYS:
        told = f"'{plain[:40]}' is {_shown(key)}: expected a key, `note`, or `{LEAVE_OUT}`"
        file.wrong(
            f"say what the column '{plain[:40]}' is: a key, `note`, or `{LEAVE_OUT}`" if key == ASK else told + _suggestion(str(key), tuple(KEYS)), *path
        )
        return None
    before = len(file.faults)
    _refuse_options(file, plain, str(key), options, path)
    rules = DayRules(options.get("dates", days.order), _century(file, options["century"], *path) if "century" in options else days.century, days.serials)
    if len(file.faults) > before or at < 0:
        return None
    words = {" ".join(str(word).casefold().split()): str(meant) for word, meant in (options.get("words") or {}).items()}
    return Column(
        plain, at, str(key), str(options.get("unit") or ""), words, options.get("blank"), str(options.get("prefix") or ""), options.get("digits") or 0,
        options.get("unclear") == "note", rules, heading,
    )  # fmt: skip


def _refuse_options(file: MapFile, heading: str, key: str, options: Mapping[str, Any], path: tuple[str, ...]) -> None:
    """Note what is wrong with how a column is said to be read."""
    for name, value in options.items():
        if value == ASK:
            file.wrong(f"'{heading[:40]}': say its `{name}`", *path)
        elif name not in _OPTIONS:
            file.wrong(f"'{heading[:40]}': `{str(name)[:30]}` says nothing of a column{_suggestion(str(name), _OPTIONS)}", *path)
    if options.get("unit") not in (None, ASK):
        _refuse_unit(file, heading, key, str(options["unit"]), path)
    if options.get("words") is not None and not isinstance(options["words"], dict):
        file.wrong(f"'{heading[:40]}': `words` is {_shown(options['words'])}: expected {{what stands there: what it means}}", *path)
    if options.get("blank") not in (None, ASK) and (key not in _BLANK or options["blank"] != EMPTY):
        file.wrong(f"'{heading[:40]}': `blank` can only say `{EMPTY}`, of {', '.join(_BLANK)}: elsewhere an empty cell is unknown", *path)
    digits = options.get("digits")
    if digits not in (None, ASK) and (type(digits) is not int or not 4 <= digits <= 9 or key != "cask"):
        file.wrong(f"'{heading[:40]}': `digits` is {_shown(digits)}: expected 4 to 9, of the column that is `cask`", *path)
    if options.get("unclear") not in (None, "note", "refuse"):
        file.wrong(f"'{heading[:40]}': `unclear` is {_shown(options['unclear'])}: expected note or refuse", *path)
    if options.get("dates") is not None and options["dates"] not in (*ORDERS, ASK):
        file.wrong(f"'{heading[:40]}': `dates` is {_shown(options['dates'])}: expected {_listed(tuple(ORDERS))}", *path)


def _refuse_unit(file: MapFile, heading: str, key: str, unit: str, path: tuple[str, ...]) -> None:
    kind = KEYS[key].kind
    if not kind:
        file.wrong(f"'{heading[:40]}': a `{key}` has no unit", *path)
        return
    try:
        parse_quantity(f"50 {unit}", kind, gallon=file.gallon, proof=file.proof)
    except UnitError as error:
        file.wrong(f"'{heading[:40]}': unit: {error}", *path)


def _refuse_same(file: MapFile, columns: list[Column]) -> None:
    """Note keys that two columns are read as."""
    seen: dict[str, str] = {}
    for column in columns:
        if column.key in seen and column.key not in MANY:
            file.wrong(f"'{seen[column.key][:40]}' and '{column.heading[:40]}' are both `{column.key}`: leave one out, or make it a note", "columns")
        seen[column.key] = column.heading


def _every_row(file: MapFile, told: set[str]) -> dict[str, str]:
    """What holds for every row: only keys that no column tells."""
    given = file.data.get("every_row") or {}
    if not isinstance(given, dict):
        file.wrong("`every_row`: expected keys and values, as {verdict: accept}", "every_row")
        return {}
    for key, value in given.items():
        if key not in EVERY_ROW:
            file.wrong(f"`{str(key)[:30]}` cannot be said for every row{_suggestion(str(key), EVERY_ROW)}", "every_row", key)
        elif value == ASK:
            file.wrong(f"say the `{key}` of every row, or take it out", "every_row", key)
        elif key in told:
            file.wrong(f"`{key}` is told by a column: what is unknown there stays unknown; take it out here", "every_row", key)
    return {str(key): ("yes" if value is True else str(value)) for key, value in given.items()}


_CLASHES = (("prior", "prior_contents"), ("prior", "prior_fills"), ("prior", "fills_in_all"), ("prior_fills", "fills_in_all"))


def _refuse_lacking(file: MapFile, keys: set[str]) -> None:
    """Note what every register needs, and keys that say the same twice."""
    needs = {
        "cask": "no column is `cask`: which bears the number?",
        "type": "nothing says the `type`: a cask file cannot be without it",
        "verdict": "nothing says the `verdict`: a receipt has one; as every_row: {verdict: accept}, where all in it was taken in",
    }
    for key, text in needs.items():
        if key not in keys:
            file.wrong(text, "columns")
    if "vat_litres" in keys and "vat" not in keys:
        file.wrong("`vat_litres`: the litres of which vat? no column is `vat`", "columns")
    for one, other in _CLASHES:
        if {one, other} <= keys:
            file.wrong(f"`{one}` and `{other}` both tell of the fills before: leave one out, or make it a note", "columns")


def _suggestion(text: str, known: tuple[str, ...]) -> str:
    near = nearest_word(text, {fold(one): one for one in known if one})
    return f": did you mean {near}?" if near else ""


def _listed(words: tuple[Any, ...]) -> str:
    texts = [str(word).lower() if isinstance(word, bool) else str(word) for word in words]
    return " or ".join([", ".join(texts[:-1]), texts[-1]])


def _shown(value: object) -> str:
    text = "".join(sign if sign.isprintable() else "?" for sign in str(value)[:40])
    return f"'{text}'" if isinstance(value, str) else text
