"""A row's cells read as its map says: values by key, what nobody knows left out, and for each cell that cannot be read why."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache
from typing import Any

from caskbook.core.days import DayError
from caskbook.entry.fields import HEAD_FILE, JobField, field_of, head_fields
from caskbook.entry.terms import Terms, TypedError
from caskbook.entry.typed import READERS
from caskbook.exchange.contents import NOT_FILLED
from caskbook.exchange.keys import ASK, KEYS, Key
from caskbook.exchange.liquors import EMPTY, UnknownLiquorError, liquor
from caskbook.exchange.register_days import DayRules, UnclearDayError, read_day, read_when
from caskbook.exchange.register_map import Column, MapFaults, MapFile, RegisterMap
from caskbook.exchange.row import DAY, EARLY, ERROR, MERGED, NUMBER, OTHERWISE, STRUCK, TEXT, Row
from caskbook.exchange.states import is_way, state_word, told_contents, way_of
from caskbook.gauging.units import UnitError
from caskbook.ledger.paths import is_cask_id
from caskbook.model.house import Settings
from caskbook.model.places import PlaceError
from caskbook.words import AmbiguousWord, UnknownWord

LONGEST = 2000
_KEPT = 20_000
_BROKEN = re.compile(r"#(?:REF|VALUE|DIV/0|NAME|NUM|NULL|N/A|SPILL|CALC)[!?]?|#N/A", re.IGNORECASE)
_ISO = DayRules()
_NO_VALUE = {
    OTHERWISE: ("shown-otherwise", "the spreadsheet shows something else here, or nothing", "give the cell a plain format, or write as text what is so"),
    MERGED: ("merged-cell", "cells merged into one: for which of them it is meant is not told", "take them apart, and write in each what is so"),
    STRUCK: ("struck-out", "struck out in the spreadsheet, in part or whole", "take out what does not hold, or the line through it"),
    EARLY: ("early-day", "before March 1900 spreadsheets count days differently", "write it as text, as 1899-12-30"),
}
_NO_VAT = ("none", "no", "no vat", "nil")
_OF_FULL = ("contents", "spirit", "filled_abv", "abv", "filled_litres", "litres")


@dataclass(frozen=True, slots=True)
class RowFault:
    """Why a row is refused: its number, the heading of the column, what stands there, and in a line what is wrong and what to do.

    `code` names the kind of fault; `cask` is the number, as far as it is known."""

    row: int
    column: str
    found: str
    code: str
    reason: str
    remedy: str = ""
    cask: str = ""


class UnreadError(ValueError):
    """A cell that cannot be read: the code of the fault, a line that says why, and what to do."""

    def __init__(self, code: str, reason: str, remedy: str = "") -> None:
        self.code, self.reason, self.remedy = code, reason, remedy
        super().__init__(reason)


@dataclass
class Values:
    """What a row says. `known`: key → value, `texts`: as it stands in the cell; `marks` and `notes` from several columns; `kept`: what could not be read, in words, where the
    map says that it is kept so; `faults`: why the row is refused."""

    row: int
    known: dict[str, Any] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)
    marks: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    faults: list[RowFault] = field(default_factory=list)


class RegisterReader:
    """Reads the rows of one register. What a cell of a column says is worked out once and remembered."""

    def __init__(self, chart: RegisterMap, settings: Settings) -> None:
        self.chart = chart
        own = settings.class_of_spirit
        self._own = (*([own] if isinstance(own, str) else own), *chart.liquors)
        self._wines = tuple(settings.wine_words)
        changed = {"gallon": chart.gallon, "proof": chart.proof, "decimal_comma": chart.decimal_comma}
        self._settings = settings.model_copy(update=changed)
        self._notes = sum(column.key == "note" for column in chart.columns)
        self._known: dict[tuple[int, str, str], Any] = {}
        self._fixed = [Column(f"every_row {key}", -1, key) for key in sorted(chart.every_row, key=lambda key: key != "state")]

    def refuse_unread(self, file: MapFile) -> None:
        """MapFaults where what the map itself says cannot be read: of every row, or as the meaning of a word; else each row would be told of it."""
        said = [(column, self.chart.every_row[column.key], ("every_row", column.key)) for column in self._fixed]
        said += [(column, meant, ("columns", column.written)) for column in self.chart.columns for meant in dict.fromkeys(column.words.values())]
        for column, text, path in said:
            try:
                self._read(replace(column, words={}), text, TEXT)
            except UnreadError as error:
                told = f"say what '{next(word for word, meant in column.words.items() if meant == ASK)}' means" if text == ASK else error.reason
                file.wrong(f"'{column.heading[:40]}': {told}", *path)
        if file.faults:
            raise MapFaults(file.lines)

    def values_of(self, row: Row) -> Values:
        """What the row says, by key."""
        found = Values(row.number)
        for column in self.chart.columns:
            there = column.at < len(row.texts)
            self._take(column, row.texts[column.at] if there else "", row.kind(column.at) if there else TEXT, found)
        for column in self._fixed:
            if column.key in _OF_FULL and _is_without(found.known):
                continue  # What every row says of what is in it, it says of the full ones.
            self._take(column, self.chart.every_row[column.key], TEXT, found)
        return found

    def _take(self, column: Column, text: str, kind: str, found: Values) -> None:
        """One cell into the values; a fault where it cannot be read, or its words where the map says that these are kept."""
        if column.blank is not None and not text:
            found.known.setdefault(NOT_FILLED if column.key == "filled" else column.key, column.blank)
            return
        try:
            value = self._read_once(column, text, kind)
        except UnreadError as error:
            if column.to_note and kind not in _NO_VALUE:
                found.kept.append(f"{column.heading}: {' '.join(text.split())}")
            else:
                found.faults.append(RowFault(found.row, column.heading, text, error.code, error.reason, error.remedy))
            return
        if value is None:
            return
        if column.key == "was":
            found.marks.append(value)
        elif column.key == "note":
            found.notes.append(value if self._notes == 1 else f"{column.heading}: {value}")
        else:
            found.known[column.key] = value
            found.texts[column.key] = text

    def _read_once(self, column: Column, text: str, kind: str) -> Any:
        """The value of a cell, None where it is unknown. UnreadError where it cannot be read."""
        place = (column.at if column.at >= 0 else hash(column.key), text, kind)
        if place not in self._known:
            if len(self._known) > _KEPT:
                self._known.clear()
            try:
                self._known[place] = self._read(column, text, kind)
            except UnreadError as error:
                self._known[place] = error
        found = self._known[place]
        if isinstance(found, UnreadError):
            raise found
        return found

    def _read(self, column: Column, text: str, kind: str) -> Any:
        """The value of a cell, worked out: what the map says that its text means, unknown, or as its key is read."""
        plain = " ".join(text.split())
        folded = plain.casefold()
        if kind in _NO_VALUE:
            raise UnreadError(*_NO_VALUE[kind])
        if folded in column.words:
            plain, kind = column.words[folded], TEXT
            folded = plain.casefold()
        elif kind == ERROR or _BROKEN.fullmatch(plain):
            raise UnreadError("spreadsheet-error", "a fault of the spreadsheet, no value", "let the spreadsheet work it out and save it, or write the value")
        if folded in self.chart.unknown:
            return None
        if len(plain) > LONGEST:
            raise UnreadError("too-long", f"{len(plain)} characters are too many for one line: at most {LONGEST}", "shorten it")
        key = KEYS[column.key]
        if kind == DAY and key.reads not in ("day", "when") and key.name != "note":
            raise UnreadError("day-in-cell", "the spreadsheet made a day of it", "set the column to text and write it anew")
        try:
            return _BY_KIND[key.reads](self, column, key, plain, kind)
        except UnreadError:
            raise
        except UnclearDayError as error:
            raise UnreadError(error.code, error.reason, error.remedy) from None
        except UnknownLiquorError as error:
            remedy = "put it right, or say it in the map: `words: {…}` of the column, or `liquors: […]` for a liquor of its own"
            remedy = "say it: `words: {none: virgin}`, or `{none: '?'}`, of the column" if plain.casefold() == "none" else remedy
            remedy = "a column that tells which casks are gone is `state`" if is_way(plain) else remedy
            raise UnreadError("unknown-word", str(error), remedy) from None
        except (UnknownWord, AmbiguousWord) as error:
            raise UnreadError("unknown-word", str(error), f"put it right, or say what it means: `words: {{'{plain[:20]}': …}}` of the column") from None
        except (UnitError, DayError, PlaceError, TypedError, ValueError) as error:
            raise UnreadError("no-such-value", str(error), "put the cell right") from None

    def _cask(self, column: Column, key: Key, text: str, kind: str) -> tuple[str, str | None]:
        """(the number as the book has it, how the register writes it where that is otherwise)."""
        number = "".join(text.split()).upper()
        if column.prefix and number.isdecimal() and number.isascii():
            number = column.prefix + number.zfill(column.digits)
        if not is_cask_id(number):
            say = "" if column.prefix or not text.isdecimal() else "; say its `prefix` and `digits` in the map, as {is: cask, prefix: TH-, digits: 6}"
            raise UnreadError("bad-number", "no cask number: capitals, then 4 to 9 figures, as TH-004217", f"put the number right{say}")
        return number, (text if "".join(text.split()).upper() != number else None)

    def _day(self, column: Column, key: Key, text: str, kind: str) -> date:
        return read_day(text, _ISO if kind == DAY else column.days)

    def _when(self, column: Column, key: Key, text: str, kind: str) -> Any:
        if key.name == "charred" and text.casefold() == "none":
            raise UnreadError(
                "unknown-word", "never charred, or is nothing known of a char?", "say it: `words: {none: never}`, or `{none: unknown}`, of the column"
            )
        if key.name == "charred" and text.casefold() in ("never", "unknown", "uncharred", "not charred"):
            return "unknown" if text.casefold() == "unknown" else "never"
        return read_when(text, _ISO if kind == DAY else column.days)

    def _liquor(self, column: Column, key: Key, text: str, kind: str) -> str:
        return liquor(text, self._own, self._wines, before=key.name == "prior_contents")

    def _state(self, column: Column, key: Key, text: str, kind: str) -> str:
        return state_word(text, self._own, self._wines)

    def _count(self, column: Column, key: Key, text: str, kind: str) -> int:
        whole = re.fullmatch(r"([0-9]{1,2})(?:\.0+)?|([0-9]{1,2})(?:st|nd|rd|th)(?: fill)?", text.casefold())
        if whole is None:
            raise UnreadError("no-count", "no count from 0 to 99", "put the cell right")
        return int(whole[1] or whole[2])

    def _mark(self, column: Column, key: Key, text: str, kind: str) -> str:
        return text

    def _flag(self, column: Column, key: Key, text: str, kind: str) -> bool | None:
        if text.casefold() in ("yes", "y", "true", "1"):
            return True
        if text.casefold() in ("no", "n", "false", "0"):
            return None
        raise UnreadError("unknown-word", "neither yes nor no", "put the cell right")

    def _heads(self, column: Column, key: Key, text: str, kind: str) -> Any:
        return self._typed(key, re.sub(r"\s*[/+x&]\s*|\s+and\s+|\s+", ",", text.casefold()), kind)

    def _words(self, column: Column, key: Key, text: str, kind: str) -> Any:
        if key.name == "vat" and text.casefold() in _NO_VAT:
            return None
        return READERS["text"](_fields(key), text, self._terms())

    def _prior(self, column: Column, key: Key, text: str, kind: str) -> Any:
        found = self._typed(key, text, kind)
        for one in found:
            one["contents"] = liquor(one["contents"], self._own, self._wines, before=True)
        return found

    def _field(self, column: Column, key: Key, text: str, kind: str) -> Any:
        if key.kind:
            text = self._figure(column, text, kind)
        return self._typed(key, re.sub(r"\.0+$", "", text) if _fields(key).kind == "int" else text, kind)

    def _figure(self, column: Column, text: str, kind: str) -> str:
        """A figure with the unit of its column, where it has none itself; the point is the decimal mark of a spreadsheet's own figures."""
        if kind != NUMBER and "," in text and not self.chart.decimal_comma:
            raise UnreadError("decimal-comma", "has a comma", "if it is the decimal mark say `decimal_comma: true` in the map")
        if kind != NUMBER and "." in text and self.chart.decimal_comma and re.match(r"[+-]?[0-9]{1,3}\.[0-9]{3}(?![0-9])", text):
            raise UnreadError("decimal-comma", "has a point, and the map says that the comma is the decimal mark", "write it without a mark for thousands")
        bare = re.fullmatch(r"[+-]?[0-9.,]+", text) is not None
        return f"{text} {column.unit}" if column.unit and bare else text

    def _typed(self, key: Key, text: str, kind: str) -> Any:
        one, terms = _fields(key), self._terms()
        value = READERS[one.kind](one, text, terms)
        if terms.doubts and key.kind != "abv":  # A strength is judged by what is in the cask.
            raise UnreadError("hardly-possible", terms.doubts[0][1], "put the cell right, or `unclear: note` in the map keeps it as words")
        return value

    def _terms(self) -> Terms:
        return Terms(self._settings, date.max)


