"""The report of suppliers as it is told: its account with the day and the filters, and what each figure means."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from caskbook.stats.report_head import Head, Meant, filter_meant, period_meant
from caskbook.stats.suppliers import SMALL, SMALL_MONTH, Suppliers

View = Literal["all", "months", "claims"]


@dataclass(frozen=True, slots=True)
class SuppliersReport:
    """`view`: the whole first screen, each month of the chart, or each line of the claims calendar; `claim_days`: of the suppliers that the settings name, and
    `otherwise` for every other, of several ledgers that differ of each; `fewest`: fills that a kind must have for a fill to be held against it."""

    head: Head
    account: Suppliers
    view: View
    claim_days: Mapping[str, int]
    otherwise: int | Mapping[str, int]
    fewest: int


def meant(report: SuppliersReport) -> Iterator[Meant]:
    """What each figure means, of which casks, by which setting."""
    whole, days = report.account.whole, ", ".join(f"{name} {days}" for name, days in report.claim_days.items())
    yield filter_meant(report.head)
    yield from period_meant(
        report.head,
        f"casks whose receipt lies in it; their tests, claims and fills are told up to {report.head.day}, so months of the chart may lie behind it."
        f" {report.account.other_days} received at other times are in no figure",
    )
    yield Meant(
        "received",
        "casks with a receipt; a cask made here from others, or raised here, came from nobody",
        f"{whole.received} of {report.head.casks - report.head.in_part} casks that are told whole",
    )
    yield Meant(
        "tested, failed",
        "the first test of a cask, before anything was filled into it; what leaked and was cured in one go with the pass is a fail, as in the life of the"
        " cask. What was mended between the receipt and the test is not looked at",
        f"{whole.failed.of} of {whole.received} casks received; the others: {_others(whole.untested)}",
    )
    yield Meant("95 %", "the score interval of a share (Wilson 1927); casks of one parcel are taken for independent, and where they are not it is too narrow")
    yield Meant(
        "few", f"a share of fewer than {SMALL}: too few to tell suppliers apart; of a month fewer than {SMALL_MONTH}", "", "none: common practice, no source"
    )
    yield from _of_claims(report, days)
    yield Meant(
        "more, times",
        "fills that lost more a year than the middle of their peers, casks of the same type in the same store with the same fill band, as `report loss` has"
        " them; without any difference about half of them would. times: the middle of loss / peers' loss",
        f"{whole.more.of} fills gauged over a year or more that have enough peers; {whole.apart} more have not",
        f"due.loss.fewest_peers {report.fewest}",
    )
    yield Meant(
        "months",
        "the share of first tests that failed, by the month of the test; limits of a month of n: p ± 3 √(p(1-p)/n) around the share p of all months"
        " (Shewhart 1931; NIST/SEMATECH e-Handbook of Statistical Methods 6.3.3.2). Casks of a parcel are tested together and are alike, so that more months lie"
        " outside than the one in 370 of chance alone",
        f"{report.account.chart.of} first tests in {len(report.account.chart.months)} months",
        f"a month with fewer than {SMALL_MONTH} is not held against its limits: common practice, no source",
    )


def _of_claims(report: SuppliersReport, days: str) -> Iterator[Meant]:
    whole = report.account.whole
    yield Meant(
        "found",
        "casks on which something was found that can be claimed, from the receipt to the last day for a claim, that day included: findings and rejections of"
        " receipt and examination, failed tests, a nose at fault, leaks, as `due claim` counts them",
        f"{whole.found.of} casks received with a last day for a claim",
        f"claim_by of the receipt, else suppliers: claim_days ({days or 'none named'}), else due.claim.days {_days(report.otherwise)}, unless due.claim.off",
    )
    yield Meant("decided", "of these, on how many a person decided by `decide --rule claim`, whatever came of it", f"{whole.found.found} with something found")
    yield Meant("running, unexamined", "the last day for a claim is not over and the cask is still here; unexamined: no examination since the receipt")


def _days(days: int | Mapping[str, int]) -> str:
    return str(days) if isinstance(days, int) else ", ".join(f"{ledger} {count}" for ledger, count in days.items())


def _others(untested: Mapping[str, int]) -> str:
    return ", ".join(f"{count} {why}" for why, count in untested.items()) or "none"
