"""What was done on some days, as text: a first screen, or one table whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from caskbook.render.console import USUAL_WIDTH, flow
from caskbook.render.loss import table_lines
from caskbook.stats.days import Row, Table
from caskbook.stats.days_report import DaysReport, explained
from caskbook.words.plural import number_of

_MOST_LINES = 9
_MOST_ROWS = 12
_MOST_IN_LINE = 10


def days_text(report: DaysReport, *, width: int | None) -> str:
    """A header with what is counted, the first table, each other one in a line, and what stands apart. Without a width, as in a pipe,
    lines have 80 columns too. The table has its largest rows where others follow, else all."""
    wide = width or USUAL_WIDTH
    first, *others = report.tables
    lines = [line for parts in _header(report) for line in flow(parts, wide, most_lines=_MOST_LINES)]
    if first.rows:
        lines += ["", *_table(first, wide, most=_MOST_ROWS if others else None)]
        lines += [""] * bool(others) + [line for table in others for line in _hanging(_line(table), wide)]
    lines += [line for parts in _apart(report) for line in _hanging(parts, wide)]
    if report.explain:
        lines += ["", *(line for parts in _explained(report) for line in _hanging(parts, wide))]
    return "\n".join(lines)


def _header(report: DaysReport) -> Iterator[list[str]]:
    """Which days, of which casks; how many entries there are."""
    whole = report.tables[0].whole
    span = f"{report.first}" if report.days == 1 else f"{report.first}..{report.last}, {report.days} days"
    yield [f"done on {span}" if report.days == 1 else f"done {span}", *report.only]
    if not whole.entries:
        yield ["nothing was done that stands in the book" + (" and passes the filter" if report.only else "")]
        return
    yield [f"{_entries(whole.entries)} on {number_of(whole.casks, 'cask')}", *_tests(whole), *_litres(whole)]


def _tests(row: Row) -> list[str]:
    """Tests by their result."""
    known = [f"{row.passed} passed", f"{row.failed} failed", *([f"{row.no_result} cannot be read"] if row.no_result else [])]
    return [f"tests: {', '.join(known)}"] if row.passed or row.failed or row.no_result else []


def _litres(row: Row) -> list[str]:
    """Litres in and out, and how many entries do not say."""
    said = [f"{_figure(litres)} L {way}" for litres, way in ((row.litres_in, "in"), (row.litres_out, "out")) if litres]
    unknown = [f"of {_entries(row.no_litres)} not known"] if row.no_litres else []
    return [", ".join([*said, *unknown])] if said or unknown else []


def _figure(litres: float) -> str:
    return f"{litres:.1f}"


def _entries(count: int) -> str:
    return f"{count} {'entry' if count == 1 else 'entries'}"


def _table(table: Table, width: int, most: int | None) -> list[str]:
    """The table, the columns left out in which no row has anything; of more rows than `most` the largest, the others in one figure."""
    rows = table.rows if most is None or len(table.rows) <= most else table.rows[: most - 1]
    left = table.rows[len(rows) :]
    kept = [column for column in _COLUMNS if any(column[1](row) for row in table.rows)]
    cells = [[_name(row), *(show(row) for _, show in kept)] for row in rows]
    lines = table_lines([table.by, *(f">{name}" for name, _ in kept)], [*cells, ["all", *(show(table.whole) for _, show in kept)]], width)
    if left:
        lines.insert(-1, f"{len(left)} others: {_entries(sum(row.entries for row in left))} (--by {table.by})")
    return lines


def _count(count: int) -> str:
    return str(count) if count else ""


_COLUMNS: tuple[tuple[str, Callable[[Row], str]], ...] = (
    ("entries", lambda row: str(row.entries)),
    ("casks", lambda row: str(row.casks)),
    ("passed", lambda row: _count(row.passed)),
    ("failed", lambda row: _count(row.failed)),
    ("litres in", lambda row: _figure(row.litres_in) if row.litres_in else ""),
    ("litres out", lambda row: _figure(row.litres_out) if row.litres_out else ""),
    ("late", lambda row: _count(row.late)),
)


def _name(row: Row) -> str:
    """The name: of a person that of the crew with the initials, of anybody else the initials with what is to be said."""
    who = row.person
    if who is None or not who.said:
        return row.name
    return f"{who.said} ({who.initials})" if who.known and not who.is_shop else f"{who.initials} ({who.said})"


def _line(table: Table) -> list[str]:
    """A table in a line: how many entries each name has; of very many the largest, the others in one figure."""
    if table.by == "day" and len(table.rows) > _MOST_IN_LINE:
        most = max(table.rows, key=lambda row: row.entries)
        return [f"day: {len(table.rows)} days with entries", f"most on {most.name}: {most.entries} (--by day)"]
    by_size = sorted(table.rows, key=lambda row: -row.entries)
    rows, left = [row for row in table.rows if row in by_size[:_MOST_IN_LINE]], by_size[_MOST_IN_LINE:]
    told = [f"{_name(row)}: {row.entries}" for row in rows]
    if left:
        told.append(f"{len(left)} others: {sum(row.entries for row in left)} (--by {table.by})")
    return [f"{table.by}: {told[0]}", *told[1:]]


def _apart(report: DaysReport) -> Iterator[list[str]]:
    """What came late, and what is in no figure; nothing where there is none."""
    late, apart, whole = report.late, report.apart, report.tables[0].whole
    if late.entries:
        days = f"{late.least} to {late.most}" if late.least != late.most else f"{late.most}"
        yield [f"late, among these: {_entries(late.entries)}, entered {days} days after"]
    if late.not_told:
        yield [f"when they were entered is not told by the ids of {late.not_told} of these (sheets, registers, replacements)"]
    if whole.broken:
        yield [f"a value cannot be read in {whole.broken} of these: caskbook check"]
    if apart.out:
        words = ", ".join(f"{count} {_OUT.get(job, job)}" for job, count in sorted(apart.out_of_force.items()))
        yield [f"not counted, for they count no more: {words}"]
    if apart.putting_right:
        yield [f"not counted, putting right alone: {', '.join(f'{count} {job}' for job, count in sorted(apart.putting_right.items()))}"]
    if apart.no_job or apart.no_day:
        said = [f"{apart.no_job} of no known job"] * bool(apart.no_job) + [f"{apart.no_day} whose day cannot be read, of any days"] * bool(apart.no_day)
        yield [f"not counted, for they cannot be read: {', '.join(said)}"]
    if apart.in_part:
        yield [f"what cannot be read of {number_of(apart.in_part, 'cask')} of the book may be of these days too: caskbook check"]


_OUT = {"void": "voided", "moved": "moved to another cask"}


def _explained(report: DaysReport) -> Iterator[list[str]]:
    yield ["filter", ", ".join(report.only) or "none: the whole book"]
    for told in explained(report):
        yield [told.figure, told.counts, *([told.of] if told.of else [])]


def _hanging(parts: Sequence[str], width: int) -> list[str]:
    """A title with its parts, further lines set in."""
    joined = [f"{parts[0]}: {parts[1]}", *parts[2:]] if len(parts) > 1 and ":" not in parts[0] else list(parts)
    first, *more = flow(joined, width - 2, most_lines=_MOST_LINES)
    return [first, *(f"  {line}" for line in more)]
