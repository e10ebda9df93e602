"""The report of suppliers as text: first tests, claims, loss against peers, the chart by month, and the claims calendar."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from caskbook.render.console import USUAL_WIDTH, flow
from caskbook.render.month_chart import LEGEND, MOST_MONTHS, SIGNS, chart_lines
from caskbook.render.report_parts import casks_line, fitting, hanging, legend, meant_lines, percent, range_of, worst_first
from caskbook.stats.control_chart import Chart, Mark, Month
from caskbook.stats.suppliers import SMALL, SMALL_MONTH, Claims, Group, Share
from caskbook.stats.suppliers_report import SuppliersReport, meant
from caskbook.words.plural import number_of

_MOST_GROUPS, _MOST_CLAIMS, _MOST_CASKS = 30, 8, 3
_SAID: dict[Mark, str] = {"above": "above its limits", "below": "below its limits", "within": "", "small": "few", "none": ""}


def suppliers_text(report: SuppliersReport, *, width: int | None) -> str:
    """A header with the day and the filter, then the view that was asked for. 80 columns in a pipe too."""
    wide, account = width or USUAL_WIDTH, report.account
    what = {"all": f"by {account.by}", "months": "first tests by month", "claims": "claims calendar"}[report.view]
    when = report.head.period.words() if report.head.asked else f"on {report.head.day}"
    lines = flow([f"what suppliers sent, {when}, {what}", *report.head.only], wide, most_lines=9)
    told = [f"{account.whole.received} received{' in that time' if report.head.asked else ''}"]
    told += [f"{account.other_days} at other times"] * bool(account.other_days)
    lines += casks_line(report.head, [*told, f"{account.not_received} not received from anyone"], wide)
    if account.whole.received:
        lines += {"all": _first_screen, "months": _months, "claims": _calendar}[report.view](report, wide)
    if report.head.explain:
        lines += ["", *meant_lines(meant(report), wide)]
    return "\n".join(lines)


def _first_screen(report: SuppliersReport, wide: int) -> list[str]:
    """The answer on failed first tests, the groups, the chart and the nearest last days for claims."""
    account, chart = report.account, report.account.chart
    shown = [*account.groups[:_MOST_GROUPS], account.whole]
    lines = [*_answer(account.whole, wide), "", *fitting(*_tests(shown, account.by), wide), *_legend(report, shown, wide)]
    lines += ["", *fitting(*_claims_and_loss(shown, account.by), wide), *_second_legend(report, wide)]
    return [*lines, *_chart(chart, wide), "", *_nearest(report, wide)]


def _chart(chart: Chart, wide: int) -> list[str]:
    """The chart of the last months with what lies outside in all of them; without a picture where none of the last is of enough."""
    if not chart.months:
        return []
    told, last = [month for month in chart.months if month.mark not in ("small", "none")], chart.months[-MOST_MONTHS:]
    outside = [month for month in told if month.mark != "within"]
    said = f"{len(outside)} of {number_of(len(told), 'month')} with {chart.least} or more outside the limits" + (
        f", the last {outside[-1].month}" if outside else ""
    )
    head = flow([f"first tests that failed, by month: middle {percent(chart.middle)}", said, "--months has them all"], wide)
    if not set(told) & set(last):
        return ["", *head, *flow([f"no picture: none of the last {len(last)} months has {chart.least} first tests"], wide)]
    return ["", *head, *chart_lines(chart, width=wide), *legend(LEGEND, wide)]


def _answer(whole: Group, wide: int) -> list[str]:
    """In a sentence: how many failed of how many, and why the others have no first test."""
    others = [f"{count} {why}" for why, count in whole.untested.items()]
    if not whole.failed.of:
        return flow(["no first test before a filling: nothing to tell suppliers apart by", *others], wide, most_lines=3)
    share = f"{whole.failed.found} of {number_of(whole.failed.of, 'first test')} failed: {percent(whole.failed.part)} (95 % {range_of(whole.failed.interval)})"
    return flow([share, *others], wide, most_lines=3)


def _tests(groups: Sequence[Group], by: str) -> tuple[list[str], list[list[str]]]:
    """First tests and what was found in time, a line for each group."""
    columns = [by, ">received", ">tested", ">failed", ">share", ">95 %", ">found", ">share", ">95 %", ""]
    rows = [
        [
            one.name,
            str(one.received),
            str(one.failed.of),
            str(one.failed.found),
            *_share(one.failed),
            str(one.found.found),
            *_share(one.found),
            _few(one.failed),
        ]
        for one in groups
    ]
    return columns, rows


def _share(share: Share) -> list[str]:
    return [percent(share.part), range_of(share.interval)]


def _few(share: Share) -> str:
    return "few" if share.small and share.of else ""


def _legend(report: SuppliersReport, shown: Sequence[Group], wide: int) -> list[str]:
    account = report.account
    parts = ["failed: or leaked, and passed once that was cured in the same go", "found: something to claim, within the claim days"]
    parts += [f"few: fewer than {SMALL} tested"] * any(_few(one.failed) for one in shown)
    left = len(account.groups) - _MOST_GROUPS
    parts += [f"{left} more: --format csv"] * (left > 0)
    return legend([*parts, worst_first([one.name for one in account.groups])], wide)


def _claims_and_loss(groups: Sequence[Group], by: str) -> tuple[list[str], list[list[str]]]:
    """Claims that are open, and losses against peers, a line for each group."""
    columns = [by, ">decided", ">running", ">unexamined", ">fills", ">more", ">95 %", ">times", ""]
    rows = [
        [one.name, f"{one.decided} of {one.found.found}", str(one.running), str(one.unexamined), str(one.more.of), percent(one.more.part),
         range_of(one.more.interval), "-" if one.times is None else f"{one.times:.2f}", _few(one.more)]
        for one in groups
    ]  # fmt: skip
    return columns, rows


def _second_legend(report: SuppliersReport, wide: int) -> list[str]:
    return legend(
        [
            "decided: of what was found",
            "running: claim days not over",
            "more: of the fills lost more than the middle of their kind, and how many times as much",
            f"{report.account.whole.apart} fills without peers enough",
        ],
        wide,
    )


def _months(report: SuppliersReport, wide: int) -> list[str]:
    """Each month of the chart with its limits."""
    chart = report.account.chart
    if not chart.months:
        return _answer(report.account.whole, wide)
    rows = [[one.month, str(one.of), str(one.found), percent(one.share), _limits(one), _sign(one), _SAID[one.mark]] for one in chart.months]
    columns = ["month", ">tested", ">failed", ">share", ">limits", "", ""]
    lines = [f"middle {percent(chart.middle)}: {chart.found} of {number_of(chart.of, 'first test')} failed", "", *fitting(columns, rows, wide)]
    return [*lines, *legend([f"few: fewer than {SMALL_MONTH} tested, not held against limits", f"the picture has the last {MOST_MONTHS}"], wide)]


def _limits(month: Month) -> str:
    return "-" if month.lower is None or month.upper is None else f"{100 * month.lower:.1f}-{100 * month.upper:.1f}"


def _sign(month: Month) -> str:
    return SIGNS[month.mark].strip()


def _nearest(report: SuppliersReport, wide: int) -> list[str]:
    """The nearest last days for claims, a line each."""
    claims, whole = report.account.claims, report.account.whole
    if not claims:
        return flow(["claims calendar: no claim days run", *_gone(report)], wide)
    head = f"claims calendar: {number_of(whole.running, 'cask')} with claim days to come, {whole.unexamined} unexamined"
    lines = flow([head, *_gone(report)], wide)
    lines += [line for one in claims[:_MOST_CLAIMS] for line in hanging(f"  {_claim(one)}", wide)]
    return [*lines, *[f"  {number_of(len(claims) - _MOST_CLAIMS, 'line')} more: --claims"] * (len(claims) > _MOST_CLAIMS)]


def _gone(report: SuppliersReport) -> list[str]:
    return [f"{report.account.left} left before their last day"] * bool(report.account.left)


def _claim(one: Claims) -> str:
    """What ends on a day, what of it is unexamined and what nobody decided on."""
    parts = [f"to {one.to}  {one.supplier} {one.parcel}: {number_of(one.casks, 'cask')}"]
    parts += [f"{len(one.unexamined)} unexamined ({_some(one.unexamined)})"] * bool(one.unexamined)
    parts += [f"{len(one.undecided)} with something found, not decided ({_some(one.undecided)})"] * bool(one.undecided)
    return ", ".join(parts)


def _some(casks: Sequence[str]) -> str:
    return ", ".join(casks[:_MOST_CASKS]) + (" …" if len(casks) > _MOST_CASKS else "")


def _calendar(report: SuppliersReport, wide: int) -> list[str]:
    """Each line of the calendar, with the casks that are unexamined or not decided on."""
    if not report.account.claims:
        return _nearest(report, wide)
    return ["", *_calendar_lines(report, wide)]


def _calendar_lines(report: SuppliersReport, wide: int) -> Iterator[str]:
    for one in report.account.claims:
        yield from hanging(f"to {one.to}  {one.supplier} {one.parcel}: {number_of(one.casks, 'cask')}", wide)
        for name, casks in (("unexamined", one.unexamined), ("found, not decided", one.undecided)):
            if casks:
                yield from flow([f"  {name} {len(casks)}: {', '.join(casks)}"], wide, most_lines=10_000)
