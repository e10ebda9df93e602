"""An outlook as text: a line for each month, for the years and for all, with a middle and a range of each count."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rich.cells import cell_len

from caskbook.core.typed_word import typed_word
from caskbook.render.console import USUAL_WIDTH, flow
from caskbook.stats.hazards import LEAST_ENDS
from caskbook.stats.outlook_counts import AT_LIMIT, CLOSED, EXAMINED, FILLS, LEAKS, RETIRED, TESTED, TIPS
from caskbook.stats.outlook_report import HOURS, Line, OutlookReport, meant
from caskbook.words.plural import number_of

_HEADS: Mapping[str, str] = {
    TIPS: "tips", AT_LIMIT: "re-char", FILLS: "fill", EXAMINED: "examine", TESTED: "test", LEAKS: "leaks", CLOSED: "closed", RETIRED: "retire", HOURS: "hours",
}  # fmt: skip
_GAP = " "
_MOST_LINES = 9


def outlook_text(report: OutlookReport, *, width: int | None) -> str:
    """A header with the months, the band and the filter, the table, and what is left out; with --explain what each figure means. 80 columns in a pipe too."""
    wide = width or USUAL_WIDTH
    lines = _head(report, wide)
    if not report.casks:
        lines += _hanging("no casks" if report.only else "no casks: none is in the book on that day", wide)
    elif report.counts:
        lines += [line for block in _blocks(report, wide) for line in ("", *block)]
    lines += ["", *(line for part in _closing(report) for line in _hanging(part, wide))] if report.casks else []
    if report.explain:
        lines += ["", *(line for one in meant(report) for line in _hanging(f"{one.figure}: {one.means}", wide))]
    return "\n".join(lines)


def _head(report: OutlookReport, wide: int) -> list[str]:
    """Of which months, as of when, in what ranges, of how many casks, and the filter."""
    lines = report.lines()
    months = [line for line in lines if line.kind == "month"]
    first = f"the rest of {months[0].name}" if months[0].part < 1 else months[0].name
    span = f"outlook of {first} to {months[-1].name}" if len(months) > 1 else f"outlook of {first}"
    book = report.outlook.book
    full, empty = sum(one.many for one in book.full), sum(one.many for one in book.empty)
    parts = [span, f"as of {report.day}", f"{report.band} % ranges", f"seed {report.outlook.terms.seed}"]
    return [
        *flow(parts, wide),
        *flow(
            [f"{number_of(full, 'cask')} full, {empty} empty or seasoning, not retired; {book.casks} in the book with the gone", *report.only],
            wide,
            most_lines=_MOST_LINES,
        ),
    ]


def _blocks(report: OutlookReport, wide: int) -> Iterator[list[str]]:
    """The table, in as many blocks below each other as the width asks for."""
    lines, names = report.lines(), list(report.counts)
    columns = {name: _column(name, lines) for name in names}
    first = max(len(_name(line)) for line in lines)
    while names:
        taken = [names.pop(0)]
        while names and first + sum(len(_GAP) + cell_len(columns[name][0]) for name in (*taken, names[0])) <= wide:
            taken.append(names.pop(0))
        head, *rows = zip(*(columns[name] for name in taken), strict=True)
        yield [_joined("", first, head), *(_joined(_name(line), first, row) for line, row in zip(lines, rows, strict=True))]


def _name(line: Line) -> str:
    return f"{line.name}*" if line.part < 1 else line.name


def _joined(name: str, first: int, cells: Sequence[str]) -> str:
    return _GAP.join([name.ljust(first), *cells]).rstrip()


def _column(name: str, lines: Sequence[Line]) -> list[str]:
    """The heading and the cells of one count, the middles to the right, the ranges to the left."""
    cells = [("", "") if (band := line.bands[name]) is None else (f"{band.middle:.0f}", f"{band.low}-{band.high}") for line in lines]
    middle = max(len(one) for one, _ in cells)
    texts = [f"{one.rjust(middle)} {rest}" for one, rest in cells]
    size = max(len(_HEADS[name]), *map(len, texts))
    return [_HEADS[name].ljust(size), *(text.ljust(size) for text in texts)]


def _closing(report: OutlookReport) -> Iterator[str]:
    """What the columns are, what has no range, what is open or proposed now, which curves stand in, and how to see more."""
    found = report.outlook
    if report.counts:
        yield (
            f"9 7-12: most likely about 9, and in {report.band} of 100 such months from 7 to 12; re-char: of the tips, those at the limit of fills since char; leaks"
            " found, and closed"
        )
    if report.counts and any(period.part < 1 for period in found.periods):
        yield f"* the rest of the month, from the day after {report.day}"
    if report.without:
        seen = ", ".join(f"{name} {report.outlook.series[name].past}" for name in report.without)
        yield f"no range, for the book has too few in the months looked at, {LEAST_ENDS} wanted: {seen}"
    proposed, later = report.proposed
    yield f"on {report.day}: {number_of(found.open_leaks, 'leak')} open; retirement proposed on {number_of(proposed, 'cask')}, on {later} more once emptied"
    full = sum(one.many for one in found.book.full)
    unknown = sum(one.many for one in found.book.full if one.wood.since is None and not one.wood.wine and report.limits.get(one.kind.type) is not None)
    if unknown:
        yield f"in no re-char: {unknown} of {full} full casks, for nobody knows their fills since char"
    wider = [f"{kind.spirit} in {kind.type}" for name, (_, kinds) in found.used.items() for kind in kinds if name != f"{kind.spirit} in {kind.type}"]
    if wider and TIPS in report.counts:
        yield f"too few ends for curves of their own, those of their spirit or of all stand in: {', '.join(wider)}"
    if report.silent:
        yield f"left out, for not all of their files can be read: {number_of(report.silent, 'cask')}; caskbook check"
    yield f"caskbook report outlook{_options(report)} --explain; how well such ranges held: caskbook report outlook --back-test"


def _options(report: OutlookReport) -> str:
    """All that was asked for, other than what holds unasked."""
    terms = report.outlook.terms
    options = [(name, word) for name, words in report.filters.items() for word in words] + list(report.times.items())
    usual = (("months", terms.months, 12), ("band", report.band, 80), ("seed", terms.seed, 1))
    options += [(name, str(value)) for name, value, unasked in usual if value != unasked]
    return "".join(f" --{name} {typed_word(word)}" for name, word in options)


def _hanging(text: str, wide: int) -> list[str]:
    first, *more = flow([text], wide - 2, most_lines=_MOST_LINES)
    return [first, *(f"  {line}" for line in more)]