def _is_without(known: Mapping[str, Any]) -> bool:
    """Whether nothing is in it: it is said to be empty, or to be gone, and nothing of its own tells that it was full."""
    if EMPTY in (known.get("contents"), known.get("spirit"), known.get(NOT_FILLED), told_contents(known)):
        return True
    return way_of(known) is not None and not known.keys() & {"contents", "filled", "litres", "filled_litres"}


_Reads = Callable[[RegisterReader, Column, Key, str, str], Any]
_BY_KIND: Mapping[str, _Reads] = {
    "cask": RegisterReader._cask, "mark": RegisterReader._mark, "day": RegisterReader._day, "when": RegisterReader._when,
    "liquor": RegisterReader._liquor, "state": RegisterReader._state, "count": RegisterReader._count, "flag": RegisterReader._flag, "heads": RegisterReader._heads,
    "words": RegisterReader._words, "prior": RegisterReader._prior, "field": RegisterReader._field,
}  # fmt: skip


@cache
def _fields(key: Key) -> JobField:
    """The field behind a key, as it is typed; of one that is words and no field of its own, a plain text."""
    job, name = key.field or ("", key.name)
    found = next((one for one in head_fields() if one.key == name), None) if job == HEAD_FILE else field_of(job, name) if job else None
    return found or JobField(job, name, "text", False, "")
