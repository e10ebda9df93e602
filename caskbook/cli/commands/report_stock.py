"""`report stock`: what casks there are, by type and fills since char, and by state, fills of the class, age and store."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, cast

from caskbook.cli.choosing import chosen, conditions, only
from caskbook.cli.common import one_of
from caskbook.cli.forms import check_form
from caskbook.cli.index_answer import read_answer
from caskbook.cli.judged_at import Revision, judged_at, put_out
from caskbook.cli.nearest_filter import Near, near_in
from caskbook.cli.remarks import say_no_casks, say_nothing_fits
from caskbook.stats.stock import BY, FIRST_SCREEN, By, Group, Limit, needs, stock_of
from caskbook.stats.stock_report import StockReport, Terms

if TYPE_CHECKING:
    from caskbook.index.answer import Answer
    from caskbook.index.index import Index
    from caskbook.model.house import House


class Counted(NamedTuple):
    """The casks of a day in groups, and the ledger they are of."""

    root: Path
    day: date
    groups: list[Group]
    near: Near = ()


def run_stock(
    records: str | None, as_of: str | None, at: str | None, form: str, given: Mapping[str, Any], *, by: str | None = None, explain: bool = False
) -> int:
    """Print the stock of the day, divided by what `by` names, or as the first screen has it. Always 0.

    `given`: column of the table `cask` → words, any of which fits, as in `list`.
    """
    check_form(form, explain=explain)
    names = FIRST_SCREEN if by is None else (cast(By, one_of("--by", by, BY)),)
    report = stock_report(records, as_of, at, names, chosen(given, records, as_of, at), explain=explain)
    print_stock(report, form, judged_at(records, at))
    return 0


def stock_report(
    records: str | None, as_of: str | None, at: str | None, names: Sequence[By], filters: Mapping[str, Any], *, explain: bool = False
) -> StockReport:
    """The stock of the day of the casks that pass the filters (as `choosing.chosen` gives them), divided by each of the names."""
    counted = gathered(records, as_of, at, names, filters)
    if not counted.groups and not say_no_casks(counted.root, at) and filters:
        say_nothing_fits(filters, counted.near)
    return report_of(counted, as_of, at, names, filters, explain=explain)


def report_of(
    counted: Counted, as_of: str | None, at: str | None, names: Sequence[By], filters: Mapping[str, Any], *, explain: bool, top: int = 0
) -> StockReport:
    """The report of what was counted in one ledger, by the settings of its house; `top`: the last column, at least."""
    from caskbook.ledger.house_read import house_of  # Where the index is warm, it is the only file that is read.

    house, day = house_of(counted.root, at), counted.day
    stock = stock_of(counted.groups, names, lambda kind: _limit(house, day, kind), top)
    times = {name: text for name, text in (("as-of", as_of), ("at", at)) if text}
    return StockReport(day, stock, filters, only(filters), _terms(house, day), times, explain)


def gathered(records: str | None, as_of: str | None, at: str | None, names: Sequence[By], filters: Mapping[str, Any]) -> Counted:
    """The casks by the facts that these tables need, and what filters that no cask fits likely meant."""

    def read(index: Index, answer: Answer) -> Counted:
        groups = [Group(facts, casks) for facts, casks in index.counted(needs(names), conditions(filters))]
        return Counted(index.root, answer.day, groups, () if groups else near_in(index, filters))

    return read_answer(records, as_of, at, read, lambda book: Counted(book.root, book.day, []))


def _limit(house: House, day: date, kind: str) -> Limit | None:
    """From how many fills since char the house chars a type again; None where it does not."""
    rule = house.on(day, kind).due.rechar
    return None if rule.off or kind in rule.off_types else Limit(rule.due_at, rule.after_rechar_due_at)


def _terms(house: House, day: date) -> Terms:
    settings = house.on(day)
    words = settings.class_of_spirit
    return Terms((words,) if isinstance(words, str) else tuple(words), settings.count_prior, settings.short_fill_days)


def print_stock(report: StockReport, form: str, judged: Revision | None = None) -> None:
    """The stock goes out as text, JSON or CSV."""
    from caskbook.render import stock as render

    put_out(
        form,
        lambda width: render.stock_text(report, width=width),
        lambda form: render.stock_csv(report) if form == "csv" else render.stock_json(report, form),
        judged,
    )
