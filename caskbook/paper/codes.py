"""A cask's number as signs for a scanner: Code 128 (ISO/IEC 15417) and QR (ISO/IEC 18004). Both hold the number and nothing else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from caskbook.core.extra import library
from caskbook.paper.shapes import Box

BAR_QUIET = 10
"""Blank modules on either side of the bars (ISO/IEC 15417)."""
SQUARE_QUIET = 4
"""Blank modules around the square (ISO/IEC 18004)."""


def bar_modules(number: str) -> str:
    """The bars from left to right, a module each: 1 dark, 0 light. Letters as set B has them, figures in pairs as set C has them."""
    return str(library("barcode.codex").Code128(number).build()[0])


def square_modules(number: str) -> Sequence[Sequence[int]]:
    """The rows of the square, 1 dark, 0 light: a quarter of it may be lost, more where that makes it no larger."""
    return tuple(tuple(row) for row in library("segno").make(number, error="q", micro=False, boost_error=True).matrix)


def bars(modules: str, x: float, y: float, module: float, height: float) -> Iterator[Box]:
    """The dark bars, the first one at x; a module is so many mm wide."""
    at = 0
    for dark, run in groupby(modules):
        count = len(list(run))
        if dark == "1":
            yield Box(x + at * module, y, count * module, height)
        at += count


def squares(rows: Sequence[Sequence[int]], x: float, y: float, module: float) -> Iterator[Box]:
    """The dark runs of each row, the first row at y."""
    for line, row in enumerate(rows):
        at = 0
        for dark, run in groupby(row):
            count = len(list(run))
            if dark:
                yield Box(x + at * module, y + line * module, count * module, module)
            at += count
