"""The report of service as JSON and CSV, with every step of every curve."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from caskbook.render.plain_json import data_json, safe_json
from caskbook.render.table import table_csv
from caskbook.stats.service import LEAST_AT_RISK, LEAST_ENDS, Account, Served
from caskbook.stats.service_report import ServiceReport, meant

_PLACES = 6


def service_json(report: ServiceReport) -> str:
    """An object: as_of, filter, casks, told_in_part, settings, and accounts, each with what, unit, by, whole, groups, from_receipt, left_out,
    about and log_rank. A group has watched, ends (kind → how many), censored, too_few, given_alive_at, until, median, and steps; shares
    are 0 to 1, times in the unit of the account. With --explain what each figure means."""
    found: dict[str, Any] = {
        "as_of": report.day.isoformat(), "filter": {name: list(words) for name, words in report.filters.items()}, "casks": report.casks,
        "told_in_part": report.in_part, **_ledgers(report), "settings": {"least_ends": LEAST_ENDS, "least_at_risk": LEAST_AT_RISK, "band": 0.95},
        "accounts": [_account(account) for account in report.accounts],
    }  # fmt: skip
    if report.explain:
        found["explain"] = [one._asdict() for one in meant(report)]
    return safe_json(json.dumps(found, ensure_ascii=False, indent=2))


def _ledgers(report: ServiceReport) -> dict[str, Any]:
    """`ledgers`: of how many casks of each, and how many more are told in part; nothing of one ledger."""
    return {"ledgers": {name: {"casks": casks, "told_in_part": parts} for name, (casks, parts) in report.ledgers.items()}} if report.ledgers else {}


def service_lines(report: ServiceReport) -> str:
    """JSON lines: a line for each curve, `what`, `unit` and `by` of its account before what `service_json` has of the group."""
    head = ("what", "unit", "by")
    return data_json(({**{name: getattr(account, name) for name in head}, **_served(one)} for account in report.accounts for one in _all(account)), "jsonl")


def _account(account: Account) -> dict[str, Any]:
    test = account.test
    return {
        "what": account.what, "unit": account.unit, "by": account.by, "whole": _served(account.whole), "groups": [_served(one) for one in account.groups],
        "from_receipt": None if account.apart is None else _served(account.apart), "left_out": dict(account.left_out), "about": account.about,
        "log_rank": None if test is None else {
            "chi_square": _plain(test.chi_square), "degrees_of_freedom": test.freedom, "p": test.p, "observed": dict(test.observed),
            "expected": {name: _plain(value) for name, value in test.expected.items()},
        },
        "too_small_for_test": list(account.small),
    }  # fmt: skip


def _served(one: Served) -> dict[str, Any]:
    """A group with its counts, its median and every step of its curve."""
    stretch, median = one.stretch, one.median
    return {
        "name": one.name, "watched": one.watched, "ends": dict(one.ends), "ended": one.ended, "censored": one.censored, "too_few": one.few or None,
        "given_alive_at": None if stretch is None else _plain(stretch.since), "until": None if stretch is None else _plain(stretch.until),
        "median": None if median is None else {"time": _plain(median.time), "lower": _plain(median.lower), "upper": _plain(median.upper)},
        "steps": [
            {"time": _plain(step.time), "at_risk": step.at_risk, "ends": step.ends, "kinds": dict(step.kinds), "survival": _plain(step.survival),
             "lower": _plain(step.band and step.band[0]), "upper": _plain(step.band and step.band[1]),
             "incidence": {kind: _plain(share) for kind, share in step.incidence.items()}}
            for step in one.steps
        ],
    }  # fmt: skip


def _plain(value: float | None) -> float | None:
    return None if value is None else round(value, _PLACES)


def service_csv(report: ServiceReport) -> str:
    """RFC 4180: a row for each step of each curve; of a group without a curve one row with its counts and why. `KIND` is how many ended so at the
    step, `KIND_share` the share that had ended so by then."""
    kinds = list(dict.fromkeys(kind for account in report.accounts for one in _all(account) for kind in one.ends))
    columns = (
        "what",
        "unit",
        "by",
        "group",
        "time",
        "at_risk",
        "ends",
        "survival",
        "lower",
        "upper",
        *(name for kind in kinds for name in (kind, f"{kind}_share")),
        "remark",
    )
    return table_csv(columns, (row for account in report.accounts for one in _all(account) for row in _rows(account, one, kinds)))


def _all(account: Account) -> Iterator[Served]:
    yield account.whole
    yield from account.groups
    if account.apart is not None:
        yield account.apart


def _rows(account: Account, one: Served, kinds: list[str]) -> Iterator[list[Any]]:
    head = [account.what, account.unit, account.by, one.name]
    if not one.steps:
        yield [*head, None, None, one.ended, None, None, None, *(cell for kind in kinds for cell in (one.ends.get(kind, 0), None)), one.few]
    for step in one.steps:
        band = step.band or (None, None)
        shares = (cell for kind in kinds for cell in (step.kinds.get(kind, 0), _plain(step.incidence.get(kind, 0.0))))
        yield [*head, _plain(step.time), step.at_risk, step.ends, _plain(step.survival), _plain(band[0]), _plain(band[1]), *shares, None]
