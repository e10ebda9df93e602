"""`report loss`: the account of what was lost, and the evidence sheet of a cask."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import closing, nullcontext
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, cast

from caskbook.cli.common import Book, index_of, let_go, one_of, open_book, say
from caskbook.cli.data_output import write_data_pieces
from caskbook.cli.forms import check_form
from caskbook.cli.judged_at import Revision, judged_at, put_out
from caskbook.cli.nearest_filter import near_among
from caskbook.cli.remarks import say_in_part, say_left_out, say_no_casks, say_nothing_fits, say_unreadable
from caskbook.cli.report_rows import period_of
from caskbook.cli.types_typed import type_word
from caskbook.cli.whole_book import lives_of
from caskbook.core.finding import CaskbookError
from caskbook.core.typed_word import typed_word
from caskbook.ledger.files import Ledger
from caskbook.ledger.paths import file_of
from caskbook.life import Life
from caskbook.loss import PeerTable, figures_of
from caskbook.loss.account import BY, By, Whose, rows_of, whose
from caskbook.loss.account_rows import FillRow
from caskbook.loss.parts import Division
from caskbook.loss.ranking import Account, Casks, InMemory, Order, account_from, order_of

if TYPE_CHECKING:
    from caskbook.index.index import Index
    from caskbook.index.peek import Neighbours

Days = tuple[str | None, str | None]
FEW = 300
"""Files that are read in less time than it takes to look up."""
USUAL_TOP = 40
OF_MANY = ("cask", "fill", "parcel")
"""What a book may have thousands of."""


class Times(NamedTuple):
    """The day and the revision asked about, as typed."""

    as_of: str | None
    at: str | None


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be told: `filters` (option without its dashes → words), the sheet of `evidence`, the `picture`, or the account `by` a name."""

    form: str
    evidence: bool
    picture: bool
    by: By
    filters: Mapping[str, Sequence[str]]
    order: Order
    top: int | None
    judged: Revision | None

    def takes(self, cask: Whose) -> bool:
        """Whether the cask itself is one of those; where its spirit lay is judged fill by fill."""
        return all(getattr(cask, name) in self.filters[name] for name in ("type", "parcel", "supplier") if self.filters.get(name))

    @property
    def most(self) -> int | None:
        """How many rows are shown where nothing was said of that: all of them to a program, so many to people of what a book has thousands of."""
        return USUAL_TOP if self.form == "text" and self.by in OF_MANY else None

    def division(self, since: date | None, until: date | None) -> Division:
        """How the fills are divided, between two days."""
        stores, berths = tuple(self.filters.get("store", ())), tuple(self.filters.get("berth", ()))
        return Division(since, until, self.by == "year", self.by == "store", stores, berths)


def run_loss(
    what: list[str], records: str | None, as_of: str | None, at: str | None, form: str, *, by: str | None = None, evidence: bool = False, picture: bool = False,
    filters: Mapping[str, Sequence[str] | None] | None = None, days: Days = (None, None), sort: str | None = None, top: int | None = None,
) -> int:  # fmt: skip
    """Print the account of losses by what `by` names (cask unless said), or evidence sheets or pictures of the casks named. Always 0.

    `filters`: option without its dashes → words, any of which fits; `days`: only what went from the first of them to the second.
    """
    check_form(form)
    one_of("--by", by or "cask", BY)
    given = {name: list(words) for name, words in (filters or {}).items() if words}
    _refuse(
        what,
        form,
        (evidence, picture),
        {"--by": by, "--from": days[0], "--to": days[1], "--sort": sort, "--top": top, **{f"--{name}": given[name] for name in given}},
    )
    given = {name: [type_word(word) for word in words] if name == "type" else words for name, words in given.items()}
    kind = cast(By, by or "cask")
    wanted = Wanted(form, evidence, picture, kind, given, order_of(sort, kind, top), top, judged_at(records, at))
    book = open_book(records, as_of, at, neighbours=bool(what))
    try:
        period = period_of(days, book.day)
        span = period.since, period.until
        return _of_casks(book, what, Times(as_of, at), wanted, span) if what else _of_book(book, Times(as_of, at), wanted, span)
    except CaskbookError:
        let_go(book.neighbours)
        raise


