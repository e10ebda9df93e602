"""A cask's label: its number large, the same in bars and as a square, and what the cask is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from caskbook.core.finding import CaskbookError
from caskbook.paper.codes import BAR_QUIET, SQUARE_QUIET, bar_modules, bars, square_modules, squares
from caskbook.paper.letters import cap_height, fitted
from caskbook.paper.shapes import Box, Page, Words

_EDGE = 2.0
"""mm left free all around."""
_LEAST_BAR = 0.25
"""Narrowest bar, mm: common practice for a hand scanner, no source."""
_LEAST_SQUARE = 0.4
"""Smallest dot of the square, mm: common practice, no source."""
_MOST_BAR = 1.0
_LEAST_WORDS = 25.0
"""How wide a place for words is at least, mm."""
_LINE = 2.8
_LEAST_LINE = 1.8
_NUMBER_SHARE = 0.34
"""What the number takes of the height at most."""
PAPERS = {"A4": (210.0, 297.0), "A5": (148.0, 210.0)}
"""Width and height, mm (ISO 216)."""
_SHEET_EDGE = 5.0


@dataclass(frozen=True, slots=True)
class LabelSize:
    """How a house's labels are: width and height in mm, and the dots an inch of what prints them, of which bars take whole ones."""

    width: float
    height: float
    dpi: int

    @property
    def dot(self) -> float:
        """mm of one dot."""
        return 25.4 / self.dpi


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the codes go: corner and module of the bars, and their height; corner and module of the square; where words go, and how wide."""

    bar: tuple[float, float, float, float]
    square: tuple[float, float, float]
    words: tuple[float, float, float, float]


def label(number: str, lines: Sequence[str], size: LabelSize) -> Page:
    """The label of one cask. CaskbookError where it is too small for what a scanner has to read."""
    page = Page(size.width, size.height)
    modules, rows = bar_modules(number), square_modules(number)
    room = size.width - 2 * _EDGE
    big = fitted(_EDGE, 0, room, (size.height - 2 * _EDGE) * _NUMBER_SHARE / 0.73, number, bold=True, least=0.1)
    top = _EDGE + cap_height(big.size)
    page.shapes.append(Words(_EDGE, top, big.size, big.text, big.width, bold=True))
    wide, high = len(modules) + 2 * BAR_QUIET, len(rows) + 2 * SQUARE_QUIET
    place = _beside(wide, high, top, size) or _below(wide, high, top, size)
    if place is None:
        raise CaskbookError(
            f"a label of {size.width:g} × {size.height:g} mm is too small for the codes of {number}: set label_width_mm and label_height_mm larger in house.yaml"
        )
    x, y, module, height = place.bar
    page.shapes += bars(modules, _whole(x, size.dot) + BAR_QUIET * module, _whole(y, size.dot), module, height)
    x, y, module = place.square
    page.shapes += squares(rows, _whole(x, size.dot) + SQUARE_QUIET * module, _whole(y, size.dot) + SQUARE_QUIET * module, module)
    page.shapes += _told(lines, place.words)
    return page


def _beside(wide: int, high: int, top: float, size: LabelSize) -> _Place | None:
    """The square at the right, the bars left of it and the words above these; None where that is too small."""
    low, room = size.height - _EDGE - top, size.width - 2 * _EDGE
    square = _whole(min(low, room * 0.45) / high, size.dot)
    left = room - square * high
    bar = min(_whole(left / wide, size.dot), _MOST_BAR)
    told = min(3 * _LINE * 1.25, low * 0.4)
    tall = low - told - 1
    if square < _LEAST_SQUARE or bar < _LEAST_BAR:
        return None
    corner = size.width - _EDGE - square * high
    return _Place((_EDGE, top + told + 1, bar, tall), (corner, top + (low - square * high) / 2, square), (_EDGE, top + 1, left - 1, told - 1))


def _below(wide: int, high: int, top: float, size: LabelSize) -> _Place | None:
    """The bars over the whole width, below them the square and beside it the words; None where that is too small."""
    low, room = size.height - _EDGE - top - 1.5, size.width - 2 * _EDGE
    bar = min(_whole(room / wide, size.dot), _MOST_BAR)
    tall = low * 0.35
    square = _whole(min(low - tall, room) / high, size.dot)
    if square < _LEAST_SQUARE or bar < _LEAST_BAR:
        return None
    y, side = top + 1.5 + tall, square * high
    words = (_EDGE + side, y + 1.5, room - side, low - tall - 1.5)
    if room - side < _LEAST_WORDS:  # There is no room beside the square: the words go below it.
        square = max(_LEAST_SQUARE, _whole((low - tall - 2 * _LINE * 1.25) / high, size.dot)) if low - tall - side < 2 * _LINE * 1.25 else square
        words = (_EDGE, y + square * high, room, low - tall - square * high)
    return _Place((_EDGE, top + 1.5, bar, tall), (_EDGE, y, square), words)


def _whole(length: float, dot: float) -> float:
    """The length in whole dots, so that every bar is as wide as it should be."""
    return int(length / dot + 1e-9) * dot


def _told(lines: Sequence[str], place: tuple[float, float, float, float]) -> Iterator[Words]:
    """What the cask is, as many lines as there is room for."""
    x, y, room, high = place
    for at, line in enumerate(line for line in lines if line):
        base = y + (at + 1) * _LINE * 1.2
        if base <= y + high + 0.3:
            yield fitted(x, base, room, _LINE, line, least=_LEAST_LINE)


def on_sheets(labels: Sequence[Page], paper: str) -> list[Page]:
    """The labels side by side on pages of A4 or A5, to be cut along hairlines. CaskbookError where not even one fits."""
    width, height = PAPERS[paper]
    first = labels[0]
    across, down = (int((whole - 2 * _SHEET_EDGE) / one + 1e-9) for whole, one in ((width, first.width), (height, first.height)))
    if not across or not down:
        raise CaskbookError(f"a label of {first.width:g} × {first.height:g} mm does not go on {paper}: set label_page or its sizes in house.yaml")
    left, top = (width - across * first.width) / 2, (height - down * first.height) / 2
    pages = []
    for start in range(0, len(labels), across * down):
        page = Page(width, height)
        for at, one in enumerate(labels[start : start + across * down]):
            x, y = left + at % across * first.width, top + at // across * first.height
            page.shapes.append(Box(x, y, one.width, one.height, edge=0.1, grey=True))
            page.lay(one, x, y)
        pages.append(page)
    return pages
