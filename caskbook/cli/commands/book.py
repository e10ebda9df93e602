"""`book`: the offline book, a folder of pages."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from caskbook.cli.choosing import chosen, only
from caskbook.cli.common import Book, index_of, open_book, write
from caskbook.cli.progress import progress
from caskbook.cli.remarks import say_in_part, say_unreadable
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from datetime import date

    from caskbook.index.index import Index
    from caskbook.ledger.files import Ledger
    from caskbook.loss import PeerTable


class _Paper(NamedTuple):
    """What stands on every page: the house's name, and the foot."""

    house: str
    footer: str


@dataclass(frozen=True)
class _Press:
    """What a process needs to make the pages of casks, opened once in each. `at`: the revision, None for the work tree."""

    ledger: Ledger
    day: date
    today: date
    peers: PeerTable | None
    joins: Mapping[str, str]
    paper: _Paper


class _Made(NamedTuple):
    """The page of a cask; what is to be said of its file: `told`, "unreadable" or "in part", else empty."""

    number: str
    path: str
    data: bytes
    told: str = ""


def run(folder: str, records: str | None, as_of: str | None, at: str | None, given: Mapping[str, Any]) -> int:
    """Write the pages. 0. CaskbookError where the folder holds anything else, or jinja2 is not installed: then nothing is written.

    `given`: the filters of `list` and `cask`, the casks named; pages are made of those that pass, and counted on no other.
    """
    from caskbook.cli.commands.book_lists import listed, search_rows
    from caskbook.pages.folder import check_folder, put_folder
    from caskbook.pages.site import page

    target = Path(folder)
    check_folder(target)
    book = open_book(records, as_of, at)
    house = book.ledger.house.on(book.day)
    paper = _Paper(house.name or "caskbook", _foot(book, at))
    page("joined.html", "", title="", house="", footer="", cask="", goes_on="TH-0000")  # Whatever is lacking is said before the work.
    filters = chosen(given, records, as_of, at)
    rows = search_rows(records, as_of, at, filters)
    numbers = {row["cask"] for row in rows}
    names = [name for name in book.ledger.names() if not filters or Path(name).stem in numbers]
    told = _Told()
    pages = (told.of(made) for made in _cask_pages(book, at, paper, names))
    count = Counter[str]()
    put_folder(target, _counted(count, _all(listed(records, as_of, at, filters, rows, paper._asdict()), pages)))
    told.say(book)
    narrowed = f" ({', '.join(only(filters))})" if filters else ""
    write(f"{number_of(count['.html'], 'page')} of {number_of(len(numbers), 'cask')}{narrowed} in {folder}: open {target / 'index.html'}")
    return 0


def _counted(count: Counter[str], files: Iterable[tuple[str, bytes]]) -> Iterator[tuple[str, bytes]]:
    """The files as they come, counted by the end of their names."""
    for path, data in files:
        count[Path(path).suffix] += 1
        yield path, data


def _all(lists: Mapping[str, bytes], pages: Iterator[_Made]) -> Iterator[tuple[str, bytes]]:
    yield from ((made.path, made.data) for made in pages)
    yield from lists.items()


class _Told:
    """What is to be said at the end of files that are not told whole."""

    def __init__(self) -> None:
        self.unreadable: list[str] = []
        self.in_part: list[str] = []

    def of(self, made: _Made) -> _Made:
        """Keep in mind what is to be said of this page's cask."""
        if made.told:
            (self.in_part if made.told == "in part" else self.unreadable).append(made.number)
        return made

    def say(self, book: Book) -> None:
        """Say it on stderr."""
        from caskbook.ledger.paths import file_of

        for number in self.unreadable:
            say_unreadable(book.ledger.file_store.shown + file_of(number), number)
        say_in_part(self.in_part)


def _foot(book: Book, at: str | None) -> str:
    return f"as of {book.day}" + (f", as the book stood at {at}" if at else "") + " · made by caskbook from the book, which alone counts"


def _cask_pages(book: Book, at: str | None, paper: _Paper, names: list[str]) -> Iterator[_Made]:
    """The pages of these files, worked out on all cores where they are many."""
    from caskbook.cli.commands.report import peers_of
    from caskbook.ledger.parallel import map_files

    index = index_of(book)
    press = partial(_open_press, (book.root, Path.cwd(), at), book.day, book.today, peers_of(book), dict(book.ledger.joins()), paper, None if at else index)
    with progress("pages") as advance:
        yield from map_files(press, names, make_page, progress=partial(advance, len(names)) if advance else None)


def _open_press(
    which: tuple[Path, Path, str | None], day: date, today: date, peers: PeerTable | None, joins: Mapping[str, str], paper: _Paper, index: Index | None
) -> _Press:
    """What a process needs. `which`: the ledger's folder, that of the call, and the revision; `index`: brought up to date for the lists, it tells which
    files name a donor or a vat; else the whole book is read for each cask with a donor."""
    from caskbook.ledger.opening import open_ledger

    ledger = open_ledger(*which)
    if index is not None:
        index.serve(ledger)
    return _Press(ledger, day, today, peers, joins, paper)


def make_page(press: _Press, name: str) -> _Made:
    """The page of one file: its cask's, where it goes on under another number, or that it cannot be read."""
    from caskbook.checks.one_cask import codes_by_entry, errors_of
    from caskbook.cli.commands.show import remark_of
    from caskbook.due import judge
    from caskbook.life.facts import facts_of
    from caskbook.pages.cask import cask_page
    from caskbook.pages.site import page, page_of

    record, number = press.ledger.read_file(name), Path(name).stem
    path = page_of(number)
    base = {"title": f"{number} · {press.paper.house}", **press.paper._asdict(), "cask": number}
    if record.own is None:
        why = record.findings[0].message if record.findings else "it says another number"
        return _Made(number, path, page("unreadable.html", path, **base, why=why), "unreadable")
    if number in press.joins:
        return _Made(number, path, page("joined.html", path, **base, goes_on=press.joins[number]))
    life = press.ledger.life_of(record.own, press.day)
    facts, errors = facts_of(life), errors_of(press.ledger, record, press.today)
    told = cask_page(life, facts, judge(life, facts, peers=press.peers), press.peers, remark_of(record, errors), codes_by_entry(errors))
    return _Made(number, path, page("cask.html", path, **{**base, **told}), "in part" if life.in_part else "")