def _refuse(what: list[str], form: str, sheets: tuple[bool, bool], given: Mapping[str, object]) -> None:
    """CaskbookError for options that contradict one another, or do nothing; `sheets`: whether evidence, whether a picture was asked for."""
    name = "--evidence" if sheets[0] else "--picture"
    if not any(sheets):
        return
    from caskbook.cli.commands.gauge_pairs import refuse_clashes
    from caskbook.cli.commands.report_pairs import REPORT_CLASHES

    asked = {option for option, wanted in zip(("--evidence", "--picture"), sheets, strict=True) if wanted}
    refuse_clashes("loss", asked | {option for option, value in given.items() if value is not None}, REPORT_CLASHES)
    if not what:
        raise CaskbookError(f"{name}: name the casks, as caskbook report loss TH-004217 {name}")
    if form == "csv" or name == "--picture" and form != "text":
        raise CaskbookError(f"{name} --format {form}: expected {'text' if name == '--picture' else 'text, json or jsonl'}")


def _of_book(book: Book, times: Times, wanted: Wanted, span: tuple[date | None, date | None]) -> int:
    """What all casks lost, by the index, which has what an account needs of each; without one every file is read, and all lives have to be held, for each is held
    against all the others."""
    index, told = _index_on(book, times, beside=True), False
    if index is not None:
        with index.reading():
            told = _of_index(book, index, times, wanted, span)
    if not told:
        say_left_out(book.root, times.at)
        lives = list(lives_of(book))
        found = _gathered(book, lives, _peers(lives), wanted, span)
        if not found.known()["parcel"]:
            say_no_casks(book.root, times.at)
        _account(book, found, wanted, span)
    return 0


def _of_index(book: Book, index: Index, times: Times, wanted: Wanted, span: tuple[date | None, date | None]) -> bool:
    """The account as the index tells it, and what that leaves out. True, once it went out."""
    from sqlite3 import DatabaseError

    from caskbook.ledger.parallel import no_collecting

    answer = index.held
    casks = index.losses(wanted.division(*span), wanted.takes if wanted.filters else None)
    found = _Gathered(casks, lambda: {**_stores(book), **casks.known()})
    with no_collecting():
        account = _summed(book, found, wanted, span)
    say_left_out(book.root, times.at, answer.overlooked, answer.linked, answer.strays)
    for name in answer.unreadable:
        say_unreadable(f"{answer.shown}{name}", Path(name).stem)
    say_in_part(sorted(answer.in_part, key=file_of))
    if not answer.words:
        say_no_casks(book.root, times.at)
    try:
        _put_out(account, found, wanted)
    except DatabaseError:  # Of a part that only now was read: nothing is told a second time, behind what was printed.
        index.forget(index.root)
        raise CaskbookError("the index turned out to be damaged, and what was printed is not whole; ask again") from None
    return True


def _of_casks(book: Book, what: list[str], times: Times, wanted: Wanted, span: tuple[date | None, date | None]) -> int:
    """What the casks named lost: their own files are read, and what their peers lose is asked of the index; without one, all files."""
    neighbours = book.neighbours() if book.neighbours is not None else None
    with closing(neighbours) if neighbours is not None else nullcontext():
        lives = _named(book, what, neighbours, times.at)
        peers = neighbours.peers() if neighbours is not None else None
        if peers is not None:
            return _told(book, lives, peers, wanted, span)
    index = _index_on(book, times)
    if index is not None:
        with index.reading():
            return _told(book, lives, index.peers(), wanted, span)
    say_left_out(book.root, times.at)
    return _told(book, lives, peers_of(book), wanted, span)


def _index_on(book: Book, times: Times, *, beside: bool = False) -> Index | None:
    """The index with the answer about another day or a revision, brought up to date first; None where none is kept or believed. `beside`: whether what
    reports alone tell is wanted."""
    if book.files_alone or os.environ.get("CASKBOOK_INDEX") == "off":
        return None
    index = index_of(book, times.at)
    index.beside = beside
    if not index.is_kept and len(book.ledger.names()) <= FEW:
        return None
    from caskbook.cli.progress import progress

    with progress("casks") as advance:
        return index if index.answer(times.as_of, advance) is not None else None


