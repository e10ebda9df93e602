"""The report of suppliers as JSON, JSON lines and CSV: what the text shows, and every group, month and claim."""

from __future__ import annotations

from typing import Any

from caskbook.render.report_parts import Parts, ends_of, parts_csv, parts_json, parts_jsonl, plain
from caskbook.stats.control_chart import Month
from caskbook.stats.suppliers import SMALL, SMALL_MONTH, Claims, Group
from caskbook.stats.suppliers_report import SuppliersReport, meant


def suppliers_data(report: SuppliersReport, form: str) -> str:
    """`json`: an object with settings, by, received, not_received, and the parts groups, total, months and claims; the others a row a line. Of --months and
    --claims only that part."""
    parts = _parts(report)
    if form == "csv":
        return parts_csv(report.head, parts)
    if form == "jsonl":
        return parts_jsonl(report.head, parts)
    account = report.account
    told: dict[str, Any] = {
        "by": account.by, "received": account.whole.received, "not_received": account.not_received,
        "received_at_other_times": account.other_days, "left_with_claim_days_to_come": account.left,
        "settings": {"claim_days": dict(report.claim_days), "due.claim.days": report.otherwise if isinstance(report.otherwise, int) else dict(report.otherwise), "due.loss.fewest_peers": report.fewest,
                     "small": SMALL, "small_month": SMALL_MONTH, "band": 0.95},
    }  # fmt: skip
    return parts_json(report.head, told, parts, meant(report))


def _parts(report: SuppliersReport) -> Parts:
    account = report.account
    parts: dict[str, list[dict[str, Any]]] = {}
    if report.view == "all":
        parts |= {"groups": [_group(one) for one in account.groups], "total": [_group(account.whole)]}
    if report.view != "claims":
        parts["months"] = [_month(one) for one in account.chart.months]
    if report.view != "months":
        parts["claims"] = [_claims(one) for one in account.claims]
    return parts


def _group(one: Group) -> dict[str, Any]:
    return {
        "name": one.name, "received": one.received, "tested": one.failed.of, "failed": one.failed.found, "failed_share": plain(one.failed.part),
        **ends_of(one.failed.interval, "failed_"), "few": one.failed.small, **{why.replace(" ", "_"): count for why, count in one.untested.items()},
        "found": one.found.found, "found_share": plain(one.found.part), **ends_of(one.found.interval, "found_"), "decided": one.decided,
        "running": one.running, "unexamined": one.unexamined, "fills": one.more.of, "lost_more": one.more.found, "lost_more_share": plain(one.more.part),
        **ends_of(one.more.interval, "lost_more_"), "times": plain(one.times), "fills_without_peers": one.apart,
    }  # fmt: skip


def _month(one: Month) -> dict[str, Any]:
    return {
        "month": one.month, "tested": one.of, "failed": one.found, "failed_share": plain(one.share), "lower_limit": plain(one.lower),
        "upper_limit": plain(one.upper), "mark": one.mark,
    }  # fmt: skip


def _claims(one: Claims) -> dict[str, Any]:
    return {
        "to": one.to.isoformat(), "supplier": one.supplier, "parcel": one.parcel, "casks": one.casks, "unexamined": list(one.unexamined),
        "found_not_decided": list(one.undecided),
    }  # fmt: skip
