"""`report service`: how long a char, a cask and a stave serve."""

from __future__ import annotations

import gc
from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, cast

from caskbook.cli.choosing import chosen, only
from caskbook.cli.common import one_of
from caskbook.cli.forms import check_form
from caskbook.cli.judged_at import Revision, judged_at, put_out
from caskbook.cli.remarks import say_no_casks, say_nothing_fits
from caskbook.cli.served import gathered
from caskbook.core.finding import CaskbookError
from caskbook.stats.service import BY, BY_OF_SEVERAL, ONLY_OF, WHAT, Account, By, Row, What, account_of, overview
from caskbook.stats.service_report import ServiceReport

if TYPE_CHECKING:
    pass

ALL = "all"
"""What `--by` says for no groups."""


def run_service(
    what: str | None, records: str | None | tuple[str, ...], as_of: str | None, at: str | None, form: str, given: Mapping[str, Any], *,
    by: str | None = None, by_fills: bool = False, explain: bool = False,
) -> int:  # fmt: skip
    """Print how long what is named serves, or of each kind a line. Always 0.

    `given`: column of the table `cask` → words, any of which fits, as in `list`; `store`: that of the last berth in the span.
    """
    gc.disable()  # Nothing here is cyclic, and the collector would take a third of the time.
    check_form(form, explain=explain)
    by = "position" if what == "stave" and by is None else None if by == ALL else by
    _refuse(what, by, BY_OF_SEVERAL if isinstance(records, tuple) else BY, by_fills=by_fills)
    filters = chosen(given, None, as_of, at)
    stores: Sequence[str] = filters.get("store", ())
    narrowed = {name: words for name, words in filters.items() if name != "store"}
    if isinstance(records, tuple):
        from caskbook.cli.several.report_service import gathered_of_all

        root, day, rows, casks, in_part, ledgers = gathered_of_all(records, as_of, at, narrowed, what, by)
        stores = [f"{ledger}:{store}" for ledger in ledgers for store in stores]
    else:
        root, day, rows, casks, in_part, ledgers = gathered(records, as_of, at, narrowed, what, by)
    accounts = _accounts(rows, day, stores, what, by, by_fills=by_fills)
    gc.enable()
    if not casks and not say_no_casks(root, at) and filters:
        say_nothing_fits(filters)
    elif stores and not any(span.store in stores for _, spans in rows for span in spans):
        say_nothing_fits({"store": filters["store"]})
    times = {name: text for name, text in (("as-of", as_of), ("at", at)) if text}
    report = ServiceReport(day, accounts, casks, in_part, filters, only(filters), times, explain, ledgers)
    _print(report, form, None if isinstance(records, tuple) else judged_at(records, at))
    return 0


def _accounts(rows: list[Row], day: date, stores: Sequence[str], what: str | None, by: str | None, *, by_fills: bool) -> tuple[Account, ...]:
    """The account of what is named, or one of each kind."""
    if what is None:
        return overview(rows, day, stores)
    return (account_of(rows, cast(What, what), day, unit="fills" if by_fills else "years", by=cast(By, by), stores=stores),)


def _refuse(what: str | None, by: str | None, known: Sequence[By], *, by_fills: bool) -> None:
    """CaskbookError for a word that is none, and for options that contradict one another."""
    if what is not None:
        one_of("report service", what, WHAT)
    if by is not None:
        name = cast(By, one_of("--by", by, (ALL, *known)))
        if what is None:
            raise CaskbookError(f"--by {by}: say of what, as caskbook report service {ONLY_OF.get(name, 'char')} --by {by}")
        if ONLY_OF.get(name, what) != what:
            raise CaskbookError(f"--by {by}: of a {ONLY_OF[name]} only, as caskbook report service {ONLY_OF[name]} --by {by}")
    if by_fills and what != "char":
        raise CaskbookError("--by-fills: of a char only, as caskbook report service char --by-fills")


def _print(report: ServiceReport, form: str, judged: Revision | None) -> None:
    """The report goes out as text, JSON or CSV."""
    from caskbook.render import service, service_data

    put_out(
        form,
        lambda width: service.service_text(report, width=width),
        lambda form: {"json": service_data.service_json, "jsonl": service_data.service_lines, "csv": service_data.service_csv}[form](report),
        judged,
    )
