"""`labels`: labels of casks, saved to be printed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from caskbook.cli.choosing import conditions
from caskbook.cli.chosen_casks import among, rows_of, say_none_fit, walking_order
from caskbook.cli.common import Book, open_book, say
from caskbook.cli.numbers import known_by_mark, named_anywhere
from caskbook.cli.progress import progress
from caskbook.cli.saving import put_pictures, read_target, say_lacking
from caskbook.cli.types_typed import type_word
from caskbook.core.extra import library
from caskbook.core.finding import CaskbookError
from caskbook.core.typed_word import typed_word
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.paper.shapes import Page

_ENDINGS = (".pdf", ".svg", ".png")
_LINE = "caskbook labels TH-004501..004560"
_FACTS = "cask, type, capacity_l, parcel, berth, whereabouts, form"
_MOST_PICTURES = 500
"""Files of one label each that are written at once; a PDF takes any number."""


class _Cask(NamedTuple):
    """What a label tells, None for what the book does not say."""

    cask: str
    type: str | None = None
    capacity_l: float | None = None
    parcel: str | None = None
    berth: str | None = None
    whereabouts: str | None = None
    form: str | None = None

    def lines(self, house: str | None) -> list[str]:
        """The lines below the number."""
        litres = f"{self.capacity_l:g} L" if self.capacity_l else None
        return [" · ".join(part for part in (self.type, litres, self.parcel) if part), house or ""]


def run(what: list[str], save: str | None, filters: Mapping[str, Sequence[str] | None], records: str | None, *, copies: int, new: bool) -> int:
    """Save the labels of the casks named, or of all those that fit the filters (option without its dashes → words). 0; 1 where none fits."""
    given = {name: list(words) for name, words in filters.items() if words}
    if not what and not given:
        raise CaskbookError(f"labels of which casks? as: {_LINE} --save labels.pdf, or with --berth, --store, --parcel or --type")
    target = read_target(save, _ENDINGS, f"caskbook labels {' '.join(what)}".rstrip())
    if new and given:
        raise CaskbookError("--new takes the numbers of casks that are not in the book; filters choose among those that are")
    given = {name: [type_word(word) for word in words] if name == "type" else words for name, words in given.items()}
    named = named_anywhere(records, what)
    library("reportlab")  # What lacks is told before the book is read.
    book = open_book(records)
    casks = _chosen(book, named if new else known_by_mark(book, named), given, new=new)
    if not casks:
        say_none_fit(book, given)
        return 1
    _save(book, [one for one in casks for _ in range(copies)], target)
    return 0


def _chosen(book: Book, named: Sequence[str], given: Mapping[str, list[str]], *, new: bool) -> list[_Cask]:
    """The casks as they were named, else along their berths. CaskbookError for one that is not in the book, unless `new` are wanted too."""
    parts = [*conditions(given), *([among("cask", named)] if named else [])]
    found = {row[0]: _Cask(*row) for row in rows_of(book, f"SELECT {_FACTS} FROM cask WHERE {' AND '.join(parts)}")}
    if not named:
        here = [one for one in found.values() if one.whereabouts != "missing" and one.form != "gone"]
        if len(here) < len(found):
            say(f"{number_of(len(found) - len(here), 'cask')} gone or missing, and left out")
        return sorted(here, key=lambda one: walking_order(one.berth, one.cask))
    gone = [cask for cask in dict.fromkeys(named) if cask in found and found[cask].form == "gone"]
    if gone:
        say(f"gone, and labelled all the same: {', '.join(gone[:5])}" + (f" and {len(gone) - 5} more" if len(gone) > 5 else ""))
    if given:
        return [found[cask] for cask in named if cask in found]
    absent = [cask for cask in named if cask not in found]
    if absent and not new:
        raise CaskbookError(f"{_absent(book, absent[0])}; for casks that are still to come add --new")
    if absent:
        say(f"not in the book, so with the number alone: {number_of(len(absent), 'cask')}, from {absent[0]} on")
    return [found.get(cask, _Cask(cask)) for cask in named]


def _absent(book: Book, cask: str) -> str:
    """Why nothing is known of a cask."""
    record = book.ledger.find(cask)
    if record is None:
        return book.ledger.absent(cask)
    joined = book.ledger.joins().get(cask)
    return f"{cask} goes on as {joined}" if joined else f"{record.path} cannot be read; caskbook check {typed_word(record.name)}"


def _save(book: Book, casks: Sequence[_Cask], target: Path) -> None:
    """Lay out all labels and put them down: a PDF with all of them, or a picture of each."""
    from caskbook.paper import pictures
    from caskbook.paper.label import on_sheets

    kind, house = target.suffix.lower(), book.ledger.house.on(book.today)
    names = [target] if kind == ".pdf" else _names(target, [one.cask for one in casks])
    if len(set(names)) < len(names):
        raise CaskbookError(f"--copies goes with a .pdf: a {kind} holds one label, to be printed as often as it is wanted")
    if len(names) > _MOST_PICTURES:
        raise CaskbookError(f"{len(names)} pictures are too many: at most {_MOST_PICTURES}; save them as a .pdf")
    pages = _drawn(book, casks)
    say_lacking(line for one in casks for line in one.lines(house.name))
    sizes = dict.fromkeys((page.width, page.height) for page, _ in pages)
    said = f"{number_of(len(pages), 'label')} of {', '.join(f'{width:g} × {height:g}' for width, height in sizes)} mm"
    if kind == ".pdf":
        sheets = [page for page, _ in pages]
        if house.label_page != "label":
            sheets = [one for size in sizes for one in on_sheets([page for page in sheets if (page.width, page.height) == size], house.label_page)]
            said += f", {number_of(len(sheets), 'page')} of {house.label_page}"
        put_pictures({target: pictures.pdf(sheets, "labels")})
    else:
        drawn = [pictures.svg(page, cask.cask) if kind == ".svg" else pictures.png(page, dpi) for cask, (page, dpi) in zip(casks, pages, strict=True)]
        put_pictures(dict(zip(names, drawn, strict=True)))
    say(f"{said}: {names[0]}" + (f" to {names[-1]}" if len(names) > 1 else ""))


def _drawn(book: Book, casks: Sequence[_Cask]) -> list[tuple[Page, int]]:
    """The label of each cask, at the size that the house has for its type, and the dots an inch of what prints it."""
    from caskbook.paper.label import LabelSize, label

    pages = []
    with progress("labels") as advance:
        for at, one in enumerate(casks):
            house = book.ledger.house.on(book.today, one.type)
            size = LabelSize(house.label_width_mm, house.label_height_mm, house.label_dpi)
            pages.append((label(one.cask, one.lines(house.name), size), size.dpi))
            if advance is not None and not at % 50:
                advance(len(casks), at)
    return pages


def _names(target: Path, casks: Sequence[str]) -> list[Path]:
    """A file for each cask: the one named where there is one cask, else its number behind the name."""
    if len(casks) == 1:
        return [target]
    return [target.with_name(f"{target.stem}-{cask}{target.suffix}") for cask in casks]
