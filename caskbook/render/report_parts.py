"""What reports of the whole book have in common on the page: shares and rates with their intervals, lines under each other, data in named parts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from rich.cells import cell_len

from caskbook.render.console import flow, safe
from caskbook.render.loss import table_lines
from caskbook.render.plain_json import data_json
from caskbook.render.table import table_csv
from caskbook.stats.intervals import Interval
from caskbook.stats.report_head import UNKNOWN, Head, Meant
from caskbook.words.plural import number_of

_MOST_LINES = 9
_PLACES = 6
Parts = Mapping[str, Sequence[Mapping[str, Any]]]
"""The parts of a report by name, each with its rows: column → value."""


def percent(part: float | None, places: int = 1) -> str:
    """A share in percent; "-" of nothing."""
    return "-" if part is None else f"{100 * part:.{places}f} %"


def range_of(interval: Interval | None, times: float = 100.0, places: int = 1) -> str:
    """Both ends, as percent unless `times` says otherwise: 20.7-26.2."""
    return "-" if interval is None else f"{times * interval.lower:.{places}f}-{times * interval.upper:.{places}f}"


def rate_range(interval: Interval | None) -> str:
    """Both ends of a rate; of large ones whole numbers are enough."""
    return "-" if interval is None else range_of(interval, 1.0, 1 if interval.upper < 1000 else 0)


def casks_line(head: Head, parts: Sequence[str], width: int) -> list[str]:
    """Of which casks is spoken: as many as `list` has, and into what they divide."""
    if not head.casks:
        return ["no casks" if head.only else "no casks: none is in the book on that day"]
    in_part = [f"{head.in_part} not read whole, in no figure (caskbook check)"] * bool(head.in_part)
    each = f" ({', '.join(f'{name} {casks}' for name, (casks, _) in head.ledgers.items())})" if head.ledgers else ""
    counted = f"in {number_of(len(head.ledgers), 'ledger')}{each}" if head.ledgers else f"as {head.counted} counts"
    line = f"{number_of(head.casks, 'cask')}{' ' if head.ledgers else ', '}{counted}: {' + '.join([*parts, *in_part])}"
    return flow([line], width, most_lines=_MOST_LINES)


def fitting(columns: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> list[str]:
    """The table; the gaps close before a line is longer than the width."""
    lines = table_lines(columns, rows, width)
    return lines if len(lines) == len(rows) + 1 and _widest(columns, rows, 2) <= width else table_lines(columns, rows, width, gap=1)


def _widest(columns: Sequence[str], rows: Sequence[Sequence[str]], gap: int) -> int:
    cells = [[name.lstrip(">") for name in columns], *rows]
    return sum(max(cell_len(safe(row[n])) for row in cells) for n in range(len(columns))) + gap * (len(columns) - 1)


def hanging(text: str, width: int) -> list[str]:
    """A sentence, further lines set in."""
    first, *more = flow([text], width - 2, most_lines=_MOST_LINES)
    return [first, *(f"  {line}" for line in more)]


def legend(parts: Sequence[str], width: int) -> list[str]:
    """Short sentences on the columns, one behind the other."""
    return flow(list(parts), width, between="; ", most_lines=_MOST_LINES) if parts else []


def worst_first(names: Sequence[str]) -> str:
    """In what order groups stand: by the lower end of their interval, but those of which nobody told the name."""
    return "the highest lower end of 95 % first" + (f", {UNKNOWN} last" if UNKNOWN in names and len(names) > 1 else "")


def meant_lines(meant: Iterable[Meant], width: int) -> Iterator[str]:
    """What each figure means, a paragraph each."""
    for one in meant:
        of, setting = f"; of: {one.of}" if one.of else "", f"; setting: {one.setting}" if one.setting else ""
        yield from hanging(f"{one.figure}: {one.means}{of}{setting}", width)


def parts_json(head: Head, told: Mapping[str, Any], parts: Parts, meant: Iterable[Meant]) -> str:
    """An object: as_of, from and to of the period, filter, casks, told_in_part, what is told of the whole, and each part as a list of rows; with --explain what each figure means."""
    found: dict[str, Any] = {
        "as_of": head.day.isoformat(), **head.period.data(), "filter": {name: list(words) for name, words in head.filters.items()}, "casks": head.casks,
        "told_in_part": head.in_part, **_ledgers(head), **told, **{name: [dict(row) for row in rows] for name, rows in parts.items()},
    }  # fmt: skip
    if head.explain:
        found["explain"] = [one._asdict() for one in meant]
    return data_json(found)


def _ledgers(head: Head) -> dict[str, Any]:
    """`ledgers`: how many casks each has, and how many of these are told in part; nothing of one ledger."""
    return {"ledgers": {name: {"casks": casks, "told_in_part": parts} for name, (casks, parts) in head.ledgers.items()}} if head.ledgers else {}


def parts_jsonl(head: Head, parts: Parts) -> str:
    """Each row of each part one object a line, `part` saying which, with the period where one was asked for."""
    return data_json(None, "jsonl", ({"part": name, **row} for name, rows in _dated(head, parts).items() for row in rows))


def _dated(head: Head, parts: Parts) -> Parts:
    """The rows with the period that they are of, where one was asked for."""
    return {name: [{**row, **head.asked.data()} for row in rows] for name, rows in parts.items()} if head.asked else parts


def parts_csv(head: Head, parts: Parts) -> str:
    """RFC 4180: each row of each part, `part` saying which, with the period where one was asked for; a column that a part has not is empty in its rows."""
    parts = _dated(head, parts)
    columns = list(dict.fromkeys(name for rows in parts.values() for row in rows for name in row))
    lines = ([name, *(_cell(row.get(column)) for column in columns)] for name, rows in parts.items() for row in rows)
    return table_csv(["part", *columns], lines)


def _cell(value: Any) -> Any:
    return " ".join(map(str, value)) if isinstance(value, list | tuple) else value


def plain(value: float | None) -> float | None:
    """A figure as data has it."""
    return None if value is None else round(value, _PLACES)


def ends_of(interval: Interval | None, name: str = "") -> dict[str, float | None]:
    """Both ends as two columns, behind the name of their figure."""
    lower, upper = interval or (None, None)
    return {f"{name}lower": plain(lower), f"{name}upper": plain(upper)}
