"""`morning`: one sheet of paper with what is to be done today."""

from __future__ import annotations

import gc
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from caskbook.cli.choosing import chosen, conditions, only
from caskbook.cli.common import Book, open_book, say, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.cli.forms import check_form
from caskbook.cli.index_answer import answered
from caskbook.cli.known_work import known_of
from caskbook.cli.nearest_filter import near_in
from caskbook.cli.remarks import left_out, say_left_out, say_no_casks, say_nothing_fits
from caskbook.core.finding import CaskbookError
from caskbook.core.typed_word import typed_word

if TYPE_CHECKING:
    from caskbook.index.index import Index
    from caskbook.render.morning import About
    from caskbook.work.known import Notes
    from caskbook.work.morning import Held, Morning

_MOST_LINES, _MOST_PAGES = 24, 20
_HELD = "('held', 'rejected')"
_GONE = "retired"


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed with the command: the options by their names."""

    records: str | None = None
    as_of: str | None = None
    at: str | None = None
    form: str = "text"
    filters: Mapping[str, Any] = field(default_factory=dict)
    by: str | None = None
    lines: int = 20
    pages: int = 1
    coopers: int | None = None
    hours: float | None = None


def run(asked: Asked, save: str | None = None) -> int:
    """Print the sheet, or save it. Always 0."""
    _refuse_unclear(asked)
    if save is None:
        _put_out(*_made(asked), asked.form)
        return 0
    from caskbook.cli.saved_output import saved

    def put_out(form: str) -> int:
        _put_out(*_made(asked), form)
        return 0

    return saved(save, asked.form, put_out, pdf=lambda: _pdf(*_made(asked)))


def _refuse_unclear(asked: Asked) -> None:
    """CaskbookError for options that are out of their range."""
    check_form(asked.form)
    for name, value, most in (("--lines", asked.lines, _MOST_LINES), ("--pages", asked.pages, _MOST_PAGES)):
        if not 1 <= value <= most:
            raise CaskbookError(f"{name} {value}: expected 1 to {most}")
    if asked.coopers is not None and not 0 <= asked.coopers <= 999:
        raise CaskbookError(f"--coopers {asked.coopers}: expected 0 to 999")
    if asked.hours is not None and not 0 < asked.hours <= 24:
        raise CaskbookError(f"--hours {asked.hours:g}: expected more than 0, up to 24")


def _made(asked: Asked) -> tuple[Morning, About]:
    """The sheet, and what is told beside it."""
    filters = chosen(asked.filters, asked.records, asked.as_of, asked.at)
    book = open_book(asked.records, asked.as_of, asked.at, joins=True)
    by = _person(book, asked.by)
    index, answer = answered(book, asked.at)
    with index:
        left_out(answer)
        say_left_out(book.root, asked.at, answer.overlooked, answer.linked, answer.strays)
        notes = index.foreseen()
        sheet = _sheet(book, index, asked, filters, notes)
        if not sheet.plan.casks and not say_no_casks(book.root, asked.at) and filters:
            say_nothing_fits(filters, near_in(index, filters))
        about = _about(book, index, sheet, asked, by, filters)
        notes.write()
        return sheet, about


def _person(book: Book, by: str | None) -> str | None:
    """ "ab, first bench". CaskbookError for initials of nobody who is there on the day."""
    from caskbook.entry.crew import not_there
    from caskbook.entry.initials import own_initials

    if by is None:
        return None
    settings = book.ledger.house.on(book.day)
    why = not_there(settings, by, book.day)
    if why:
        raise CaskbookError(f"--by: {why}")
    echoes = list[str]()
    initials = own_initials(by, settings.crew, echoes) or by
    for echo in echoes:
        say(echo)
    person = settings.person(initials)
    return f"{initials}, {person.name}" if person is not None and person.name else initials


def _sheet(book: Book, index: Index, asked: Asked, filters: Mapping[str, Any], notes: Notes) -> Morning:
    """The plan of the day, laid onto its pages."""
    from caskbook.work.morning import morning_of
    from caskbook.work.plan import Asked as Wanted
    from caskbook.work.plan import plan_into
    from caskbook.work.weeks import one_day

    day = one_day(book.day, book.ledger.house.on(book.day), asked.coopers, asked.hours)
    gc.disable()  # Nothing here is cyclic, and the collector would take a good part of the time.
    try:
        plan = plan_into((day,), known_of(index, filters, notes), book.ledger, book.day, Wanted(1, asked.coopers, asked.hours))
        sheet = morning_of(plan, _held(index, filters), asked.lines, asked.pages)
    finally:
        gc.enable()
    return sheet


def _held(index: Index, filters: Mapping[str, Any]) -> list[Held]:
    """The casks in stock that are held or rejected, each with the reason that the rule of holds has for it."""
    from caskbook.index.listing import Filter
    from caskbook.words.verdicts import RANK
    from caskbook.work.morning import Held

    marked = f"EXISTS (SELECT 1 FROM json_each(marks) m WHERE m.value IN {_HELD}) AND NOT EXISTS (SELECT 1 FROM json_each(marks) m WHERE m.value = '{_GONE}')"
    where = " AND ".join([marked, "ifnull(form, '') <> 'gone'", *conditions(filters)])
    with index.select(f"SELECT cask, type, berth, store, marks FROM cask WHERE {where}") as found:
        rows = list(found.rows)
    why = {row.cask: "; ".join(row.reasons) for row in index.due(Filter(("hold",), casks=tuple(row[0] for row in rows)), set(RANK))}
    return [Held(cask, kind or "?", berth, store, why.get(cask) or "marked so in the book") for cask, kind, berth, store, _ in rows]


def _about(book: Book, index: Index, sheet: Morning, asked: Asked, by: str | None, filters: Mapping[str, Any]) -> About:
    """What is told beside the jobs; of each page the dangers of its own."""
    from caskbook.render.morning import About
    from caskbook.work.cautions import caution_of

    house = book.ledger.house
    limits = {job.type: house.on(book.day, job.type).test_limit_psi for job in sheet.plan.jobs if job.job == "test"}
    cautions, running = [], _running(index, [job.cask for job in sheet.jobs if job.job == "look"])
    for page in sheet.pages:
        most = max((limits[job.type] for job in page if job.job == "test"), default=0.0)
        jobs = [(job.job, job.cask, job.type) for job in page]
        jobs += [("leak", job.cask, job.type) for job in page if job.job == "look" and job.cask in running]
        told = caution_of(jobs, ((book.day, most),), index.ahead().capacities)
        cautions.append(told.split("\n") if told else [])
    return About(house.on(book.day).name, by, limits, cautions, _command(book, asked), only(filters))


def _running(index: Index, casks: Sequence[str]) -> set[str]:
    """Those of the casks that leak more than a weep, or nobody knows how much: looking at them is at an open leak."""
    from caskbook.cli.chosen_casks import among

    if not casks:
        return set()
    open_leak = "EXISTS (SELECT 1 FROM json_each(open_leaks) l WHERE json_extract(l.value, '$.severity') IS NOT 'weep')"
    with index.select(f"SELECT cask FROM cask WHERE {among('cask', casks)} AND {open_leak}") as found:
        return {row[0] for row in found.rows}


def _command(book: Book, asked: Asked) -> str:
    """The command line that makes the sheet of this day again."""
    options = [("as-of", str(book.day)), ("at", asked.at), ("coopers", asked.coopers), ("hours", None if asked.hours is None else f"{asked.hours:g}")]
    options += [(name, word) for name, words in asked.filters.items() for word in words or ()]
    return " ".join(["caskbook morning", *(f"--{name} {typed_word(str(value))}" for name, value in options if value is not None)])


def _put_out(sheet: Morning, about: About, form: str) -> None:
    """The sheet goes out as text, JSON or CSV; what can hurt stands on the text itself."""
    from caskbook.render.morning import morning_text, pages_of
    from caskbook.render.morning_data import morning_csv, morning_json, morning_lines

    if form == "text":
        out = screen()
        text = morning_text(pages_of(sheet, about), out.width)
        write_text(text if out.width is None else text.replace("\f", "\n"), out)  # On a terminal there is no paper to be fed.
        return
    for line in dict.fromkeys(line for lines in about.cautions for line in lines):
        say(line)
    write_data(morning_json(sheet, about) if form == "json" else morning_lines(sheet) if form == "jsonl" else morning_csv(sheet))


def _pdf(sheet: Morning, about: About) -> bytes:
    """The pages of A4."""
    from caskbook.cli.saved_output import imprint
    from caskbook.cli.saving import say_lacking
    from caskbook.paper.imprint import with_imprint
    from caskbook.paper.morning import morning_pages
    from caskbook.paper.pictures import pdf
    from caskbook.render.morning import pages_of

    pages = pages_of(sheet, about)
    say_lacking(
        text
        for page in pages
        for text in (page.title, *page.head, *(part for row in page.rows for part in row[:7]), *(line for block in page.foot for line in block.lines))
    )
    return pdf(with_imprint(morning_pages(pages), imprint()), pages[0].title)
