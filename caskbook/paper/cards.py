"""Job cards: a blank day sheet as pages of A4 or A5, a strip for each cask with its tick box, its reason and room for every field."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from caskbook.entry.blank import NOTE, PAGE, Card, Cell, Sheet
from caskbook.paper.label import PAPERS
from caskbook.paper.letters import fitted, folded, width_of
from caskbook.paper.shapes import Box, Page, Words

_LINE = 0.12
_LEAST_CELL = 4.8
"""How high room to write in is at least, with its label, mm: common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Measures:
    """How a paper is divided, all in mm. `cask`: the room for the cask and its reason; letter sizes: `big` of a number, `small` of what
    stands beside it, `tiny` of what a cell is called; `tick`: a line of ticks; `room`: what a cell of a kind takes at least."""

    edge: float
    cask: float
    big: float
    small: float
    tiny: float
    tick: float
    room: dict[str, float]


_MEASURES = {
    "A4": _Measures(10, 60, 3.9, 2.3, 1.7, 3.3, {"figure": 12, "list": 26, "text": 20, NOTE: 22}),
    "A5": _Measures(7, 46, 2.9, 1.9, 1.45, 2.35, {"figure": 8, "list": 15, "text": 12, NOTE: 10}),
}
_SPARE = ("A4",)
"""Papers on which a card of a usual job has room to spare."""
_Row = list[tuple[Cell, float]]
"""Cells beside each other, each with its width."""


@dataclass(frozen=True, slots=True)
class _Strip:
    """How each cask's strip is divided: its height, and the cells line by line."""

    height: float
    rows: Sequence[_Row]


def cards(sheet: Sheet, paper: str) -> list[Page]:
    """The pages of a sheet: 24 casks on each, fewer where a job has more fields than so small a strip has room for."""
    of = _MEASURES[paper]
    width, height = PAPERS[paper]
    words = [line for text in sheet.words() for line in folded(text, width - 2 * of.edge, of.small, 20)]
    top, foot = 1.1 * of.big + 2.4 * of.small + 8, len(words) * of.small * 1.25 + 1
    high = height - 2 * of.edge - top - foot
    strip = _fullest(sheet, width - 2 * of.edge - of.cask, high, of, spare=paper in _SPARE)
    each = _each(strip, high)
    strip = _Strip(high / each, strip.rows)
    starts = range(0, len(sheet.cards), each)
    pages = []
    for start in starts:
        page = Page(width, height)
        told = sheet.told(start + 1, min(start + each, len(sheet.cards)))
        page.shapes += _head(sheet, told, f"page {start // each + 1} of {len(starts)}", width, of)
        for at, card in enumerate(sheet.cards[start : start + each]):
            page.shapes += _card(card, strip, of.edge + top + at * strip.height, width - 2 * of.edge, of)
        below = of.edge + top + min(each, len(sheet.cards) - start) * strip.height
        page.shapes += [fitted(of.edge, below + (at + 1) * of.small * 1.25, width - 2 * of.edge, of.small, line) for at, line in enumerate(words)]
        pages.append(page)
    return pages


def _head(sheet: Sheet, told: str, page: str, width: float, of: _Measures) -> Iterator[Box | Words]:
    """What the sheet is, which casks stand on this page, and room for the day, who did it and the sheet's name."""
    room, y = width - 2 * of.edge, of.edge + of.big * 1.1
    side = width_of(page, of.small)
    yield fitted(of.edge, y, room - side - 4, of.big * 1.25, sheet.title, bold=True, least=of.small)
    yield fitted(width - of.edge - side, y, side + 1, of.small, page)
    y += of.small * 1.7
    yield fitted(of.edge, y, room, of.small, told, least=of.tiny)
    y += of.small * 0.7
    names = sheet.blanks()
    wide = room / len(names)
    for at, name in enumerate(names):
        yield Box(of.edge + at * wide, y, wide, 7, edge=_LINE)
        yield fitted(of.edge + at * wide + 0.8, y + of.tiny, wide - 1.6, of.tiny, name)


def _fullest(sheet: Sheet, room: float, high: float, of: _Measures, *, spare: bool) -> _Strip:
    """The strip with room for the fields and, on a paper that has any to `spare`, for each of the extras with which no fewer casks go on a page."""
    best, more = _strip(sheet.cells(), room, high, of), list[str]()
    for group in sheet.extras() if spare else ():
        strip = _strip(sheet.cells([*more, *group]), room, high, of)
        if _each(strip, high) >= _each(best, high):
            best, more = strip, [*more, *group]
    return best


def _each(strip: _Strip, high: float) -> int:
    """How many casks go on a page."""
    return max(1, min(PAGE, int(high / strip.height + 1e-6)))


