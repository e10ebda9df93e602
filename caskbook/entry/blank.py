"""Blank day sheets to print: ruled by hand's breadth, within the width of the paper, the columns folded under each other."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from caskbook.entry.fields import JobField
from caskbook.entry.sheet import columns_for

_MOST_COLUMNS = 6
_LEAST_WIDTH = 9
_LEAST_NOTE = 14
_GAP = " | "
Column = tuple[str, int]


def blank_print(job: str, casks: Sequence[str], house: str | None, rows: int, width: int = 80) -> str:
    """A sheet to print and fill in by hand, at most `width` columns wide: mandatory columns bear a star."""
    asked = sorted(columns_for(job), key=lambda one: not one.must)[:_MOST_COLUMNS]
    first = max([9, *map(len, casks)])
    ruled = _folded([(f"{one.key}{'*' if one.must else ''}", _LEAST_WIDTH) for one in asked], first, width)
    rule = "-+-".join("-" * size for size in (first, *(size for _, size in ruled[0])))
    lines = [*_title(job, house, width), "", *_block("cask", first, ruled, heads=True), rule]
    for at in range(max(rows, len(casks))):
        lines += [*_block(casks[at] if at < len(casks) else "", first, ruled), rule]
    return "\n".join([*lines, "", *_words(asked, width)])


def _folded(heads: Sequence[Column], first: int, width: int) -> list[list[Column]]:
    """The columns on as few lines as the width takes; the note comes last and takes what is left."""
    ruled: list[list[Column]] = [[]]
    room = width - first
    for head, least in heads:
        size = max(len(head), least)
        if ruled[-1] and room < size + len(_GAP):
            ruled.append([])
            room = width - first
        ruled[-1].append((head, size))
        room -= size + len(_GAP)
    if room < _LEAST_NOTE + len(_GAP):
        ruled.append([])
        room = width - first
    ruled[-1].append(("note", room - len(_GAP)))
    return ruled


def _block(lead: str, first: int, ruled: Sequence[Sequence[Column]], *, heads: bool = False) -> list[str]:
    """The lines of one row of the sheet."""
    lines = []
    for at, columns in enumerate(ruled):
        cells = [(lead if not at else "").ljust(first), *((head if heads else "").ljust(size) for head, size in columns)]
        lines.append(_GAP.join(cells).rstrip())
    return lines


def _title(job: str, house: str | None, width: int) -> list[str]:
    name = f"{house} · {job}" if house else job
    blanks = "day ____________   by ________   sheet ____________"
    whole = f"{name}      {blanks}"
    return [whole] if len(whole) <= width else [*textwrap.wrap(name, width), "", blanks]


def _words(columns: Sequence[JobField], width: int) -> list[str]:
    told = [f"{one.key}: {', '.join(one.words)}" for one in columns if one.words]
    return [line for text in told for line in textwrap.wrap(text, width, subsequent_indent="  ", break_on_hyphens=False)]
