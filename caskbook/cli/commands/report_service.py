"""`report service`: how long a char, a cask and a stave serve."""

from __future__ import annotations

import gc
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, cast

from caskbook.cli.answered import read_answer
from caskbook.cli.choosing import chosen, conditions, only, quoted
from caskbook.cli.common import one_of
from caskbook.cli.forms import check_form
from caskbook.cli.judged_at import Revision, judged_at, put_out
from caskbook.cli.remarks import say_no_casks, say_nothing_fits
from caskbook.core.finding import CaskbookError
from caskbook.stats.service import BY, FACTS, ONLY_OF, WHAT, By, Row, What, account_of, overview
from caskbook.stats.service_report import ServiceReport

if TYPE_CHECKING:
    from caskbook.index.answer import Answer
    from caskbook.index.index import Index

ALL = "all"
"""What `--by` says for no groups."""


class _Gathered(NamedTuple):
    """The spans of service of the casks of a day, of how many, and how many more are told in part."""

    root: Path
    day: date
    rows: list[Row]
    casks: int
    in_part: int


def run_service(
    what: str | None, records: str | None, as_of: str | None, at: str | None, form: str, given: Mapping[str, Any], *,
    by: str | None = None, by_fills: bool = False, explain: bool = False,
) -> int:  # fmt: skip
    """Print how long what is named serves, or of each kind a line. Always 0.

    `given`: column of the table `cask` → words, any of which fits, as in `list`; `store`: that of the last berth in the span.
    """
    gc.disable()  # Nothing here is cyclic, and the collector would take a third of the time.
    check_form(form, explain=explain)
    by = "position" if what == "stave" and by is None else None if by == ALL else by
    _refuse(what, form, by, by_fills=by_fills, explain=explain)
    filters = chosen(given, records, as_of, at)
    stores: Sequence[str] = filters.get("store", ())
    root, day, rows, casks, in_part = _gathered(records, as_of, at, {name: words for name, words in filters.items() if name != "store"}, what, by)
    if not casks and not say_no_casks(root, at) and filters:
        say_nothing_fits(filters)
    elif stores and not any(span.store in stores for _, spans in rows for span in spans):
        say_nothing_fits({"store": stores})
    if what is None:
        accounts = overview(rows, day, stores)
    else:
        accounts = (account_of(rows, cast(What, what), day, unit="fills" if by_fills else "years", by=cast(By, by), stores=stores),)
    gc.enable()
    times = {name: text for name, text in (("as-of", as_of), ("at", at)) if text}
    _print(ServiceReport(day, accounts, casks, in_part, filters, only(filters), times, explain), form, judged_at(records, at))
    return 0


def _refuse(what: str | None, form: str, by: str | None, *, by_fills: bool, explain: bool) -> None:
    """CaskbookError for a word that is none, and for options that contradict one another."""
    if what is not None:
        one_of("report service", what, WHAT)
    if by is not None:
        name = cast(By, one_of("--by", by, (ALL, *BY)))
        if what is None:
            raise CaskbookError(f"--by {by}: say of what, as caskbook report service {ONLY_OF.get(name, 'char')} --by {by}")
        if ONLY_OF.get(name, what) != what:
            raise CaskbookError(f"--by {by}: of a {ONLY_OF[name]} only, as caskbook report service {ONLY_OF[name]} --by {by}")
    if by_fills and what != "char":
        raise CaskbookError("--by-fills: of a char only, as caskbook report service char --by-fills")


def _gathered(records: str | None, as_of: str | None, at: str | None, filters: Mapping[str, Any], what: str | None, by: str | None) -> _Gathered:
    """The spans out of the index, which keeps them, of what is named, those of casks alike by `by` together."""
    facts = [by] if by in FACTS else []
    where = conditions(filters)

    def read(index: Index, answer: Answer) -> _Gathered:
        rows: list[Row] = list(index.services(facts, where, what))
        parts = f"cask IN ({', '.join(map(quoted, answer.in_part))})"
        listed, in_part = (sum(count for _, count in index.counted(("type",), narrowed)) for narrowed in (where, [*where, parts]))
        return _Gathered(index.root, answer.day, rows, listed - in_part, in_part)

    return read_answer(records, as_of, at, read, lambda book: _Gathered(book.root, book.day, [], 0, 0), beside=True)


def _print(report: ServiceReport, form: str, judged: Revision | None) -> None:
    """The report goes out as text, JSON or CSV."""
    from caskbook.render import service, service_data

    put_out(
        form,
        lambda width: service.service_text(report, width=width),
        lambda form: {"json": service_data.service_json, "jsonl": service_data.service_lines, "csv": service_data.service_csv}[form](report),
        judged,
    )
