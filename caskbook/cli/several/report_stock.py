"""`report stock` of several ledgers: counts added up, each cask judged by the limits of its own house, and a line for each ledger."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, cast

from caskbook.cli.choosing import chosen
from caskbook.cli.commands.report_stock import Counted, gathered, print_stock, report_of
from caskbook.cli.common import one_of
from caskbook.cli.forms import check_form
from caskbook.cli.remarks import say_no_casks, say_nothing_fits
from caskbook.cli.several.sites import Site, day_words, sites_of, speaking_of
from caskbook.stats.stock import BY, FIRST_SCREEN, By, added
from caskbook.stats.stock_report import StockReport


def run_stock(
    records: Sequence[str], as_of: str | None, at: str | None, form: str, given: Mapping[str, Any], *, by: str | None = None, explain: bool = False
) -> int:
    """Print the stock of all ledgers, divided as that of one, or by `ledger`. Always 0."""
    check_form(form, explain=explain)
    sites = sites_of(records, as_of, at)
    names = FIRST_SCREEN if by in (None, "ledger") else (cast(By, one_of("--by", by or "", (*BY, "ledger"))),)
    filters = chosen(given, None, None, None)
    report = _together(sites, as_of, names, filters, explain=explain)
    print_stock(_by_ledger(report) if by == "ledger" else report, form)
    return 0


def _together(sites: Sequence[Site], as_of: str | None, names: Sequence[By], filters: Mapping[str, Any], *, explain: bool) -> StockReport:
    """The report of all: each ledger's own with the same columns, and their sum."""
    counted = {site: _gathered(site, as_of, names, filters) for site in sites}
    _say_what_lacks(counted, filters)
    top = max(report_of(found, as_of, None, names, filters, explain=explain).stock.top for found in counted.values())
    of = {site.name: report_of(found, as_of, None, names, filters, explain=explain, top=top) for site, found in counted.items()}
    first = next(iter(of.values()))
    stock = added({name: one.stock for name, one in of.items()})
    return StockReport(first.day, stock, filters, first.only, first.terms, first.times, explain, of, day_words(sites))


def _gathered(site: Site, as_of: str | None, names: Sequence[By], filters: Mapping[str, Any]) -> Counted:
    with speaking_of(site):
        return gathered(site.records, as_of, None, names, filters)


def _say_what_lacks(counted: Mapping[Site, Counted], filters: Mapping[str, Any]) -> None:
    """Say which ledgers have lost their casks, and that no cask of any passes the filters."""
    gone = False
    for site, found in counted.items():
        with speaking_of(site):
            gone = (not found.groups and say_no_casks(found.root, None)) or gone
    if filters and not gone and not any(found.groups for found in counted.values()):
        say_nothing_fits(filters, list(dict.fromkeys(one for found in counted.values() for one in found.near)))


def _by_ledger(report: StockReport) -> StockReport:
    """The table of the ledgers alone."""
    from dataclasses import replace

    return replace(report, stock=replace(report.stock, tables=report.stock.tables[-1:]))
