"""`report loss`: the account of what was lost, and the evidence sheet of a cask."""

from __future__ import annotations

import gc
import json
from collections.abc import Iterable, Iterator
from typing import Any, cast

from caskbook.cli.common import Book, one_of, open_book, say, screen, write, write_text
from caskbook.cli.remarks import say_left_out, say_no_casks
from caskbook.core.finding import CaskbookError
from caskbook.ledger.files import Ledger
from caskbook.life import Life
from caskbook.loss import PeerTable, figures_of
from caskbook.loss.account import BY, By, grouped, rows_of, total


def run_loss(what: list[str], records: str | None, as_of: str | None, at: str | None, form: str, *, by: str = "cask", evidence: bool = False) -> int:
    """Print the account of losses by cask, fill, parcel or store, or evidence sheets of the casks named. Always 0."""
    one_of("--format", form, ("text", "json", "csv"))
    one_of("--by", by, BY)
    if evidence and not what:
        raise CaskbookError("--evidence: name the casks, as caskbook report loss TH-004217 --evidence")
    if evidence and form == "csv":
        raise CaskbookError("--evidence --format csv: expected text or json")
    book = open_book(records, as_of, at)
    say_left_out(book.root, at)
    wanted = _wanted(book.ledger, what)
    lives = list(_lives(book))
    if not lives:
        say_no_casks(book.root, at)
    peers = _peers(lives)
    chosen = lives if not what else [life for life in lives if life.cask.id in wanted]
    if evidence:
        _sheets(book, chosen, peers, form)
    else:
        _account(book, chosen, peers, form, cast(By, by))
    return 0


def peers_of(book: Book) -> PeerTable:
    """What every fill of the book loses, by reading the whole book; files that cannot be read are passed by in silence."""
    return _peers(_lives(book, told=False))


def _peers(lives: Iterable[Life]) -> PeerTable:
    return PeerTable(figure for life in lives for figure in figures_of(life))


def _wanted(ledger: Ledger, what: list[str]) -> set[str]:
    """The casks named, those that go on under another number by that; CaskbookError for one that is not in the book."""
    from caskbook.entry.casks import read_casks

    joins = ledger.joins() if what else {}
    wanted = {joins.get(cask, cask) for cask in read_casks(what)}
    for cask in sorted(wanted):
        record = ledger.get(cask)
        if record.own is None:
            raise CaskbookError(f"{record.path} cannot be read; caskbook check {record.name}")
    return wanted


def _lives(book: Book, *, told: bool = True) -> Iterator[Life]:
    """Every cask that had begun, each under the number that goes on."""
    gc.disable()  # Nothing here is cyclic, and the collector would take most of the time of a bulk read.
    joined = book.ledger.joins()
    for record in book.ledger.records():
        cask = record.own
        if cask is None:
            if told:
                say(f"{record.path} cannot be read and is left out; caskbook check {record.name}")
        elif cask.id not in joined:
            life = book.ledger.life_of(cask, book.day)
            if life.begun:
                yield life
    gc.enable()


def _account(book: Book, lives: list[Life], peers: PeerTable, form: str, by: By) -> None:
    """The account of what these casks lost goes out, by cask, fill, parcel or store, as text, JSON or CSV."""
    from caskbook.render import loss as render

    rows = [row for life in lives for row in rows_of(life, peers)]
    groups, whole = grouped(rows, by), total(rows)
    if form == "text":
        out = screen()
        write_text(render.account_text(rows, groups, whole, by, day=book.day, width=out.width), out)
    elif form == "json":
        write(render.account_json(rows, groups, whole, by, book.day))
    else:
        write(render.account_csv(rows, groups, by))


def _sheets(book: Book, lives: list[Life], peers: PeerTable, form: str) -> None:
    """An evidence sheet goes out for each of these casks, as text or JSON."""
    from caskbook.loss.evidence import NO_CONCLUSION, evidence
    from caskbook.render.loss import sheet_text
    from caskbook.render.plain_json import safe_json

    if form == "json":
        write(safe_json(json.dumps([_sheet_data(book, life, peers) for life in lives], ensure_ascii=False, indent=2)))
        return
    out = screen()
    for n, life in enumerate(lives):
        title = f"{life.cask.id}  {life.cask.head.type or '?'} · loss, as the book has it on {book.day}"
        write_text(("\n" if n else "") + sheet_text(evidence(life, peers), title, NO_CONCLUSION, width=out.width), out)


def _sheet_data(book: Book, life: Life, peers: PeerTable) -> dict[str, Any]:
    from caskbook.loss.evidence import NO_CONCLUSION, evidence

    parts = [
        {"name": name, "rows": [[cell.lstrip(">") for cell in row] if n == 0 else list(row) for n, row in enumerate(rows)]}
        for name, rows in evidence(life, peers)
    ]
    return {"cask": life.cask.id, "as_of": book.day.isoformat(), "parts": parts, "said": list(NO_CONCLUSION)}
