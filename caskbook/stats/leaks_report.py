"""The report of leaks as it is told: its account with the day and the filters, and what each figure means."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from caskbook.stats.leaks import SMALL_YEARS, Leaks
from caskbook.stats.report_head import Head, Meant, filter_meant, period_meant

View = Literal["all", "months", "open"]


@dataclass(frozen=True, slots=True)
class LeaksReport:
    """`view`: the whole first screen, each month, or each open leak."""

    head: Head
    account: Leaks
    view: View


def meant(report: LeaksReport) -> Iterator[Meant]:
    """What each figure means, of which cask-years, by which setting."""
    account, whole = report.account, report.account.whole
    yield filter_meant(report.head)
    yield from period_meant(
        report.head,
        "leaks found in it, and the cask-years that casks lay filled in it: a cask that was full before, or still is, counts for its days from the first to the last"
        f" one. What came of a leak is told up to {report.head.day}, whenever it was. Periods that follow on one another add up",
    )
    yield Meant("store, row, spirit", "where the cask lay and what was in it on the day of the leak, by the settings of the day of the report; so is a filter by"
                " --store, --berth or --spirit. A cask that moved counts for each place for its time", "", "stores")  # fmt: skip
    yield Meant(
        "leaks",
        "leaks found in a filled cask (`leak`); one entered again at its place while it is open is the same, and one that a look found to be none (`closed_as:"
        " false`) is in no figure. Leaks of tests are of empty casks, and are told by `report suppliers` and `report parts`",
        f"{account.again} entered again; {account.no_leak} found to be none",
    )
    yield Meant(
        "cask-years",
        "days that casks lay filled with spirit or wine, away and missing ones too, from filling to emptying or to the day of the report, divided by 365.2425",
        f"{whole.years:.1f} cask-years of {account.casks} casks that were filled {'in that time' if report.head.asked else 'at some time'}",
    )
    yield Meant(
        "per 1,000, 95 %",
        "leaks found in 1,000 cask-years, with the exact limits of a count (Garwood 1936); leaks of one cask are taken for independent, and where they are not"
        " they are too narrow. By position the cask-years are those of all",
        "the cask-years of the line",
    )
    yield Meant("few", f"a rate over fewer than {SMALL_YEARS} cask-years", "", "none: common practice, no source")
    yield from _of_ends(whole.leaks)


def _of_ends(leaks: int) -> Iterator[Meant]:
    """What came of leaks, and when."""
    yield Meant(
        "healed",
        "dry at a look that says took up, or that says nothing where no work was done that could have made it dry",
        f"{leaks} leaks",
    )
    yield Meant(
        "repaired",
        "closed by a job (a drive, hoop or peg that names it, a peg at its place), dry at a look that says repaired or after such work; or the cask was emptied with"
        " it, and work at its place answered the defect, as rush or a new stave. By the job that did it, `look` where nothing else tells",
        f"{leaks} leaks",
    )
    yield Meant("emptied, left", "the cask was emptied with the leak open and no work there stands since; the cask left the book with it")
    yield Meant(
        "by month",
        "found, healed and repaired each by the month in which it was, of a leak found before the period too; the cask-years of the month are those of all casks"
        " within the filters",
    )
