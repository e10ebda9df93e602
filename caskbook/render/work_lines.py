"""Lines that the screens of work share: sums of hours, where the hours of each job come from, of which jobs nobody knows them, and a grid of figures."""

from __future__ import annotations

import re
import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from rich.cells import cell_len

from caskbook.render.console import cut, pad, safe
from caskbook.words.plural import number_of
from caskbook.work.figures import Sum, takes_minutes
from caskbook.work.hours import LEAST, Source

_FIGURE = re.compile(r"(\d) (h|L)\b")


def told(found: Sum, places: int) -> str:
    """ "95.0 h, and 3 jobs without hours"."""
    without = f"{number_of(found.unknown, 'job')} without hours"
    if not found.unknown:
        return f"{found.hours:.{places}f} h"
    return without if found.unknown == found.jobs else f"{found.hours:.{places}f} h and {without}"


def hours_lines(sources: Sequence[Source], without: Iterable[str], wide: int) -> Iterator[str]:
    """Which hours come from where, and of which jobs (`without`, each as often as it is to be done) nobody knows them."""
    known: dict[str, list[str]] = {}
    for one in sources:
        if one.hours is not None:
            known.setdefault(one.where, []).append(_source(one))
    if known:
        yield from wrapped("hours: " + "; ".join(f"{', '.join(found)} ({where})" for where, found in known.items()), wide)
    unknown = Counter(without).most_common()
    if unknown:
        write = f"write job_hours: {{{unknown[0][0]}: HOURS}} into house.yaml"
        write += f", or enter --work-minutes with {LEAST} of each" if any(takes_minutes(word) for word, _ in unknown) else ""
        yield from wrapped(f"no hours for {', '.join(f'{word} ({count})' for word, count in unknown)}: {write}", wide)


def _source(one: Source) -> str:
    hours = f"{one.hours:.2f}".rstrip("0").rstrip(".") if one.hours is not None else "?"
    return f"{one.job} {hours}{f' for a {one.type}' if one.type else ''}{f' from {one.since}' if one.since else ''}"


def wrapped(text: str, wide: int) -> list[str]:
    """The text in lines of at most `wide` cells, those behind the first indented; a figure stays with its unit."""
    whole = _FIGURE.sub("\\1\N{NO-BREAK SPACE}\\2", safe(text))
    lines = textwrap.wrap(whole, wide, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)
    return [line.replace("\N{NO-BREAK SPACE}", " ") for line in lines]


def places_of(hours: Iterable[float | None]) -> int:
    """How many decimals hours have, so that parts add up to the whole wherever they can: one, or two."""
    return 1 if all(abs(one - round(one, 1)) < 1e-9 for one in hours if one is not None) else 2


def grid(rows: Sequence[Sequence[str]], wide: int) -> list[str]:
    """Cells under each other, the first column to the left, the others to the right; closer where the width is short."""
    sizes = [max(cell_len(row[n]) for row in rows) for n in range(len(rows[0]))]
    gap = "  " if grid_width(rows, "  ") <= wide else " "
    return [
        cut(gap.join([pad(row[0], sizes[0]), *(" " * (size - cell_len(cell)) + cell for cell, size in zip(row[1:], sizes[1:], strict=True))]), wide).rstrip()
        for row in rows
    ]


def grid_width(rows: Sequence[Sequence[str]], gap: str) -> int:
    """How many cells a grid takes with this gap between its columns."""
    return sum(max(cell_len(row[n]) for row in rows) for n in range(len(rows[0]))) + len(gap) * (len(rows[0]) - 1)
