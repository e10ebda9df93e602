"""An outlook as it is told: its months, years and whole with the day and the filters, and what each figure means."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from caskbook.stats.hazards import IN_A_STEP, LEAST_ENDS
from caskbook.stats.outlook import Outlook
from caskbook.stats.outlook_book import WINDOW
from caskbook.stats.outlook_counts import AT_LIMIT, CLOSED, EXAMINED, FILLS, LEAKS, RETIRED, SERIES, TESTED, TIPS
from caskbook.stats.outlook_curves import LAGS
from caskbook.stats.outlook_flow import RECENT
from caskbook.stats.outlook_hours import HoursWanted
from caskbook.stats.spread import Band
from caskbook.stats.stock import Limit
from caskbook.words.plural import number_of

HOURS = "hours"


class Line(NamedTuple):
    """A line of the outlook. `kind`: month, year or all; `name`: 2026-07, 2026, all; `bands`: count → its band, None where it has no range."""

    kind: str
    name: str
    bands: Mapping[str, Band | None]
    part: float = 1.0


@dataclass(frozen=True)
class OutlookReport:
    """What is told. `band`: percent; `silent`: casks told in part, left out; `proposed`: on how many casks retirement is proposed on the day, and on how
    many once they are emptied; `limits`: type → its limit; `whole`: of how many casks the curves are; `filters`, `only`, `times` and
    `explain` as in other reports."""

    day: date
    outlook: Outlook
    band: int
    silent: int
    whole: int
    hours: HoursWanted
    proposed: tuple[int, int]
    limits: Mapping[str, Limit | None]
    filters: Mapping[str, Sequence[str]] = field(default_factory=dict)
    only: tuple[str, ...] = ()
    times: Mapping[str, str] = field(default_factory=dict)
    explain: bool = False
    scatter_of_all: bool = False

    @property
    def casks(self) -> int:
        """How many casks stand in the book on the day, full or empty."""
        return sum(one.many for one in (*self.outlook.book.full, *self.outlook.book.empty))

    @property
    def counts(self) -> tuple[str, ...]:
        """The counts that have a range, hours at the end where the house says them."""
        return (*(name for name in SERIES if not self.outlook.series[name].few), *([HOURS] if self.hours.known else []))

    @property
    def without(self) -> dict[str, str]:
        """Count → why it has no range."""
        return {name: self.outlook.series[name].few for name in SERIES if self.outlook.series[name].few}

    def lines(self) -> list[Line]:
        """Months, then calendar years where there are several, then all."""
        found = self.outlook
        lines = [Line("month", month_name(period.month), self._bands([at]), period.part) for at, period in enumerate(found.periods)]
        if len(found.years) > 1:
            lines += [Line("year", str(year), self._bands(periods)) for year, periods in found.years.items()]
        return [*lines, Line("all", "all", self._bands(range(len(found.periods))))]

    def _bands(self, periods: Sequence[int]) -> dict[str, Band | None]:
        bands = {name: self.outlook.series[name].total(periods, self.band) for name in SERIES}
        return bands | ({HOURS: self.hours.total(periods, self.band)} if self.hours.known else {})


def month_name(month: int) -> str:
    """2026-07."""
    return f"{month // 12:04d}-{month % 12 + 1:02d}"


class Meant(NamedTuple):
    """A figure and what it means."""

    figure: str
    means: str


def meant(report: OutlookReport) -> Iterator[Meant]:
    """What each figure means, of which casks, by which curves and settings, and what is unknown and left out."""
    found = report.outlook
    book = found.book
    full, empty = sum(one.many for one in book.full), sum(one.many for one in book.empty)
    yield Meant("filter", ", ".join(report.only) or "none: the whole book")
    yield Meant(
        "of",
        f"{book.casks} casks with their whole history, {full} full and {empty} empty or seasoning and not retired on the day, here or away; {report.silent} more are left out, for not all that their"
        " files say can be read (caskbook check). The gone speak in the curves. Missing casks are left out from the day they were missed",
    )
    yield from _counts(report)
    yield Meant(
        "middle, range",
        f"half of {found.terms.many} drawn courses lie below the middle; {report.band} % of them between the edges, both in it, as many left out below as"
        f" above. Counts are whole, so that a range often holds more. Seed {found.terms.seed}: the same seed, months and book give the same figures",
    )
    yield from _curves(report)
    yield from _left_out(report)


def _counts(report: OutlookReport) -> Iterator[Meant]:
    """What each count is of, with the limits and hours of the house."""
    charring = report.outlook.charring
    yield Meant(TIPS, "casks that come empty, for the share that came empty so many months after the filling")
    told = ", ".join(
        f"{kind} {'not charred' if limit is None else f'{limit.due_at}, {limit.after_rechar} after a re-char'}" for kind, limit in report.limits.items()
    )
    charred = (
        f"{charring.at:.0%} of those at the limit and {charring.others:.0%} of the others were charred before they were filled again ({charring.seen} at it)"
        if charring.seen >= LEAST_ENDS
        else f"all at it are taken to be charred before they are filled again, and no others: only {charring.seen} such tips, {LEAST_ENDS} wanted"
    )
    yield Meant(AT_LIMIT, f"those of the tips whose fills since char reach the limit of house.yaml on the day (due.rechar: {told}). {charred}")
    yield Meant(FILLS, "casks in no fill that are filled, by how long they stood empty or seasoning")
    yield Meant(
        f"{EXAMINED}, {TESTED}",
        f"entries of these jobs: so many in each of {LAGS} months after an emptying and after a coming, the others at the mean of the months looked at",
    )
    yield Meant(LEAKS, "entries of leaks found on full casks: so many for each month that a cask lies full")
    yield Meant(
        CLOSED, f"leaks that are found dry, stopped, or emptied with the cask, by how long they were open; {report.outlook.open_leaks} are open on the day"
    )
    yield Meant(
        RETIRED,
        "casks in no fill that are retired, by how long they stood empty or seasoning. When a retirement was proposed no book keeps: on how many it is proposed on the day"
        " `caskbook due retire` says",
    )
    if report.hours.known:
        each = ", ".join(f"{job} {hours:g}" for job, hours in report.hours.each.items() if hours is not None)
        lacking = [job for job, hours in report.hours.each.items() if hours is None]
        said = f"; not said for {', '.join(lacking)}, which count as none" if lacking else ""
        yield Meant(
            HOURS,
            f"hours of each job from job_hours of house.yaml as in force on {report.day}, in all months: {each}{said}; types in the shares in which they come empty",
        )


def _curves(report: OutlookReport) -> Iterator[Meant]:
    """Which curves, of how many ends, for which casks, and what makes the ranges as wide as they are."""
    found, curves = report.outlook, report.outlook.curves
    watched = found.watched
    yield Meant(
        "curves",
        f"of {report.whole} casks, of the {watched.months} months up to {month_name(watched.last)} ({WINDOW} at most); share that ends in each month of those"
        f" watched in it (product limit with delayed entry and censoring, Kaplan and Meier 1958), in steps of {IN_A_STEP} ends or more, a month of age with so many by itself. A kind of"
        f" cask has its own from {LEAST_ENDS} ends on, else that of its spirit, else that of all. Common practice, no source; no settings of the house",
    )
    for name, (ends, kinds) in found.used.items():
        instead = [f"{kind.spirit} in {kind.type}" for kind in kinds if f"{kind.spirit} in {kind.type}" != name]
        yield Meant(f"tips, {name}", f"{ends} ends" + (f", for {', '.join(instead)}" if instead else ""))
    yield Meant(
        "other curves",
        f"fillings {curves.fill.everything.curve.ends} ends, retired {curves.retire.everything.curve.ends}, leaks {curves.leaks} in"
        f" {number_of(round(curves.full_months), 'month')} in which a cask lay full, each counted whole, closed {curves.dry.ends}",
    )
    yield Meant(
        "spread",
        "each drawn course has its own level, as unlike what the curves expected as whole years were, wider by the few ends a curve is of; each month its"
        " own mean, as months scatter within a year, for casks come empty in batches; about it chance (gamma and Poisson). Half of the"
        " difference of the last 24 months goes on. Months of the year are told apart as far as they differ by more than chance"
        + ("; the scatter is that of all casks, for those asked about are told by what they are today" if report.scatter_of_all else ""),
    )
    yield Meant(
        "coming in",
        "casks asked about by where they lie or what they hold: none"
        if report.scatter_of_all
        else f"as many a month, of the same types, as in the {RECENT} months before",
    )


def _left_out(report: OutlookReport) -> Iterator[Meant]:
    """How many of how many are in no count, and which counts have no range."""
    found, book = report.outlook, report.outlook.book
    full = sum(one.many for one in book.full)
    unknown = sum(one.many for one in book.full if one.wood.since is None and not one.wood.wine and report.limits.get(one.kind.type) is not None)
    yield Meant(
        "left out",
        f"of {full} full casks {unknown} have fills since char that nobody knows, and are in the tips but in no re-chars ({found.unknown:.0%} of the tips); {found.not_charred:.0%}"
        f" of the tips are of types that the house does not char, or held wine. {book.unread} turns have a day that cannot be read",
    )
    for name, few in report.without.items():
        yield Meant(name, few)
    yield Meant("not in it", "what a house plans or buys; a fill that is sold full ends nothing here; what nobody entered")