def _strip(cells: Sequence[Cell], room: float, high: float, of: _Measures) -> _Strip:
    """The cells on as few lines as they go on, at the height of 24 casks a page while that leaves room to write, else higher."""
    usual = high / PAGE
    for lines in range(1, len(cells) + 1):
        each = max(usual / lines, _LEAST_CELL)
        rows = _rows(cells, room, each, of)
        if len(rows) <= lines:
            return _Strip(max(usual, each * len(rows)), rows)
    return _Strip(max(usual, _LEAST_CELL * len(cells)), [[(cell, room)] for cell in cells])


def _rows(cells: Sequence[Cell], room: float, each: float, of: _Measures) -> list[_Row]:
    """The cells in lines, each line as wide as there is room: what is over goes to what is written in words."""
    rows: list[_Row] = [[]]
    for cell in cells:
        wide = min(_least(cell, each, of), room)
        if rows[-1] and sum(size for _, size in rows[-1]) + wide > room + 1e-6:
            rows.append([])
        rows[-1].append((cell, wide))
    return [_spread(row, room) for row in rows]


def _spread(row: _Row, room: float) -> _Row:
    over = room - sum(size for _, size in row)
    wanted = [not cell.ticks and (3 if cell.label == NOTE else 2 if cell.kind != "figure" else 0) for cell, _ in row]
    shares = wanted if any(wanted) else [1] * len(row)
    return [(cell, size + over * share / sum(shares)) for (cell, size), share in zip(row, shares, strict=True)]


def _least(cell: Cell, each: float, of: _Measures) -> float:
    """The least width of a cell that is so high."""
    named = min(width_of(cell.label, of.tiny) + 1.2, of.room["list"])
    if cell.ticks:
        return max(named, sum(wide for wide, _ in _ticks(cell, each, of)) + 0.8)
    return max(named, of.room[NOTE if cell.label == NOTE else cell.kind])


def _ticks(cell: Cell, each: float, of: _Measures) -> list[tuple[float, tuple[str, ...]]]:
    """The ticks of a cell so high as columns: how wide each is, and its words from above."""
    down = max(1, int((each - of.tiny - 0.35) / of.tick + 1e-6))
    columns = [cell.ticks[at : at + down] for at in range(0, len(cell.ticks), down)]
    return [(max(width_of(word, of.small) for word in column) + of.tick + 0.9, column) for column in columns]


def _card(card: Card, strip: _Strip, y: float, room: float, of: _Measures) -> Iterator[Box | Words]:
    """One cask's strip: tick box, number, where it is, and why; then its cells."""
    box = of.big * 0.95
    yield Box(of.edge, y, room, strip.height, edge=_LINE * 2)
    yield Box(of.edge + 1, y + 0.7, box, box, edge=0.3)
    x, base = of.edge + box + 2.2, y + 0.6 + of.big * 0.9
    left = of.edge + of.cask - 1 - x
    number = fitted(x, base, left, of.big, card.cask or "cask", bold=bool(card.cask), least=of.small)
    yield number
    about = "  ".join(part for part in (card.berth, card.type) if part)
    beside = left - number.width - 1.5
    lines = [*card.reasons]
    if beside >= width_of(about, of.tiny):
        yield fitted(x + number.width + 1.5, base, beside, of.small, about, least=of.tiny)
    else:
        lines = [about, *lines]
    most, base = int((strip.height - (base - y) - 0.7) / (of.tiny * 1.17)), base + 0.25
    for at, line in enumerate(folded("; ".join(line for line in lines if line), of.cask - 2, of.tiny, max(most, 1))):
        yield fitted(of.edge + 1, base + (at + 1) * of.tiny * 1.17, of.cask - 1.6, of.tiny, line)
    yield from _cells(strip, y, of)


def _cells(strip: _Strip, y: float, of: _Measures) -> Iterator[Box | Words]:
    """Room for every field, with its name in the corner; ticks below it."""
    each = strip.height / len(strip.rows)
    for line, row in enumerate(strip.rows):
        x, top = of.edge + of.cask, y + line * each
        for cell, wide in row:
            yield Box(x, top, wide, each, edge=_LINE, grey=True)
            yield fitted(x + 0.6, top + of.tiny, wide - 0.9, of.tiny, cell.label, least=of.tiny * 0.75)
            left, line_high = x + 0.7, min(of.tick, each - of.tiny - 0.35)
            for column, words in _ticks(cell, each, of):
                for at, word in enumerate(words):
                    low = top + of.tiny + 0.35 + at * line_high
                    yield Box(left, low + 0.15, line_high * 0.78, line_high * 0.78, edge=0.2)
                    yield fitted(left + of.tick * 0.95, low + line_high * 0.78, column - of.tick, of.small, word)
                left += column
            x += wide
