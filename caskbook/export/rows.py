"""The rows of each table, in the order of its columns: days as ISO text, decimals as text, yes and no as such, unknown as None."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import lru_cache
from itertools import chain
from typing import Any, Protocol

from caskbook.core.finding import Finding
from caskbook.export.columns import Field, Table
from caskbook.export.schema import table
from caskbook.model.house import is_dated, since_day

Row = Sequence[Any]
Read = Callable[[Any], Any]


class Whole(Protocol):
    """What tells the tables of the book (`WholeBook` of the index)."""

    @property
    def day(self) -> date: ...

    def rows(self, name: str, columns: Sequence[str]) -> Iterator[Sequence[Any]]: ...

    def entries(self, columns: Sequence[str], year: str | None) -> Iterator[Sequence[Any]]: ...

    def gauges(self) -> Iterator[tuple[str, Iterable[Sequence[Any]]]]: ...

    def leaks(self) -> Iterator[tuple[str, Any]]: ...

    def receipts(self) -> Iterator[tuple[str, Any]]: ...

    def gifts(self) -> Iterable[Any]: ...


def rows_of(whole: Whole, name: str, findings: Sequence[Finding], settings: Mapping[str, Any]) -> Iterator[Row]:
    """The rows of a table that has no years. `findings`: what check says; `settings`: house.yaml as it is written."""
    own: dict[str, Callable[[], Iterator[Row]]] = {
        "gauge": lambda: _gauges(whole), "leak": lambda: _leaks(whole), "part": lambda: _parts(whole), "defect": lambda: _defects(whole),
        "receipt": lambda: _receipts(whole), "gift": lambda: _gifts(whole), "finding": lambda: map(finding_row, findings), "setting": lambda: _settings(settings),
    }  # fmt: skip
    if name in own:
        return own[name]()
    columns, read = _reader(table(name))
    return map(read, whole.rows(name, columns))


def entry_rows(whole: Whole, year: str | None) -> Iterator[Row]:
    """The rows of the table event of one year, None of those whose day cannot be read."""
    columns, read = _reader(table("event"))
    return map(read, whole.entries(columns, year))


def _reader(of: Table) -> tuple[list[str], Callable[[Sequence[Any]], Row]]:
    """(the columns of the table of `query` that are asked for, what makes a row of theirs one of the export)."""
    columns: dict[str, int] = {}
    places = [columns.setdefault(_column(field), len(columns)) for field in of.fields]
    odd = [(n, read) for n, field in enumerate(of.fields) if (read := _read(field)) is not None]
    plain = places == list(range(len(places)))

    def row(found: Sequence[Any]) -> Row:
        values = list(found) if plain else [found[place] for place in places]
        for n, read in odd:
            if values[n] is not None:
                values[n] = read(values[n])
        return values

    return list(columns), row


def _column(field: Field) -> str:
    return field.source.removeprefix("#").partition(".")[0]


def _read(field: Field) -> Read | None:
    """How a stored value, which is there, becomes that of a column; None where it is it already."""
    if field.source.startswith("#"):
        return _length
    key = field.source.partition(".")[2]
    if key:
        return lambda text: _parsed(text).get(key)
    return bool if field.type == "boolean" else None


@lru_cache(maxsize=16)
def _parsed(text: str) -> Any:
    """A map as it is stored, which several columns in a row are read out of."""
    return json.loads(text)


def _length(text: str) -> int:
    return 0 if text in ("[]", "{}") else len(json.loads(text))


def _of_maps(whole: Whole, *names: str) -> Iterator[tuple[str, list[Any]]]:
    """(cask, what these columns of the table cask hold, read) where one of them holds anything; None of what is unknown."""
    for cask, *texts in whole.rows("cask", ("cask", *names)):
        if any(text not in (None, "[]", "{}") for text in texts):
            yield cask, [None if text is None else json.loads(text) for text in texts]


def _parts(whole: Whole) -> Iterator[Row]:
    for cask, (staves, joints) in _of_maps(whole, "staves_replaced", "flagged"):
        yield from ((cask, f"stave-{number}", times, None) for number, times in (staves or {}).items())
        yield from ((cask, at, None, times) for at, times in (joints or {}).items())


def _defects(whole: Whole) -> Iterator[Row]:
    for cask, (found,) in _of_maps(whole, "open_defects"):
        for one in found:
            severity = one["severity"]
            yield cask, one["event"], one["at"], one["defect"], None if severity is None else str(severity)


def _gauges(whole: Whole) -> Iterator[Row]:
    for cask, found in whole.gauges():
        for fill, event, day, job, method, litres, abv, lpa, corrected, error, aside, notes, number in found:
            yield cask, fill, event, day, job, method, litres, abv, lpa, bool(corrected), error, bool(aside), notes, number or cask


def _leaks(whole: Whole) -> Iterator[Row]:
    """A word that is empty where there is none is unknown here."""
    for cask, found in whole.leaks():
        for one in found:
            yield (
                cask, one.event, _iso(one.day), one.at, one.severity, one.lying.store, one.lying.spirit, one.again, one.outcome, _iso(one.ended),
                one.by or None, one.seen or None, one.number or cask,
            )  # fmt: skip


def _receipts(whole: Whole) -> Iterator[Row]:
    for cask, one in whole.receipts():
        days = _iso(one.day), _iso(one.claims_to), _iso(one.tested)
        yield cask, *days, one.result, _iso(one.examined), len(one.faults), one.decided or None, _iso(one.left)


def _gifts(whole: Whole) -> Iterator[Row]:
    return ((one.giver, one.taker, one.part, one.number, _iso(one.day)) for one in whole.gifts())


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def finding_row(one: Finding) -> Row:
    """One finding."""
    return one.code, one.severity, one.cask, one.path, one.span.line, one.message, one.help or None


def _settings(raw: Any, before: str = "") -> Iterator[Row]:
    """What is written under a heading: each setting under its whole name, and of one that is dated a row from each day on."""
    for key, value in raw.items() if isinstance(raw, dict) else ():
        name = f"{before}{key}"
        if is_dated(value):
            yield from ((name, _iso(since_day(one)), _written(one["value"])) for one in value)
        elif isinstance(value, dict):
            yield from chain(_settings(value, f"{name}."))
        elif value is not None:
            yield name, None, _written(value)


def _written(value: Any) -> str:
    if isinstance(value, str):
        return value
    return str(value) if isinstance(value, date) else json.dumps(value, ensure_ascii=False, default=str)
