"""Blank day sheets: what stands on them, as text to print and as CSV to type into. Each cask has its card: a tick box, why it is
there, and room for every field of the job."""

from __future__ import annotations

import csv
import io
import textwrap
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from caskbook.entry.fields import WORK
from caskbook.entry.sheet_columns import Column, columns_of
from caskbook.entry.sheet_text import REMARK, TICK

PAGE = 24
"""Casks of a page."""
NOTE, PHOTO = "note", "photo"
MOST_TICKS = 6
"""A closed list of more words is written, and told at the foot."""
_WRITTEN = 6
_LISTED = 16
_NOTED = 20
_ALIKE = ("psi",)
"""Fields that a shift mostly has alike: `enter sheet FILE --psi 11` takes them so."""
_FIGURES = ("quantity", "int", "fraction")
_FEW_TICKS = 4
_IN_SHORT = {"psi": "psi", "litres": "litres", "abv": "% vol", "temp_c": "°C"}
"""Fields that have room on a line of many jobs, and what they are called there."""


@dataclass(frozen=True, slots=True)
class Card:
    """One cask of a sheet: its number, where it lies and what it is, and why it is there. All empty: to be filled in by hand."""

    cask: str = ""
    berth: str = ""
    type: str = ""
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Cell:
    """Room for one field. `label`: what it is called, with a star where it must be given; `ticks`: the words to choose from, if few;
    `written`: those that are written; `kind`: figure, list or text."""

    label: str
    ticks: tuple[str, ...] = ()
    written: tuple[str, ...] = ()
    kind: str = "text"


@dataclass(frozen=True, slots=True)
class Sheet:
    """A blank sheet: for which jobs and whose house, with which cards; `due_on`: the day on which these are due, if that is why;
    `work`: with room for the minutes and the material that the job took."""

    jobs: tuple[str, ...]
    house: str | None
    cards: tuple[Card, ...]
    due_on: date | None = None
    work: bool = False

    @property
    def title(self) -> str:
        """ "Thornmere House · shave + char"."""
        jobs = " + ".join(self.jobs)
        return f"{self.house} · {jobs}" if self.house else jobs

    def cells(self, more: Collection[str] = ()) -> list[Cell]:
        """Room for every field that tells of the cask, where it is wished also for those of the work itself, and for a note last. `more`: what
        of `extras` has room too."""
        found = [_cell(one) for one in columns_of(self.jobs) if self.work or one.field.key not in WORK or one.key in more]
        found += [Cell(PHOTO, kind="list")] if PHOTO in more else []
        return found if self.jobs == (NOTE,) else [*found, Cell(NOTE)]

    def extras(self) -> list[list[str]]:
        """What has room on a card where there is any to spare, the first wanted first: the minutes of all jobs, their material, photographs."""
        columns = columns_of(self.jobs)
        groups = [[one.key for one in columns if one.field.key == key] for key in (() if self.work else WORK)]
        return [*(group for group in groups if group), [PHOTO]]

    def blanks(self) -> list[str]:
        """What is written once for the whole page: the day, who did it, the sheet's name, and a pressure that all have alike."""
        return ["day", "done by", "sheet", *(one.label.replace(",", " for all,", 1) for one in columns_of(self.jobs) if one.field.key in _ALIKE)]

    def told(self, first: int, last: int) -> str:
        """Which casks stand on a page, counted from 1, and why."""
        due = f"due on {self.due_on} · " if self.due_on else ""
        order = ", along the berths" if self.due_on else ""
        return f"{due}{'cask' if last == first else 'casks'} {first}{f' to {last}' if last > first else ''} of {len(self.cards)}{order}"

    def words(self) -> list[str]:
        """What may be written where there is no room for ticks, and how the sheet is read."""
        lists = [f"{one.label.rstrip('*')}: {', '.join(one.written)}" for one in self.cells() if one.written]
        star = ["* must be given"] if any(one.label.endswith("*") for one in self.cells()) else []
        return [*lists, "; ".join([*star, "a card without a tick and with nothing filled in is skipped"])]


def _cell(column: Column) -> Cell:
    one = column.field
    star = "*" if one.must else ""
    few = one.kind == "choice" and len(one.words) <= MOST_TICKS
    kind = "figure" if one.kind in _FIGURES else "list" if one.kind not in ("choice", "word", "day", "when", "head", "stave", "place") else "text"
    return Cell(column.label + star, one.words if few else (), () if few else one.words, kind)


