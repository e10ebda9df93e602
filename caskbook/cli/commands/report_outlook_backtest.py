"""`report outlook --back-test`: how well such ranges held, from days gone by, of the book as it was known then."""

from __future__ import annotations

import calendar
import gc
from datetime import date, datetime, timedelta
from functools import cache
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from caskbook.cli.commands.report_outlook import Wanted, limits_on, whole_months
from caskbook.cli.common import Book, open_book, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.cli.forms import check_form
from caskbook.cli.remarks import say_left_out, say_no_casks
from caskbook.core.days import FIRST_DAY, LAST_DAY, add_days
from caskbook.core.finding import CaskbookError
from caskbook.life.turns import month_of
from caskbook.stats.outlook_backtest import LEAST_ORIGINS, BackTest, BackTestReport, Origin, back_test, real_counts
from caskbook.stats.outlook_book import read_lines

if TYPE_CHECKING:
    from caskbook.stats.stock import Limit
    from caskbook.work.as_known import Lines

ORIGINS, MOST_ORIGINS, USUAL_BAND = 8, 30, 80
_YEAR = 12


def run_back_test(records: str | None, as_of: str | None, at: str | None, wanted: Wanted, origins: int | None, *, back_test: bool) -> int:
    """Print how well the ranges held from `origins` days, a year apart, the last one a year before the last whole month. Always 0."""
    _refuse(at, wanted, origins, back_test=back_test)
    book = open_book(records, as_of)
    say_left_out(book.root, None)
    last, _ = whole_months(book.day)
    months = [last - _YEAR * back for back in range(origins or ORIGINS, 0, -1)]
    from caskbook.render import outlook_backtest as render

    test, casks, silent = _tested(book, months, last, wanted)
    if not casks:
        say_no_casks(book.root, None)
    report = BackTestReport(book.day, test, wanted.seed, casks, silent, wanted.explain, {"as-of": as_of} if as_of else {})
    if wanted.form == "text":
        out = screen()
        write_text(render.back_test_text(report, width=out.width), out)
    else:
        write_data(render.back_test_csv(report) if wanted.form == "csv" else render.back_test_json(report, wanted.form))
    return 0


def _refuse(at: str | None, wanted: Wanted, origins: int | None, *, back_test: bool) -> None:
    """CaskbookError for options that do nothing here, and for fewer origins than a test is told of."""
    if not back_test:
        raise CaskbookError("--origins goes with --back-test")
    check_form(wanted.form, explain=wanted.explain)
    if at:
        raise CaskbookError("--at with --back-test: it reads the revisions of days gone by itself")
    narrowed = [name for name, words in wanted.filters.items() if words]
    if narrowed:
        raise CaskbookError(f"--{narrowed[0]} with --back-test: it is of the whole book, for nobody knows what a cask of then would be now")
    if wanted.months != _YEAR:
        raise CaskbookError(f"--months {wanted.months} with --back-test: it is of 12 months from each day")
    if wanted.band != USUAL_BAND:
        raise CaskbookError(f"--band {wanted.band} with --back-test: it tells of the ranges of 50, 80 and 95 %")
    if origins is not None and not LEAST_ORIGINS <= origins <= MOST_ORIGINS:
        raise CaskbookError(f"--origins {origins}: expected {LEAST_ORIGINS} to {MOST_ORIGINS}")


def _tested(book: Book, months: list[int], last: int, wanted: Wanted) -> tuple[BackTest, int, int]:
    """(what came of it, of how many casks, how many more are left out) by the book as it is known now."""
    from caskbook.cli.progress import progress
    from caskbook.work.as_known import lines_known

    days = [last_day(month) for month in months]
    by_git = [origin_on(book, day) for day in days]
    gc.disable()  # Nothing here is cyclic, and the collector would take a good part of the time.
    with progress("casks") as advance:
        known, whole = lines_known(book.ledger, [day for day, one in zip(days, by_git, strict=True) if one is None], last_day(last), advance)
    gc.enable()
    told = iter(known)
    origins = [one or _by_entries(book, day, next(told)) for day, one in zip(days, by_git, strict=True)]

    @cache
    def limit_on(kind: str, month: int) -> Limit | None:
        found: Limit | None = limits_on(book.ledger.house, last_day(month))(kind)
        return found

    real = real_counts(read_lines(whole.found, last, whole.casks), limit_on)
    return back_test(origins, real, months=_YEAR, seed=wanted.seed), whole.casks, whole.silent


def last_day(month: int) -> date:
    """The last day of a month that is counted from January of the year 0, held within years 0001 to 9999."""
    if not FIRST_DAY.year <= month // 12 <= LAST_DAY.year:
        return FIRST_DAY if month < 12 * FIRST_DAY.year else LAST_DAY
    return date(month // 12, month % 12 + 1, calendar.monthrange(month // 12, month % 12 + 1)[1])


def _by_entries(book: Book, day: date, lines: Lines) -> Origin:
    """A day from which is forecast, by the entries that the book held then as far as it tells."""
    return Origin(day, read_lines(lines.found, month_of(day) or 0, lines.casks), limits_on(book.ledger.house, day))


def origin_on(book: Book, day: date) -> Origin | None:
    """A day from which is forecast, by the last commit up to its end; None where git has none that held the ledger."""
    revision = _in_git(book, day)
    if revision is None:
        return None
    from caskbook.ledger.files import Ledger
    from caskbook.ledger.revisions import file_store_at
    from caskbook.work.as_known import lines_of

    ledger = Ledger(file_store_at(book.root, revision))
    found = lines_of(ledger, day)
    return Origin(day, read_lines(found.found, month_of(day) or 0, found.casks), limits_on(ledger.house, day), revision)


def _in_git(book: Book, day: date) -> str | None:
    """The last commit of the checked-out branch up to the end of a day of the house, where it held the ledger; None where there is none."""
    from caskbook.git import open_git

    try:
        git = open_git(book.root)
        zone = ZoneInfo(book.ledger.house.timezone)
    except (CaskbookError, ZoneInfoNotFoundError, ValueError):
        return None
    midnight = datetime.combine(add_days(day, 1), datetime.min.time(), zone)
    found = git.text("rev-list", "-1", f"--before={(midnight - timedelta(seconds=1)).isoformat()}", "HEAD", good=(0, 128)).strip()
    return found if len(found) >= 40 and " " not in found and git.entry(found, f"{git.prefix}house.yaml") is not None else None
