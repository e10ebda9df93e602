"""The report of service as text: the answer, the counts, the curve, groups and their test, and what is left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from caskbook.core.typed_word import typed_word
from caskbook.render.console import USUAL_WIDTH, flow
from caskbook.render.loss import table_lines
from caskbook.render.service_picture import picture, share
from caskbook.stats.service import LEAST_AT_RISK, LEAST_ENDS, Account, Served, What
from caskbook.stats.service_report import ServiceReport, meant
from caskbook.words.plural import number_of

_MOST_LINES = 9
_ENDED: dict[What, str] = {"char": "re-charred, retired or gone", "cask": "retired or gone", "stave": "replaced"}
_CENSORED: dict[What, str] = {
    "char": "serving still, or missing",
    "cask": "serving still, or missing",
    "stave": "serving still, or when the cask ended",
}
_MOST_CURVES = 2
"""Of so many groups each has its curve on the screen; of more, a line in the table."""


def service_text(report: ServiceReport, *, width: int | None) -> str:
    """A header with the day and the filter; of one thing its answer with counts and curve, of all a line each. 80 columns in a pipe too."""
    wide = width or USUAL_WIDTH
    lines = flow([_title(report), *report.only], wide, most_lines=_MOST_LINES)
    if not report.casks:
        lines += flow([_no_casks(report)], wide)
    elif len(report.accounts) > 1:
        lines += _overview(report, wide)
    else:
        lines += _account(report.accounts[0], wide)
    lines += _closing(report, wide)
    if report.explain:
        lines += ["", *(line for one in meant(report) for line in _hanging(f"{one.figure}: {one.means}", wide))]
    return "\n".join(lines)


def _title(report: ServiceReport) -> str:
    if len(report.accounts) > 1:
        return f"how long a char, a cask and a stave serve, on {report.day}, in years"
    account = report.accounts[0]
    return f"how long a {account.what} serves, on {report.day}, in {account.unit}{f', by {account.by}' if account.by else ''}"


def _no_casks(report: ServiceReport) -> str:
    if report.in_part:
        return "no casks that can be told whole"
    return "no casks" if report.only else "no casks: none is in the book on that day"


def _overview(report: ServiceReport, wide: int) -> list[str]:
    """A table with a line for each kind, and how to see more."""
    named = [(account, one) for account in report.accounts for one in (account.groups or (account.whole,))]
    rows = [[one.name if account.by and account.groups else account.what, *_figures(one)] for account, one in named]
    lines = ["", *_table("", rows, wide), *_legend([one for _, one in named], wide)]
    if report.ledgers:
        return [*lines, "", *flow(["curve, ends by kind, groups: caskbook report service char, cask or stave, with the same --records"], wide)]
    more = [f"  caskbook report service {account.what}{_options(report)}" for account in report.accounts]
    return [*lines, "", "curve, ends by kind, groups:", *(line for one in more for line in flow([one], wide))]


def _options(report: ServiceReport) -> str:
    """The filters, the day and the revision, as they were asked for."""
    options = [(name, word) for name, words in report.filters.items() for word in words] + list(report.times.items())
    return "".join(f" --{name} {typed_word(word)}" for name, word in options)


def _table(title: str, rows: Sequence[Sequence[str]], wide: int) -> list[str]:
    """The table of groups; the gaps close before a name has a line of its own."""
    columns = [title, ">n", ">ends", ">censored", ">from", ">median", ">95 %", ">still serve"]
    lines = table_lines(columns, rows, wide)
    return lines if len(lines) == len(rows) + 1 else table_lines(columns, rows, wide, gap=1)


def _figures(one: Served) -> list[str]:
    """The cells of a group: its counts, from which age its curve speaks, the median with its interval, and what is left at the end of the curve."""
    counts = [str(one.watched), str(one.ended), str(one.censored)]
    if one.stretch is None or one.median is None:
        return [*counts, "", "too few" if one.few else "", "", ""]
    median = "not reached" if one.median.time is None else _number(one.median.time)
    return [*counts, _number(one.stretch.since or 0), median, _interval(one), f"{share(_last(one))} at {_number(one.stretch.until)}"]


def _legend(shown: Sequence[Served], wide: int) -> list[str]:
    """What the columns are, as far as there is something in them."""
    parts = [f"from, still serve: at these ages {LEAST_AT_RISK} are at risk, and the curve speaks of those that had reached the first"] * any(
        one.stretch for one in shown
    )
    parts += [f"too few: fewer than {LEAST_ENDS} ends, no curve"] * any(one.few for one in shown)
    return flow(parts, wide, between="; ", most_lines=_MOST_LINES) if parts else []


def _last(one: Served) -> float:
    return one.steps[-1].survival if one.steps else 1.0


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _interval(one: Served) -> str:
    median = one.median
    if median is None or median.time is None or median.lower is None:
        return ""
    return f"{_number(median.lower)} to {_number(median.upper) if median.upper is not None else '?'}"


def _account(account: Account, wide: int) -> list[str]:
    """The answer, the counts, the curve; or those of the groups, and their test. Of so few groups that they find room each has its curve."""
    shown = [one for one in account.groups if one.stretch is not None]
    lines: list[str] = []
    for one in shown if 0 < len(shown) <= _MOST_CURVES else (account.whole,):
        named = f"{one.name}: " if account.by and one is not account.whole else ""
        lines += [""] * bool(lines) + [line for parts in _answer(one, account, named) for line in flow(parts, wide, most_lines=_MOST_LINES)]
        if one.stretch is not None and (named or not account.by):
            lines += ["", *picture(one, account.unit, width=wide)]
            lines += flow(["━ share that still serves", "░ its 95 % band", *_ends_at(one, account)], wide, most_lines=_MOST_LINES)
    lines += _groups(account, wide) if account.groups else []
    if account.apart is not None:
        lines += ["", *flow(_apart(account.apart, account), wide, most_lines=_MOST_LINES)]
    return lines


def _answer(one: Served, account: Account, named: str) -> Iterator[list[str]]:
    """The median with its interval, or why there is none; then how many are watched, ended and censored."""
    what, median = account.what, one.median
    if not one.watched:
        yield [f"no {what} that can be followed"]
        return
    alive = f"of those that had served {_number(one.stretch.since)} {account.unit}, " if one.stretch and one.stretch.since else ""
    if median is None:
        yield [f"{named}{one.few}"]
    elif median.time is None:
        yield [f"{named}median not reached: {alive}{share(_last(one))} still serve at {_number(one.stretch.until if one.stretch else 0)} {account.unit}"]
    else:
        upper = "an age not reached" if median.upper is None else _number(median.upper)
        lower = "?" if median.lower is None else _number(median.lower)
        yield [f"{named}{alive}half are {_ENDED[what]} by {_number(median.time)} {account.unit} (95 %: {lower} to {upper})"]
    kinds = ", ".join(f"{kind} {count}" for kind, count in one.ends.items())
    ends = f"{number_of(one.ended, 'end')}{f' ({kinds})' if kinds else ''}"
    yield [f"{number_of(one.watched, what)}: {ends} + {one.censored} censored ({_CENSORED[what]})"]


def _ends_at(one: Served, account: Account) -> Iterator[str]:
    """Over which ages the curve goes, and why."""
    if one.stretch is None:
        return
    if one.stretch.since:
        yield f"given alive at {_number(one.stretch.since)} {account.unit}: before, fewer than {LEAST_AT_RISK} are at risk"
    yield f"to {_number(one.stretch.until)} {account.unit}, as far as {LEAST_AT_RISK} are at risk"
    if one.ended_in_stretch < one.ended:
        yield f"{one.ended_in_stretch} of {number_of(one.ended, 'end')} lie in it"


def _groups(account: Account, wide: int) -> list[str]:
    """A line for each group and for all, what the columns are, and the test."""
    rows = [[one.name, *_figures(one)] for one in account.groups]
    rows.append([account.whole.name, *_figures(account.whole)])
    lines = ["", *_table(account.by or "", rows, wide), *_legend((*account.groups, account.whole), wide), ""]
    return lines + [line for said in _test(account) for line in flow([said], wide, most_lines=_MOST_LINES)]


def _test(account: Account) -> Iterator[str]:
    """What the test of the groups says, and what it does not."""
    test = account.test
    if test is None:
        yield "log-rank: no test, for fewer than two groups have ends enough" if len(account.tested) < 2 else "log-rank: no test, for the groups share no ages"
    else:
        chance = "p < 0.001" if test.p < 0.001 else f"p = {test.p:.3f}"
        yield f"log-rank {chance} (chi-square {test.chi_square:.2f}, {number_of(test.freedom, 'degree')} of freedom) of {', '.join(account.tested)}."
        if test.p < 0.05:
            yield "Were they alike, chance alone would set them so far apart in fewer than 5 of 100 such books. It does not say which differ, by how much, nor why."
        else:
            yield "Were they alike, chance alone would set them so far apart in 5 of 100 such books or more: no difference is shown, nor that there is none."
        if account.what == "stave":
            yield "Staves of one cask are taken for independent; where they are not, p is too small."
    if account.small:
        yield f"too small for the test: {', '.join(account.small)}"


def _apart(one: Served, account: Account) -> list[str]:
    counts = f"{number_of(one.watched, account.what)}, {number_of(one.ended, 'end')}, {one.censored} censored"
    median = one.median
    said = one.few if median is None else "median not reached" if median.time is None else f"median {_number(median.time)} ({_interval(one)})"
    return [f"apart, counted from the receipt, the cask's making not known: {counts}", said]


def _closing(report: ServiceReport, wide: int) -> list[str]:
    """Of several ledgers how many casks of each there are; what is in no figure, by why."""
    lines = []
    if report.ledgers:
        of_each = [f"{ledger} {casks}" for ledger, (casks, _) in report.ledgers.items()]
        lines += _flowed([f"{number_of(report.casks, 'cask')} in {number_of(len(of_each), 'ledger')}: {of_each[0]}", *of_each[1:]], wide)
    for account in report.accounts:
        parts = [f"{why} {count}" for why, count in account.left_out.items()]
        if len(report.accounts) > 1 and account.apart is not None:
            lines += _flowed([f"apart, from the receipt, the cask's making not known: {number_of(account.apart.watched, account.what)}"], wide)
        if parts:
            lines += _flowed([f"left out{f' of {account.what}s' if len(report.accounts) > 1 else ''}: {parts[0]}", *parts[1:]], wide)
    if report.in_part:
        lines += _flowed([f"left out, for not all of their files can be read: {number_of(report.in_part, 'cask')}; caskbook check"], wide)
    if len(report.accounts) == 1 and report.accounts[0].about:
        account = report.accounts[0]
        lines += _flowed([f"begun on a day known to the month or year only: {account.about} of {account.whole.watched}; --explain"], wide)
    return ["", *lines] if lines else []


def _flowed(parts: Sequence[str], wide: int) -> list[str]:
    first, *more = flow(parts, wide - 2, most_lines=_MOST_LINES)
    return [first, *(f"  {line}" for line in more)]


def _hanging(text: str, wide: int) -> list[str]:
    return _flowed([text], wide)