def _told(book: Book, lives: list[Life], peers: PeerTable, wanted: Wanted, span: tuple[date | None, date | None]) -> int:
    if wanted.evidence or wanted.picture:
        from caskbook.cli.commands.report_sheets import tell_pictures, tell_sheets

        if wanted.picture:
            tell_pictures(book, lives, peers)
        else:
            tell_sheets(book, lives, peers, wanted.form)
    else:
        _account(book, _gathered(book, lives, peers, wanted, span), wanted, span)
    return 0


def peers_of(book: Book) -> PeerTable:
    """What every fill of the book loses, by reading the whole book; files that cannot be read are passed by in silence."""
    return _peers(lives_of(book, told=False))


def _peers(lives: Iterable[Life]) -> PeerTable:
    return PeerTable(figure for life in lives for figure in figures_of(life))


def _named(book: Book, what: list[str], neighbours: Neighbours | None, at: str | None) -> list[Life]:
    """The lives of the casks named, those that go on under another number by that; CaskbookError for one that is not in the book."""
    from caskbook.cli.numbers import named

    joins = neighbours.joins if neighbours is not None else book.ledger.joins()
    found = []
    for number in sorted({_number_of(book, cask, joins.get(cask)) for cask in named(book, what, at, by_mark=True)}):
        life = _life(book.ledger, number, book.day)
        if life.begun:
            found.append(life)
        else:
            say(f"{number} has no entry up to {book.day}")
    return found


def _number_of(book: Book, number: str, joined: str | None) -> str:
    """The number under which a cask goes on."""
    return joined if joined is not None and goes_on_in(book, joined, number) else number


def goes_on_in(book: Book, joined: str, number: str) -> bool:
    """Whether the file that is said to go on takes this number over, as the files stand: one changed in its place is not looked for."""
    other = book.ledger.find(joined)
    return other is not None and other.own is not None and number in book.ledger.life_of(other.own, book.day).state.joined


def _life(ledger: Ledger, number: str, day: date) -> Life:
    record = ledger.get(number)
    if record.own is None:
        raise CaskbookError(f"{record.path} cannot be read; caskbook check {typed_word(record.name)}")
    return ledger.life_of(record.own, day)


class _Gathered(NamedTuple):
    """The casks that count, and by filter the words there are of it."""

    casks: Casks
    known: Callable[[], Mapping[str, set[str | None]]]


def _gathered(book: Book, lives: Iterable[Life], peers: PeerTable, wanted: Wanted, span: tuple[date | None, date | None]) -> _Gathered:
    """What counts of these casks, one after the other."""
    division = wanted.division(*span)
    rows: list[FillRow] = []
    known: dict[str, set[str | None]] = {**_stores(book), "parcel": set(), "supplier": set()}
    for life in lives:
        head = life.cask.head
        known["parcel"].add(head.parcel)
        known["supplier"].add(head.supplier)
        rows += rows_of(life, peers, division) if wanted.takes(whose(life)) else ()
    return _Gathered(InMemory(rows), lambda: known)


def _stores(book: Book) -> dict[str, set[str | None]]:
    return {"store": set(book.ledger.house.on(book.day).stores.values())}


def _account(book: Book, found: _Gathered, wanted: Wanted, span: tuple[date | None, date | None]) -> None:
    """The account of what these casks lost goes out."""
    _put_out(_summed(book, found, wanted, span), found, wanted)


def _summed(book: Book, found: _Gathered, wanted: Wanted, span: tuple[date | None, date | None]) -> Account:
    """The account of what these casks lost, by what was named."""
    only = tuple(f"only {name} {' or '.join(words)}" for name, words in wanted.filters.items())
    return account_from(found.casks, wanted.by, book.day, order=wanted.order, top=wanted.top, most=wanted.most, span=span, only=only)


def _put_out(account: Account, found: _Gathered, wanted: Wanted) -> None:
    """An account goes out as text, JSON or CSV."""
    from caskbook.render import loss_account as render

    if not account.whole.fills and wanted.filters and (known := found.known())["parcel"]:
        say_nothing_fits(wanted.filters, near_among(known, wanted.filters))
    if wanted.form == "text":
        put_out("text", lambda width: render.account_text(account, width=width), lambda _: "", wanted.judged)
    else:
        judged = wanted.judged
        write_data_pieces(render.account_data(account, wanted.form, None if judged is None else judged.as_json()))
