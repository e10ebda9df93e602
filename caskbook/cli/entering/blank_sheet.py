"""`caskbook sheet --for JOB`: job cards to print, blank, of casks named, or of what is due."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, one_of, open_book, say, screen, write
from caskbook.cli.data_output import write_data
from caskbook.cli.entering.sheet_words import SHEET_HELP, read_words
from caskbook.cli.types_typed import type_word
from caskbook.core.finding import CaskbookError
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.entry.blank import Card, Sheet

_VALUES = ("for", "format", "rows", "save", "paper", "as-of", "records")
_SWITCHES = ("due", "soon", "work", "help")
_FILTERS = ("type", "berth", "store", "parcel")
_ENDINGS = (".pdf", ".txt", ".csv")
_PAPERS = ("A4", "A5")
_MOST_ROWS = 500
_PRINTED = 80
"""Columns that a sheet of A4 takes upright."""

Given = Mapping[str, list[str]]


def blank(argv: list[str]) -> int:
    """Print or save the cards. 0, also where nothing is due; 1 where no cask fits the filters."""
    loose, given = read_words(argv, _VALUES, _SWITCHES, _FILTERS)
    if "help" in given:
        write(SHEET_HELP)
        return 0
    if "for" not in given:
        raise CaskbookError("a blank sheet for which job? as: caskbook sheet --for test")
    from caskbook.cli.numbers import known_by_mark, named_anywhere
    from caskbook.entry.fields import NEW_FILE_JOBS
    from caskbook.entry.request import MANY_FILES, read_jobs

    jobs, records = tuple(read_jobs(given["for"][0])), given.get("records", [None])[0]
    casks = named_anywhere(records, loose)
    alone = next((job for job in jobs if job in MANY_FILES), None)
    if alone:
        raise CaskbookError(f"{alone} is written into several files: enter it by itself")
    if len(jobs) > 1 and set(jobs) & set(NEW_FILE_JOBS):
        raise CaskbookError(f"{given['for'][0]}: a job that begins a file goes by itself")
    target, rows = _refuse_unclear(given), _rows(given)
    book = _book(given)
    if book is not None and not set(jobs) & set(NEW_FILE_JOBS):
        casks = known_by_mark(book, casks)
    sheet = _sheet(book, jobs, casks, given, rows)
    if sheet is None:
        return 0 if "due" in given else 1
    _put_out(book, sheet, target, given)
    return 0


def _refuse_unclear(given: Given) -> Path | None:
    """The file to save, if one is named. CaskbookError for options that do not go together, or are none."""
    from caskbook.cli.saving import read_target
    from caskbook.core.extra import library

    form, save = given.get("format"), given.get("save")
    if form:
        one_of("--format", "text" if form[0] == "print" else form[0][:20], ("text", "csv"))
    if "paper" in given:
        one_of("--paper", given["paper"][0][:20], _PAPERS)
    alone = next((name for name in ("soon", "as-of") if name in given and "due" not in given), None)
    if alone:
        raise CaskbookError(f"--{alone} goes with --due")
    target = read_target(save[0], _ENDINGS, "caskbook sheet") if save else None
    if target is not None and form:
        raise CaskbookError(f"--format {form[0][:20]}: the ending of {target.name} says it already")
    if "paper" in given and (target is None or target.suffix.lower() != ".pdf"):
        raise CaskbookError("--paper goes with --save FILE.pdf")
    if target is not None and target.suffix.lower() == ".pdf":
        library("reportlab")  # What lacks is told before the book is read.
    return target


def _rows(given: Given) -> int:
    """How many cards there are at least; as many as casks where nobody says it, a page where no cask is known."""
    text = given.get("rows", ["0"])[0]
    number = int(text[:9]) if text.isascii() and text.isdecimal() else -1
    if "rows" in given and not 1 <= number <= _MOST_ROWS:
        raise CaskbookError(f"--rows {text[:20]}: expected 1 to {_MOST_ROWS}")
    return number


def _book(given: Given) -> Book | None:
    """The ledger; None where there is none, and nothing is asked of it."""
    try:
        return open_book(given["records"][0] if "records" in given else None, given["as-of"][0] if "as-of" in given else None)
    except CaskbookError:
        if "due" in given or "records" in given or set(given) & set(_FILTERS):
            raise
        return None


def _sheet(book: Book | None, jobs: tuple[str, ...], casks: Sequence[str], given: Given, rows: int) -> Sheet | None:
    """The sheet with its cards; None, which is said, where there are none."""
    from caskbook.entry.blank import PAGE, Card, Sheet

    filters = {name: [type_word(word) for word in given[name]] if name == "type" else given[name] for name in _FILTERS if name in given}
    cards, due_on = [Card(cask) for cask in casks], None
    if book is not None and (casks or filters or "due" in given):
        due_on = book.day if "due" in given else None
        cards = due_cards(book, jobs, casks, filters, soon="soon" in given) if due_on else known_cards(book, casks, filters)
        if not cards:
            _say_none(book, jobs, due_on, filters)
            return None
    wanted = max(rows, len(cards)) or PAGE
    house = book.ledger.house.on(book.today).name if book is not None else None
    return Sheet(jobs, house, (*cards, *[Card()] * (wanted - len(cards))), due_on, "work" in given)


def _say_none(book: Book, jobs: Sequence[str], due_on: date | None, filters: Mapping[str, list[str]]) -> None:
    from caskbook.cli.chosen_casks import say_none_fit

    if due_on:
        among = f" among {' '.join(f'--{name} {word}' for name, words in filters.items() for word in words)}" if filters else ""
        say(f"nothing is due on {due_on} that calls for {'+'.join(jobs)}{among}: no cards")
    else:
        say_none_fit(book, filters)


def known_cards(book: Book, casks: Sequence[str], filters: Mapping[str, list[str]]) -> list[Card]:
    """A card for each cask named, as they were named, or for all that fit the filters, along the berths."""
    from caskbook.cli.choosing import conditions
    from caskbook.cli.chosen_casks import among, going_on, rows_of, walking_order
    from caskbook.entry.blank import Card

    casks = going_on(book, casks)
    parts = [*conditions(filters), *([among("cask", casks)] if casks else ["form <> 'gone'"])]
    found = {row[0]: Card(row[0], row[1] or "", row[2] or "") for row in rows_of(book, f"SELECT cask, berth, type FROM cask WHERE {' AND '.join(parts)}")}
    if casks:
        return [found.get(cask, Card(cask)) for cask in casks if cask in found or not filters]
    return sorted(found.values(), key=lambda one: walking_order(one.berth, one.cask))


def due_cards(book: Book, jobs: Sequence[str], casks: Sequence[str], filters: Mapping[str, list[str]], *, soon: bool) -> list[Card]:
    """A card for each cask on which something is due that one of the jobs answers, along the berths, with the reasons. A cask in which no such
    job can be entered has none, as a gauge of one that is empty, unless another job of the sheet brings it there; one that is due at its emptying has.

    CaskbookError where no rule calls for such a job, or a cask named is not in the book.
    """
    from caskbook.cli.choosing import conditions
    from caskbook.cli.chosen_casks import among, going_on, rows_of, walking_order
    from caskbook.due import RULES
    from caskbook.entry.blank import Card

    rules = {rule.name: [job for job in jobs if job in rule.jobs] for rule in RULES if set(rule.jobs) & set(jobs)}
    if not rules:
        known = dict.fromkeys(job for rule in RULES for job in rule.jobs)
        raise CaskbookError(f"nothing that falls due calls for {'+'.join(jobs)}: --due goes with {', '.join(known)}")
    absent = next((cask for cask in casks if book.ledger.find(cask) is None), None)
    if absent:
        raise CaskbookError(book.ledger.absent(absent))
    casks = going_on(book, casks)
    inner = [*conditions(filters), *([among("cask", casks)] if casks else [])]
    parts = [among("rule", [*rules]), among("verdict", ["due", *(["soon", "at-emptying"] if soon else [])])]
    parts += [f"cask IN (SELECT cask FROM cask WHERE {' AND '.join(inner)})"] if inner else []
    found: dict[str, Card] = {}
    columns = "cask, d.berth, d.type, reasons, rule, verdict, c.form, c.contents, c.whereabouts"
    for cask, berth, kind, reasons, rule, verdict, *state in rows_of(
        book, f"SELECT {columns} FROM due d JOIN cask c USING (cask) WHERE {' AND '.join(parts)} ORDER BY rule"
    ):
        if verdict != "at-emptying" and not _can_come(jobs, rules[rule], *state):
            continue
        before = found[cask].reasons if cask in found else ()
        found[cask] = Card(cask, berth or "", kind or "", (*before, *(one for one in (reasons or "").split("\n") if one)))
    return sorted(found.values(), key=lambda one: walking_order(one.berth, one.cask))


def _can_come(jobs: Sequence[str], answers: Collection[str], form: str | None, contents: str | None, where: str | None) -> bool:
    """Whether one of the jobs that answer can be entered on a cask in this state (None: unknown), or behind one of the sheet that brings it into another."""
    from caskbook.model.jobs import JOBS
    from caskbook.words.job_table import jobs_with

    def enters(job: str) -> bool:
        need = JOBS[job].need
        wheres = (None, *need.where, *(("away",) if need.bench else ()))
        return need.always or (form in (None, *need.form) and contents in (None, *need.contents) and where in wheres)

    moving = jobs_with("changes-state")
    return any(enters(job) for job in jobs if job in answers or job in moving)


def _put_out(book: Book | None, sheet: Sheet, target: Path | None, given: Given) -> None:
    """The sheet goes out as text or CSV, or into the file named."""
    from caskbook.entry.blank import blank_csv, blank_text

    width = None if target else screen().width
    kind = target.suffix.lower() if target is not None else ".csv" if given.get("format") == ["csv"] else ".txt"
    if kind == ".pdf":
        assert target is not None
        _save_pdf(book, sheet, target, given)
        return
    text = blank_csv(sheet.jobs, sheet.cards) if kind == ".csv" else blank_text(sheet, width or _PRINTED)
    if target is None:
        (write_data if kind == ".csv" else write)(text if width is None else text.replace("\f", "\n"))  # On a terminal there is no paper to be fed.
        return
    from caskbook.cli.saving import put_pictures

    put_pictures({target: (text if text.endswith("\n") else text + "\n").encode()})
    say(f"{number_of(len(sheet.cards), 'card')}: {target}")


def _save_pdf(book: Book | None, sheet: Sheet, target: Path, given: Given) -> None:
    from caskbook.cli.saving import put_pictures, say_lacking
    from caskbook.paper.cards import cards
    from caskbook.paper.pictures import pdf

    paper = given["paper"][0] if "paper" in given else book.ledger.house.on(book.today).paper if book is not None else _PAPERS[0]
    pages = cards(sheet, paper)
    say_lacking(text for text in (sheet.title, *(part for card in sheet.cards for part in (card.berth, *card.reasons))))
    put_pictures({target: pdf(pages, sheet.title)})
    say(f"{number_of(len(sheet.cards), 'card')} on {number_of(len(pages), 'page')} of {paper}: {target}")
