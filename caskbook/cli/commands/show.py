"""`show`: one cask's bench card, map, time line or facts."""

from __future__ import annotations

import json
import os
from contextlib import closing, nullcontext
from typing import TYPE_CHECKING, NamedTuple

from caskbook.cli.common import Book, let_go, one_of, open_book, say, screen, write
from caskbook.cli.data_output import write_data
from caskbook.cli.remarks import say_strays
from caskbook.core.finding import CaskbookError
from caskbook.core.typed_word import typed_word
from caskbook.words.plural import number_of

_FEW = 300
"""Files that are read in less time than it takes to look up."""
_MOST_CODES = 4

if TYPE_CHECKING:
    from collections.abc import Sequence

    from caskbook.core.finding import Finding
    from caskbook.life import Life
    from caskbook.life.facts import Facts
    from caskbook.loss import PeerTable
    from caskbook.model.cask import Cask
    from caskbook.model.cask_file import Record


def run(cask_id: str, records: str | None, as_of: str | None, at: str | None, form: str, *, every: bool, picture: bool, line: bool) -> int:
    """Print the card; 1 where the file has errors, which are named on stderr."""
    one_of("--format", form, ("text", "json", "svg"))
    if form == "svg" and picture == line:
        raise CaskbookError("--format svg draws one picture: say --map or --line")
    book = open_book(records, as_of, at, neighbours=True)
    try:
        shown = shown_cask(book, cask_id, Asked(form, at, every, picture, line))
    except CaskbookError:
        let_go(book.neighbours)
        raise
    put_out(shown.text, form)
    say_strays(book.ledger.strays, at)
    if shown.beside:
        say(shown.beside)
    if shown.errors:
        say(shown.errors)
    return 1 if shown.errors else 0


def put_out(text: str, form: str) -> None:
    """A card, or data."""
    if form == "text":
        write(text)
    else:
        write_data(text)


class Asked(NamedTuple):
    """How a cask is wanted: as text, JSON or SVG, of the work tree or of a revision, with all events, as heads and staves, or as a line of time."""

    form: str
    at: str | None
    every: bool
    picture: bool
    line: bool


class Shown(NamedTuple):
    """What is shown of one cask; how many errors its file has, and what it names that is not checked out, in words: "" where there is none."""

    text: str
    errors: str = ""
    beside: str = ""


def shown_cask(book: Book, cask_id: str, asked: Asked, *, in_full: bool = False) -> Shown:
    """One cask as a card, a picture or JSON. `in_full`: only by a number that the book has, not by what may stand for it. CaskbookError where it cannot be
    read, `NotInBook` where there is none."""
    try:
        record = book.ledger.get(cask_id.strip().upper())
    except CaskbookError:
        if goes_on := _left_out_joined(book, cask_id.strip().upper()):
            let_go(book.neighbours)
            return Shown(_told_joined(cask_id.strip().upper(), goes_on, asked.form))
        if in_full:
            raise
        return shown_cask(book, _meant(book, cask_id, asked.at), asked)
    from caskbook.life.facts import facts_of

    cask = _cask_of(record)
    life = book.ledger.life_of(cask, book.day)
    facts = facts_of(life)
    neighbours = book.neighbours() if book.neighbours is not None else None  # Git has been at work meanwhile.
    with closing(neighbours) if neighbours is not None else nullcontext():
        if neighbours is not None:
            book.ledger.strays = neighbours.strays
        joined = (book.ledger.joins() if neighbours is None else neighbours.joins).get(cask.id)
        if joined and _takes_over(book, joined, cask.id):
            return Shown(_told_joined(cask.id, joined, asked.form))
        peers = (neighbours.peers() if neighbours is not None else None) or _gathered(book)
        left_out: set[str] = set()
        told = _told(book, record, life, left_out)
        errors = [one for _, found in told for one in found]
        if asked.form == "json":
            text = _as_json(life, facts, peers, errors, settings_unread=bool(book.ledger.house_file.at_default))
        elif asked.form == "svg":
            text = _drawing(life, picture=asked.picture)
        else:
            text = _shown(record, life, facts, peers, errors, every=asked.every, picture=asked.picture, line=asked.line)
    return Shown(text, _said(record, told), _not_checked_out(cask, sorted(left_out)))


def _cask_of(record: Record) -> Cask:
    """The cask of a file. CaskbookError where it cannot be read, or is another than the file's name says."""
    from caskbook.render.console import safe

    if record.cask is None:
        first = record.findings[0] if record.findings else None
        raise CaskbookError(f"{record.path} cannot be read: {first.message if first else 'no head'}; caskbook check {typed_word(record.name)}")
    if record.cask.id != record.name:
        raise CaskbookError(
            f"{record.path} says `cask: {safe(record.cask.id)}`, so it is left out: correct it, or rename the file; caskbook check {typed_word(record.name)}"
        )
    return record.cask


def _meant(book: Book, text: str, at: str | None) -> str:
    """The cask meant by a short name, or by a number that is none of the book but an old mark, which is said. CaskbookError otherwise."""
    from caskbook.cli.numbers import named_one, numbers_of, tell_names
    from caskbook.ledger.files import is_cask_id

    number = text.strip().upper()
    if not is_cask_id(number):
        return named_one(book, text.strip(), at)
    numbers = numbers_of(book, at)
    found = numbers().bearing(number, wholly=True)
    if not found:
        raise book.ledger.lacks(number)
    number = numbers().bearer(number)
    tell_names(numbers)
    return number


def _left_out_joined(book: Book, number: str) -> str:
    """The number under which a cask goes on whose own file a sparse checkout leaves out of the work tree; empty where there is none."""
    from caskbook.ledger.files import is_cask_id

    return book.ledger.joins().get(number, "") if is_cask_id(number) and book.ledger.leaves_out(number) else ""


