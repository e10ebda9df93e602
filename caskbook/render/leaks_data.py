"""The report of leaks as JSON, JSON lines and CSV: what the text shows, and every group, month and open leak."""

from __future__ import annotations

from typing import Any

from caskbook.render.report_parts import Parts, ends_of, parts_csv, parts_json, parts_jsonl, plain
from caskbook.stats.intervals import rate_exact
from caskbook.stats.leak_months import Month
from caskbook.stats.leaks import SMALL_YEARS, Group, OpenLeak
from caskbook.stats.leaks_report import LeaksReport, meant


def leaks_data(report: LeaksReport, form: str) -> str:
    """`json`: an object with settings, by, filled, by_job, days to dry, what is in no figure, and the parts groups, total, months and open; the others a
    row a line. Of --months and --open only that part."""
    parts, account = _parts(report), report.account
    if form == "csv":
        return parts_csv(report.head, parts)
    if form == "jsonl":
        return parts_jsonl(report.head, parts)
    told: dict[str, Any] = {
        "by": account.by, "filled": account.casks, "repaired_by": {job or "look": count for job, count in account.by_job.items()},
        "healed_after_days": account.healed_after, "repaired_after_days": account.repaired_after, "entered_again": account.again,
        "no_leak": account.no_leak, "settings": {"small_cask_years": SMALL_YEARS, "interval": 0.95},
    }  # fmt: skip
    return parts_json(report.head, told, parts, meant(report))


def _parts(report: LeaksReport) -> Parts:
    account = report.account
    parts: dict[str, list[dict[str, Any]]] = {}
    if report.view == "all":
        parts |= {"groups": [_group(one) for one in account.groups], "total": [_group(account.whole)]}
    if report.view != "open":
        parts["months"] = [_month(one) for one in account.months]
    if report.view != "months":
        parts["open"] = [_open(one) for one in account.open]
    return parts


def _group(one: Group) -> dict[str, Any]:
    return {
        "name": one.name, "leaks": one.leaks, "cask_years": plain(one.years), "per_1000_cask_years": plain(one.rate), **ends_of(one.interval),
        **{end.replace(" ", "_"): count for end, count in one.ends.items()}, "few": one.small,
    }  # fmt: skip


def _month(one: Month) -> dict[str, Any]:
    rate = 1000 * one.found / one.years if one.years > 0 else None
    return {
        "month": one.month, "found": one.found, "healed": one.healed, "repaired": one.repaired, "cask_years": plain(one.years),
        "per_1000_cask_years": plain(rate), **ends_of(rate_exact(one.found, one.years)),
    }  # fmt: skip


def _open(one: OpenLeak) -> dict[str, Any]:
    leak = one.leak
    return {
        "cask": one.cask, "at": leak.at, "severity": leak.seen, "severity_at_first": leak.severity, "since": leak.day.isoformat(), "event": leak.event, "where": leak.lying.where,
        "store": leak.lying.store, "row": leak.lying.row, "spirit": leak.lying.spirit, "entered_again": leak.again,
        "where_now": one.lies.where, "store_now": one.lies.store, "row_now": one.lies.row, "berth_now": one.berth,
    }  # fmt: skip