def rooms_of(job: str) -> list[Cell]:
    """Room on a line of many jobs for what comes of this one: how it ended, with ticks where its words are few, pressure, liquor that is gauged, and who did it."""
    columns = columns_of((job,))
    ended = next((Cell(one.label, one.field.words) for one in columns if one.field.must and 0 < len(one.field.words) <= _FEW_TICKS), Cell("result"))
    keys = [one.field.key for one in columns]
    figures = [key for key in keys if key in _IN_SHORT and (key != "litres" or "abv" in keys)]
    return [ended, *(Cell(_IN_SHORT[key], kind="figure") for key in figures), Cell("initials", kind="figure")]


def blank_text(sheet: Sheet, width: int = 80, page: int = PAGE) -> str:
    """The sheet as text at most `width` columns wide, a form feed between its pages. No cask loses its place to what has room besides."""
    cells = sheet.cells([key for group in sheet.extras() for key in group])
    pages = [sheet.cards[at : at + page] for at in range(0, len(sheet.cards), page)]
    out = []
    for number, cards in enumerate(pages):
        first = number * page + 1
        lines = [*_head(sheet, f"page {number + 1} of {len(pages)}", width), *textwrap.wrap(sheet.told(first, first + len(cards) - 1), width), ""]
        lines += [*textwrap.wrap("   ".join(f"{name} {'_' * 12}".replace(" ", "\0") for name in sheet.blanks()), width), "-" * width]
        for card in cards:
            lines += [*_card_lines(card, width), *cell_lines(cells, width), "-" * width]
        lines += [line for text in sheet.words() for line in textwrap.wrap(text, width, subsequent_indent="  ", break_on_hyphens=False)]
        out.append("\n".join(lines).replace("\0", " "))
    return "\n\f".join(out)


def _head(sheet: Sheet, page: str, width: int) -> list[str]:
    if len(sheet.title) + len(page) + 2 <= width:
        return [sheet.title + page.rjust(width - len(sheet.title))]
    return [*textwrap.wrap(sheet.title, width), page]


def _card_lines(card: Card, width: int) -> Iterator[str]:
    """The tick box, the cask and where it is; below it why it is there."""
    about = "  ".join(part for part in (card.cask or "cask ____________", card.berth, card.type) if part)
    yield from textwrap.wrap(f"[ ] {about}", width, subsequent_indent="    ", break_on_hyphens=False)
    for reason in card.reasons:
        yield from textwrap.wrap(reason, width, initial_indent="    ", subsequent_indent="      ", break_on_hyphens=False)


def cell_lines(cells: Sequence[Cell], width: int) -> Iterator[str]:
    """The cells, as many on a line as there is room for, each whole where a line takes it; the last line's room goes to the note."""
    line = "   "
    for cell in cells:
        text = _cell_text(cell)
        if line.strip() and len(line) + 1 + len(text) > width:
            yield line.rstrip()
            line = "   "
        if len(line) + 1 + len(text) > width:  # Its ticks go on as many lines as they need.
            yield from textwrap.wrap(text.replace("[ ] ", "[\0]\0"), width, initial_indent="    ", subsequent_indent="      ", break_on_hyphens=False)
            continue
        line += f" {text}" + ("_" * (width - len(line) - 1 - len(text)) if cell.label == NOTE else "  ")
    yield line.rstrip()


def _cell_text(cell: Cell) -> str:
    if cell.ticks:
        return f"{cell.label} " + " ".join(f"[ ] {word}" for word in cell.ticks)
    size = _WRITTEN if cell.kind == "figure" else _LISTED if cell.kind == "list" else _NOTED if cell.label == NOTE else 12
    return f"{cell.label} {'_' * size}"


def blank_csv(jobs: Sequence[str], cards: Sequence[Card]) -> str:
    """A CSV with its header, and a row for each card; what is under a heading with # is for people."""
    sink = io.StringIO(newline="")
    writer = csv.writer(sink, lineterminator="\n")
    told = [REMARK + name for name in ("berth", "reason")] if any(one.berth or one.reasons for one in cards) else []
    keys = list(dict.fromkeys(["date", "job", "cask", "by", TICK, *(one.key for one in columns_of(jobs)), PHOTO, NOTE]))
    writer.writerow([*keys, *told])
    for one in cards:
        if one.cask:
            about = [_harmless(one.berth), _harmless("; ".join(one.reasons))][: len(told)]
            writer.writerow(["", "+".join(jobs), one.cask, *[""] * (len(keys) - 3), *about])
    return sink.getvalue()


def _harmless(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return "'" + cell if cell[:1] in ("=", "+", "-", "@", "\t") else cell