def _takes_over(book: Book, joined: str, number: str) -> bool:
    from caskbook.cli.commands.report import goes_on_in

    return goes_on_in(book, joined, number)


def _told(book: Book, record: Record, life: Life, left_out: set[str]) -> list[tuple[Record, list[Finding]]]:
    """(the file, what `check` calls an error in it, whatever day is asked about) of each file of the cask that has one, its own first; `left_out` takes what
    they name that is not checked out."""
    from caskbook.checks.one_cask import errors_of

    files = [record, *(book.ledger.get(other.id) for other in life.others)]
    return [(one, found) for one in files if (found := errors_of(book.ledger, one, book.today, left_out))]


def _said(record: Record, told: Sequence[tuple[Record, Sequence[Finding]]]) -> str:
    """How many errors there are in which file; empty where there are none."""
    counted = [f"{number_of(len(found), 'error')} in {one.path}{_left_out(one, ': ')}" for one, found in told]
    return f"{', '.join(counted)}; caskbook check {typed_word(record.name)}" if told else ""


def _not_checked_out(cask: Cask, numbers: Sequence[str]) -> str:
    """That casks which a file names are left out of this work tree by a sparse checkout; empty where none is."""
    if not numbers:
        return ""
    parents = {one.cask for event in cask.events if event.job == "made-from" for one in getattr(event, "parents", ()) if getattr(one, "cask", None)}
    what = ("its parent" if len(numbers) == 1 else "its parents") if parents.issuperset(numbers) else "what it names,"
    named = ", ".join(numbers[:_MOST_CODES]) + (f" and {len(numbers) - _MOST_CODES} more" if len(numbers) > _MOST_CODES else "")
    return f"{what} {named} {'is' if len(numbers) == 1 else 'are'} not checked out, and looked up in git"


def _gathered(book: Book) -> PeerTable | None:
    """The peers from all files, where no index tells: of a large book only if that is what was wanted."""
    if os.environ.get("CASKBOOK_INDEX") != "off" and _is_large(book):
        return None
    from caskbook.cli.commands.report import peers_of

    return peers_of(book)


def _is_large(book: Book) -> bool:
    from caskbook.ledger.files import Folder
    from caskbook.ledger.scan import has_more

    return has_more(book.root, _FEW) if isinstance(book.ledger.file_store, Folder) else len(book.ledger.names()) > _FEW


def _told_joined(cask_id: str, joined: str, form: str) -> str:
    """Where the life of a number goes on. CaskbookError where a picture of it is wanted, which only that one has."""
    if form == "svg":
        raise CaskbookError(f"{cask_id} is joined to {joined}: caskbook show {joined} draws it")
    if form == "json":
        return json.dumps({"cask": cask_id, "joined": joined}, indent=2)
    from caskbook.render.card import joined_card

    return joined_card(cask_id, joined)


def _as_json(life: Life, facts: Facts, peers: PeerTable | None, errors: list[Finding], *, settings_unread: bool) -> str:
    """One cask as JSON, and whether settings of the house that cannot be read stand at their defaults."""
    from caskbook.checks.one_cask import codes_by_entry
    from caskbook.render.facts_json import facts_json
    from caskbook.render.plain_json import safe_json

    told = {**facts_json(life, facts, peers, codes_by_entry(errors)), "settings_unread": settings_unread}
    return safe_json(json.dumps(told, ensure_ascii=False, indent=2))


def _drawing(life: Life, *, picture: bool) -> str:
    """The heads and staves, else the years, as an SVG."""
    from caskbook.pages.heads import heads_picture
    from caskbook.pages.svg import alone
    from caskbook.pages.years import years_picture

    return alone(heads_picture(life) if picture else years_picture(life))


def _shown(record: Record, life: Life, facts: Facts, peers: PeerTable | None, errors: list[Finding], *, every: bool, picture: bool, line: bool) -> str:
    """The text of one cask: the pictures asked for, or the card."""
    from caskbook.checks.one_cask import codes_by_entry
    from caskbook.render.console import produce

    out = screen()
    drawn = []
    if picture:
        from caskbook.render.cask_map import cask_map

        drawn.append(cask_map(life, width=out.width or 80))
    if line:
        from caskbook.render.time_line import long_line

        drawn.append(long_line(life, out.width or 80, ascii=out.ascii))
    if drawn:
        return produce("\n\n".join(drawn), out)
    from caskbook.due import judge
    from caskbook.render.card import card_text

    verdicts = judge(life, facts, peers=peers)
    return produce(
        card_text(
            life,
            facts,
            verdicts,
            peers=peers,
            width=out.width,
            all_events=every,
            ascii=out.ascii,
            remark=remark_of(record, errors),
            found=codes_by_entry(errors),
        ),
        out,
    )


def remark_of(record: Record, errors: list[Finding]) -> str:
    """What is wrong with the file, for the card itself: who reads it need not see the other stream."""
    marked = [finding for finding in errors if finding.code == "merge-conflict-marker"]
    if marked:
        return f"THIS FILE HAS CONFLICT MARKERS: {marked[0].message}; what stands between them may be left out: caskbook settle"
    codes = list(dict.fromkeys(finding.code for finding in errors))
    named = ", ".join(codes[:_MOST_CODES]) + (" …" if len(codes) > _MOST_CODES else "")
    return f"{number_of(len(errors), 'error')} in the file{_left_out(record, ', ')}: caskbook check {typed_word(record.name)}\nfound: {named}" if errors else ""


def _left_out(record: Record, behind: str) -> str:
    """That entries of the file count for nothing, where there are such."""
    lacking = len(record.cask.unread) if record.cask is not None else 0
    return f"{behind}{number_of(lacking, 'entry')} left out" if lacking else ""
