"""The sheet of a day on A4: a strip for each job with its tick box, where it is and why, and room to write what came of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from caskbook.entry.blank import Cell
from caskbook.paper.label import PAPERS
from caskbook.paper.letters import fitted, folded, width_of
from caskbook.paper.shapes import Box, Page, Words
from caskbook.render.morning import Page as Sheet
from caskbook.render.morning import Row

_EDGE = 10.0
_PLACE, _CASK, _WHY = 29.0, 27.0, 56.0
"""How wide the place, the cask, and the job with its reason are, mm; the rest is room to write."""
_BIG, _SMALL, _TINY = 3.5, 2.35, 1.75
_STRIP_MOST, _STRIP_LEAST, _STORE = 12.0, 6.6, 5.2
_WAYS = ((_SMALL, True, 2), (_SMALL * 0.9, True, 2), (_SMALL * 0.9, False, 2), (_SMALL * 0.8, False, 1))
"""Letters of the foot, whether each store is named in a line of its own, and how many lines a matter at the foot has, cautions aside, which are never cut: the
first way that leaves room for the jobs, else the last."""
_WHOLE = 9
_TICK = 3.0
_FIGURE = 11.0
_LINE = 1.24
"""How far lines of text stand apart, of their size."""
_LINES_OF_WHY = 2
_INK = 0.12
_RULE = 8.0
"""How far the rules to write on stand apart."""


def morning_pages(sheets: Sequence[Sheet], paper: str = "A4") -> list[Page]:
    """A page of paper for each page of the sheet."""
    return [_page(sheet, *PAPERS[paper]) for sheet in sheets]


def _page(sheet: Sheet, width: float, height: float) -> Page:
    """The page: its foot in the largest letters, and the stores in lines of their own, as far as the strips stay high enough to be written into."""
    page = Page(width, height)
    page.shapes += _head(sheet, width)
    top = max(one.y for one in page.shapes) + 3
    for small, named, most in _WAYS:
        foot = list(_foot(sheet, width, small, most))
        low = height - _EDGE - max(one.y for one in foot) - 1
        stores = _changes([row.store for row in sheet.rows]) if named else set()
        strip = min(_STRIP_MOST, (low - top - len(stores) * _STORE) / max(len(sheet.rows), 1))
        if strip >= _STRIP_LEAST:
            break
    y = top
    for at, row in enumerate(sheet.rows):
        if at in stores:
            page.shapes.append(fitted(_EDGE, y + _STORE - 1.4, width - 2 * _EDGE, _SMALL * 1.15, row.store or "no store", bold=True))
            y += _STORE
        page.shapes += _strip(row, y, strip, width - 2 * _EDGE)
        y += strip
    page.shapes += _notes(y + 3, low, width)
    page.lay(Page(width, height, foot), 0, low)
    return page


def _changes(words: Sequence[str]) -> set[int]:
    """The places at which a word is another than before it, the first among them."""
    return {at for at, word in enumerate(words) if not at or word != words[at - 1]}


def _notes(top: float, bottom: float, width: float) -> Iterator[Box | Words]:
    """Rules to write on, where the jobs leave room for some."""
    lines = int((bottom - top - _SMALL * 2) / _RULE)
    if lines < 2:
        return
    yield fitted(_EDGE, top + _SMALL, width - 2 * _EDGE, _SMALL * 1.1, "notes", bold=True)
    yield from (Box(_EDGE, top + _SMALL + (at + 1) * _RULE, width - 2 * _EDGE, 0.0, edge=_INK, grey=True) for at in range(lines))


def _head(sheet: Sheet, width: float) -> Iterator[Box | Words]:
    """Whose sheet of which day, for whom, and how much of what is due stands on it."""
    room, y = width - 2 * _EDGE, _EDGE + _BIG * 1.3
    side = " · ".join(part for part in (sheet.page, sheet.by) if part)
    wide = min(width_of(side, _BIG), room * 0.5)
    yield fitted(_EDGE, y, room - wide - 4, _BIG * 1.35, sheet.title, bold=True, least=_SMALL)
    yield fitted(width - _EDGE - wide, y, wide + 0.5, _BIG, side, least=_TINY)
    y += 1.2
    for line in sheet.head:
        for part in folded(line, room, _SMALL, 4):
            y += _SMALL * _LINE
            yield fitted(_EDGE, y, room, _SMALL, part)


def _strip(row: Row, y: float, high: float, room: float) -> Iterator[Box | Words]:
    """One job: tick box, place, cask, the job and why, and the cells to write into."""
    yield Box(_EDGE, y, room, high, edge=_INK)
    box = min(4.0, high - 2)
    yield Box(_EDGE + 1, y + (high - box) / 2, box, box, edge=0.3)
    first, second = y + high / 2 - 0.5, y + high / 2 + _SMALL + 0.1
    x = _EDGE + box + 2.4
    yield fitted(x, first, _PLACE - box - 2.8, _BIG * 0.9, row.berth, bold=True, least=_TINY)
    yield fitted(x, second, _PLACE - box - 2.8, _SMALL, row.store, least=_TINY)
    x = _EDGE + _PLACE
    yield fitted(x, first, _CASK - 1.5, _BIG * 0.95, row.cask, bold=True, least=_TINY)
    yield fitted(x, second, _CASK - 1.5, _SMALL, row.type, least=_TINY)
    yield from _job(row, y, high)
    yield from _rooms(row.rooms, _EDGE + _PLACE + _CASK + _WHY, y, high, room - _PLACE - _CASK - _WHY)


def _job(row: Row, y: float, high: float) -> Iterator[Words]:
    """The job, and why: below it, or beside it and below where the strip is low."""
    x, base, size = _EDGE + _PLACE + _CASK, y + _BIG * 0.95, _SMALL * 0.92
    head = fitted(x, base, _WHY - 2, _BIG * 0.9, f"{row.job}  {row.hours}".rstrip(), bold=True, least=_TINY)
    yield head
    below = max(int((high - _BIG * 0.95 - 0.6) / (size * 1.15)), 0)
    why, beside = row.why, _WHY - 3.5 - head.width
    if below < _LINES_OF_WHY:
        first = folded(why, beside, size, 1 + len(why))[:1]
        yield from (fitted(head.x + head.width + 1.5, base, beside, size, line) for line in first)
        why = why[len(first[0]) :].strip() if first else ""
    for at, line in enumerate(folded(why, _WHY - 2, size, max(below, 1)) if why else ()):
        yield fitted(x, base + 0.15 + (at + 1) * size * 1.15, _WHY - 1.6, size, line)


def _rooms(cells: Sequence[Cell], x: float, y: float, high: float, room: float) -> Iterator[Box | Words]:
    """Room for each cell side by side: figures as wide as a figure, what is left to the one that says how it ended."""
    figures = sum(cell.kind == "figure" for cell in cells)
    each = min(_FIGURE, room * 0.6 / max(figures, 1))
    for cell in cells:
        wide = each if cell.kind == "figure" else room - figures * each
        yield Box(x, y, wide, high, edge=_INK, grey=True)
        yield fitted(x + 0.7, y + _TINY + 0.2, wide - 1, _TINY, cell.label.rstrip("*"), least=_TINY * 0.7)
        yield from _ticks(cell.ticks, x + 0.8, y + _TINY + 0.7, wide - 1, high - _TINY - 1)
        x += wide


def _ticks(words: Sequence[str], x: float, y: float, room: float, high: float) -> Iterator[Box | Words]:
    """A box beside each word, in one line where they go, else in two columns."""
    if not words:
        return
    across = words if sum(width_of(word, _SMALL) + _TICK + 1.6 for word in words) <= room else words[: (len(words) + 1) // 2]
    lines = -(-len(words) // len(across))
    tall, wide = min(_TICK, high / lines), room / len(across)
    for at, word in enumerate(words):
        left, top = x + at % len(across) * wide, y + at // len(across) * tall
        yield Box(left, top + 0.1, tall * 0.8, tall * 0.8, edge=0.2)
        yield fitted(left + tall, top + tall * 0.78, wide - tall - 0.4, min(_SMALL, tall), word, least=_TINY * 0.8)


def _foot(sheet: Sheet, width: float, size: float, most: int) -> Iterator[Box | Words]:
    """The blocks below the jobs, and where the sheet is from, counted from the foot's own top."""
    room, y = width - 2 * _EDGE, 0.0
    for block in sheet.foot:
        y += size * 1.9
        yield fitted(_EDGE, y, room, size * 1.1, block.head, bold=True)
        for line in block.lines:
            for n, part in enumerate(folded(line, room - 2, size, _WHOLE if block.whole else most)):
                y += size * _LINE
                yield fitted(_EDGE + (1.5 if n else 0), y, room - 1.5, size, part)
    y += size * 1.9
    for part in folded(sheet.source, room, size, 2):
        yield fitted(_EDGE, y, room, size, part)
        y += size * _LINE
