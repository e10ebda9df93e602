"""The heads of a cask and the ring of its staves as a picture: what was changed, leaked, has rush in it, is open."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

from caskbook.life import Life
from caskbook.model.places import Frame, Place, piece_name
from caskbook.pages.svg import on_circle, picture, tag, words
from caskbook.render.cask_map import Marked, marked_places, numbers_told, stave_signs

_RADIUS, _INNER, _OUTER = 70.0, 86.0, 108.0
_SIDE = 2 * _OUTER + 44
_SMALL = 7


def heads_picture(life: Life) -> str:
    """Head A within the ring of staves, and head B beside it, each seen from its own outside, bung up. Numbers and signs say all; no colour does."""
    frame, marked = life.state.frame, marked_places(life)
    centre = _SIDE / 2
    numbers = numbers_told(life)
    body = [
        *([words(numbers, centre, 9, font_size=_SMALL)] if numbers else []),
        *_head("A", frame, marked, centre),
        *_ring(frame, marked, centre),
        *_head("B", frame, marked, centre + _SIDE),
    ]
    return picture(2 * _SIDE, _SIDE + 14, f"heads and staves of {life.cask.id}", body)


def _head(name: str, frame: Frame, marked: Marked, x: float) -> Iterator[str]:
    """A head as a circle cut by its joints, its pieces from left to right."""
    y, place = _SIDE / 2, Place("head", name)
    yield tag("circle", cx=x, cy=y, r=_RADIUS, class_="wood")
    whole = marked.changed.get(place)
    title = f"head {name}, from outside" + (f", new {whole}" if whole else "")
    yield words(" ".join(part for part in (title, marked.signs(place)) if part), x, _SIDE + 8, font_size=9)
    pieces = frame.piece_numbers(name)
    if pieces is None:
        yield words("pieces not counted", x, y, font_size=_SMALL)
        return
    wide = 2 * _RADIUS / pieces
    for number in range(1, pieces + 1):
        middle = x - _RADIUS + wide * (number - 0.5)
        yield _piece(name, number, pieces, marked, middle, y, newer=whole)
        if number < pieces:
            yield from _joint(name, number, marked, x, middle + wide / 2, y)


def _piece(head: str, number: int, pieces: int, marked: Marked, x: float, y: float, *, newer: int | None) -> str:
    """The number of a piece, the year it is from where it is newer than its head, and its signs."""
    place = Place("piece", head, number)
    year = marked.changed.get(place)
    told = [f"{head}{number}", *([f"'{year % 100:02d}"] if year and (newer is None or year > newer) else []), marked.signs(place)]
    lines = [part for part in told if part]
    texts = [words(line, x, y + 3 + 9 * (n - (len(lines) - 1) / 2), font_size=_SMALL) for n, line in enumerate(lines)]
    return tag("g", tag("title", f"{place} ({piece_name(number, pieces)})"), *texts)


def _joint(head: str, number: int, marked: Marked, centre: float, x: float, y: float) -> Iterator[str]:
    """The joint behind a piece, as long as the head is there, with its signs at its top."""
    half = math.sqrt(max(0.0, _RADIUS**2 - (x - centre) ** 2))
    yield tag("line", x1=x, y1=y - half, x2=x, y2=y + half, class_="joint")
    if signs := marked.signs(Place("head-joint", head, number)):
        yield words(signs, x, y - half + 14, font_size=9, class_="sign")


def _ring(frame: Frame, marked: Marked, x: float) -> Iterator[str]:
    """The staves clockwise about head A, the bung stave at the top; without a count a plain ring that says so."""
    y, count = _SIDE / 2, frame.stave_numbers
    yield tag("circle", cx=x, cy=y, r=_INNER, class_="line")
    yield tag("circle", cx=x, cy=y, r=_OUTER, class_="line")
    if count is None:
        yield words("staves not counted", x, y + _INNER + 14, font_size=_SMALL)
        return
    yield _staves(count, frame.bung_stave, x)
    for number in range(1, count + 1):
        year = marked.changed.get(Place("stave", "", number))
        said = (f"'{year % 100:02d}" if year else "") + stave_signs(number, frame, marked)
        if said:
            out_x, out_y = on_circle(x, y, _OUTER + 10, (number - frame.bung_stave) / count)
            yield words(said, out_x, out_y + 2.5, font_size=_SMALL, class_="sign")
    yield tag("circle", cx=x, cy=y - _INNER - 3, r=1.6)


@lru_cache(maxsize=256)
def _staves(count: int, bung_stave: int, x: float) -> str:
    """The joints and numbers of so many staves, alike for all casks that have as many."""
    drawn, y = [], _SIDE / 2
    for number in range(1, count + 1):
        turn = (number - bung_stave) / count
        (x1, y1), (x2, y2) = on_circle(x, y, _INNER, turn + 0.5 / count), on_circle(x, y, _OUTER, turn + 0.5 / count)
        at_x, at_y = on_circle(x, y, (_INNER + _OUTER) / 2, turn)
        drawn.append(tag("line", x1=x1, y1=y1, x2=x2, y2=y2, class_="joint"))
        drawn.append(words(str(number), at_x, at_y + 2.5, font_size=_SMALL, **({"font_weight": "bold"} if number == bung_stave else {})))
    return "".join(drawn)
