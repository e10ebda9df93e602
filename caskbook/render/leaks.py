"""The report of leaks as text: rates by place of the day, what came of the leaks, the last months, and those that are open."""

from __future__ import annotations

from collections.abc import Sequence

from caskbook.life.leaks import EMPTIED, HEALED, LEFT, OPEN, REPAIRED
from caskbook.render.console import USUAL_WIDTH, flow
from caskbook.render.report_parts import casks_line, fitting, hanging, legend, meant_lines, rate_range, worst_first
from caskbook.stats.intervals import rate_exact
from caskbook.stats.leak_months import Month
from caskbook.stats.leaks import SMALL_YEARS, Group, Leaks, OpenLeak
from caskbook.stats.leaks_report import LeaksReport, meant
from caskbook.words.plural import number_of

_MOST_GROUPS, _MOST_OPEN, _MONTHS = 30, 10, 12


def leaks_text(report: LeaksReport, *, width: int | None) -> str:
    """A header with the day and the filter, then the view that was asked for. 80 columns in a pipe too."""
    wide, account = width or USUAL_WIDTH, report.account
    what = {"all": f"by {account.by}", "months": "by month", "open": "those that are open"}[report.view]
    lines = flow([f"leaks of filled casks {report.head.period.words()}, {what}", *report.head.only], wide, most_lines=9)
    when = "in that time" if report.head.asked else "at some time"
    lines += casks_line(report.head, [f"{account.casks} filled {when}{' there' if report.head.aside else ''}", f"{_never(report)} not"], wide)
    if account.casks:
        lines += {"all": _first_screen, "months": _all_months, "open": _all_open}[report.view](report, wide)
    if report.head.explain:
        lines += ["", *meant_lines(meant(report), wide)]
    return "\n".join(lines)


def _never(report: LeaksReport) -> int:
    return report.head.casks - report.head.in_part - report.account.casks


def _first_screen(report: LeaksReport, wide: int) -> list[str]:
    """The answer, the groups, what healed and what was repaired, the last months and the open leaks."""
    account = report.account
    shown = [*account.groups[:_MOST_GROUPS], account.whole]
    parts = ["few: fewer than 100 cask-years".replace("100", str(SMALL_YEARS))] * any(one.small for one in shown)
    left = len(account.groups) - _MOST_GROUPS
    parts += [f"{left} more: --format csv"] * (left > 0)
    parts += ["else: emptied or left with it"] * bool(account.whole.ends[EMPTIED] + account.whole.ends[LEFT])
    parts += [worst_first([one.name for one in account.groups])] * (len(account.groups) > 1)
    lines = [*_answer(report, wide), "", *fitting(*_table(shown, account.by), wide), *legend(parts, wide)]
    return [*lines, "", *_last_months(account.months, wide), "", *_open(report, account.open[:_MOST_OPEN], wide)]


def _answer(report: LeaksReport, wide: int) -> list[str]:
    """In two sentences: how many in how many cask-years, and what came of them, of those of a period up to which day."""
    account, whole = report.account, report.account.whole
    rate = f"{whole.rate:.1f} per 1,000 (95 % {rate_range(whole.interval)})" if whole.rate is not None else "no rate in no time"
    found = number_of(whole.leaks, "leak") if whole.leaks else "no leak"
    lines = flow([f"{found} found in {whole.years:,.1f} cask-years: {rate}"], wide)
    if not whole.leaks:
        return lines
    ends = whole.ends
    told = [
        f"{f'up to {report.head.day} ' if report.head.asked else ''}{ends[HEALED]} of {whole.leaks} healed{_days(account.healed_after)}",
        f"{ends[REPAIRED]} repaired{_days(account.repaired_after)}{_jobs(account)}",
    ]
    told += [f"{ends[OPEN]} open"] + [f"{ends[EMPTIED]} emptied with it"] * bool(ends[EMPTIED]) + [f"{ends[LEFT]} left with it"] * bool(ends[LEFT])
    told += [f"{account.no_leak} found to be none, in no figure"] * bool(account.no_leak)
    told += [f"{account.again} entered again while open"] * bool(account.again)
    return [*lines, *flow(told, wide, most_lines=4)]


def _days(after: float | None) -> str:
    if after is None:
        return ""
    return f" (half within {number_of(int(after), 'day') if after == int(after) else f'{after} days'})" if after else " (half on the same day)"


def _jobs(account: Leaks) -> str:
    jobs = ", ".join(f"{job or 'look'} {count}" for job, count in account.by_job.items())
    return f": {jobs}" if jobs else ""


def _table(groups: Sequence[Group], by: str) -> tuple[list[str], list[list[str]]]:
    """A line for each group."""
    columns = [by, ">leaks", ">cask-years", ">per 1,000", ">95 %", ">healed", ">repaired", ">open", ">else", ""]
    rows = [
        [one.name, str(one.leaks), f"{one.years:.0f}" if one.years >= 10 else f"{one.years:.1f}", "-" if one.rate is None else f"{one.rate:.1f}", rate_range(one.interval),
         *(str(one.ends[end]) for end in (HEALED, REPAIRED, OPEN)), str(one.ends[EMPTIED] + one.ends[LEFT]), "few" if one.small else ""]
        for one in groups
    ]  # fmt: skip
    return columns, rows


def _last_months(months: Sequence[Month], wide: int) -> list[str]:
    """The last twelve months side by side."""
    last = months[-_MONTHS:]
    heads = [f">{month.month[2:] if n == 0 or month.month[5:] == '01' else month.month[5:]}" for n, month in enumerate(last)]
    rows = [[name, *(str(getattr(month, name)) for month in last)] for name in ("found", "healed", "repaired")]
    return fitting(["by month", *heads], rows, wide)


def _all_months(report: LeaksReport, wide: int) -> list[str]:
    """Each month with its rate."""
    rows = [
        [one.month, str(one.found), str(one.healed), str(one.repaired), f"{one.years:.1f}", f"{1000 * one.found / one.years:.1f}" if one.years > 0 else "-",
         rate_range(rate_exact(one.found, one.years))]
        for one in report.account.months
    ]  # fmt: skip
    return ["", *fitting(["month", ">found", ">healed", ">repaired", ">cask-years", ">per 1,000", ">95 %"], rows, wide)]


def _open(report: LeaksReport, shown: Sequence[OpenLeak], wide: int) -> list[str]:
    """The open leaks, a line each, the worst first."""
    of, since = len(report.account.open), f" on {report.head.day}" if report.head.asked else ""
    if not of:
        return [f"open: none{since}"]
    lines = [f"open: {number_of(of, 'leak')}{since}, the worst as last seen first"]
    for cask, leak, lies, berth in shown:
        where = berth or lies.row or {"away": "away", "missing": "missing"}.get(lies.where, "no berth")
        first = f", {leak.severity} at first" * (leak.severity != leak.seen)
        lines += hanging(f"  {cask}  {leak.seen} at {leak.at} since {leak.day}{first}, {where}, {lies.spirit or '?'}", wide)
    return [*lines, *[f"  {of - len(shown)} more: --open"] * (of > len(shown))]


def _all_open(report: LeaksReport, wide: int) -> list[str]:
    return ["", *_open(report, report.account.open, wide)]
