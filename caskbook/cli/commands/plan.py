"""`plan`: the work of the coming weeks against the coopers' hours."""

from __future__ import annotations

import gc
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any

from caskbook.cli.choosing import chosen, only, passing
from caskbook.cli.common import Book, open_book, say, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.cli.forms import check_form
from caskbook.cli.index_answer import answered
from caskbook.cli.judged_at import json_at, judged_at, text_at
from caskbook.cli.known_work import known_of
from caskbook.cli.remarks import left_out, say_left_out, say_no_casks, say_nothing_fits
from caskbook.core.days import DayError, parse_coming_day
from caskbook.core.finding import CaskbookError
from caskbook.work.weeks import MOST

if TYPE_CHECKING:
    from caskbook.index.index import Index
    from caskbook.work.known import Notes
    from caskbook.work.plan import WorkPlan


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed with the command: the options by their names, `casks` that are to be tipped."""

    casks: Sequence[str]
    records: str | None = None
    as_of: str | None = None
    at: str | None = None
    form: str = "text"
    filters: Mapping[str, Any] = field(default_factory=dict)
    tip: str | None = None
    weeks: int = 4
    week: int = 1
    coopers: int | None = None
    hours_a_week: float | None = None
    route: bool = False
    explain: bool = False
    since: str | None = None


def run(asked: Asked) -> int:
    """Print the plan; 1 where a cask cannot be tipped as planned, the rest being answered all the same."""
    _refuse_unclear(asked)
    filters = chosen(asked.filters, asked.records, asked.as_of, asked.at)
    book = open_book(asked.records, asked.as_of, asked.at, joins=True)
    index, answer = answered(book, asked.at)
    with index:
        left_out(answer)
        say_left_out(book.root, asked.at, answer.overlooked, answer.linked, answer.strays)
        notes = index.foreseen()
        plan = _planned(book, index, asked, filters, notes)
        if not plan.casks and not say_no_casks(book.root, asked.at) and filters:
            say_nothing_fits(filters)
        _say(book, index, plan)
        notes.write()
    _print(plan, asked, only(filters), settings_unread=bool(book.ledger.house_file.at_default))
    return 1 if plan.refused else 0


def _refuse_unclear(asked: Asked) -> None:
    """CaskbookError for options that are out of their range, or do nothing beside the others."""
    check_form(asked.form)
    if not 1 <= asked.weeks <= MOST:
        raise CaskbookError(f"--weeks {asked.weeks}: expected 1 to {MOST}")
    if not 1 <= asked.week <= asked.weeks:
        raise CaskbookError(f"--week {asked.week}: expected 1 to {asked.weeks}, the weeks of the plan")
    if asked.coopers is not None and not 0 <= asked.coopers <= 999:
        raise CaskbookError(f"--coopers {asked.coopers}: expected 0 to 999")
    if asked.hours_a_week is not None and not 0 < asked.hours_a_week <= 168:
        raise CaskbookError(f"--hours-a-week {asked.hours_a_week:g}: expected more than 0, up to 168")
    if asked.explain and asked.form != "text":
        raise CaskbookError(f"--explain --format {asked.form}: expected text")


def _planned(book: Book, index: Index, asked: Asked, filters: Mapping[str, Any], notes: Notes) -> WorkPlan:
    """The plan of what was asked, its tips read first."""
    from dataclasses import replace

    from caskbook.cli.planned_tips import read_tips
    from caskbook.work.plan import Asked as Wanted
    from caskbook.work.plan import plan_work
    from caskbook.work.weeks import weeks_from

    begin = None if asked.since is None else _first_day(asked.since, book)
    last = weeks_from(book.day, asked.weeks, book.ledger.house.on, begin=begin)[-1].last
    tips = read_tips(book, asked.casks, asked.tip, asked.at, last, index.held.joined)
    if filters:
        tips.keep(passing(index, filters))
    known = known_of(index, filters, notes)
    gc.disable()  # Nothing here is cyclic, and the collector would take a good part of the time.
    try:
        plan = plan_work(known, book.ledger, book.day, Wanted(asked.weeks, asked.coopers, asked.hours_a_week, tips.days, begin))
    finally:
        gc.enable()
    return replace(plan, refused=(*tips.refused, *plan.refused))


def _first_day(text: str, book: Book) -> date:
    """The day of --from. CaskbookError for one that is none, or gone."""
    try:
        found = parse_coming_day(text, book.day)
    except DayError as error:
        raise CaskbookError(f"--from: {error}") from None
    if found < book.day:
        raise CaskbookError(f"--from {found}: expected a day from {book.day}, that of the plan, on; --as-of {found} plans on another day")
    return found


def _say(book: Book, index: Index, plan: WorkPlan) -> None:
    """Each cask that cannot be tipped, and the caution."""
    from caskbook.work.cautions import caution

    for cask, why in plan.refused:
        say(f"{cask} {why}")
    told = caution(plan, lambda day: book.ledger.house.on(day).test_limit_psi, index.ahead().capacities)
    if told:
        say(told)


def _print(plan: WorkPlan, asked: Asked, narrowed: Sequence[str], *, settings_unread: bool) -> None:
    """The plan goes out as text, JSON or CSV, or what its figures mean."""
    out, judged = screen(), judged_at(asked.records, asked.at)
    if asked.explain:
        from caskbook.render.work_plan_explained import explained_text

        write_text(text_at(explained_text(plan, narrowed, width=out.width), judged), out)
    elif asked.form == "text":
        from caskbook.render.work_plan import plan_text

        write_text(text_at(plan_text(plan, narrowed, width=out.width, week=asked.week, whole_route=asked.route), judged), out)
    else:
        from caskbook.render.work_plan_data import plan_csv, plan_json, plan_lines

        if asked.form == "json":
            write_data(json_at(plan_json(plan, narrowed, settings_unread=settings_unread), judged))
        else:
            write_data(plan_lines(plan) if asked.form == "jsonl" else plan_csv(plan))
