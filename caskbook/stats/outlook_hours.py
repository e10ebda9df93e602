"""The hours that an outlook wants: its counts times the hours of a job that the house says."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from caskbook.stats.outlook import Outlook
from caskbook.stats.outlook_counts import AT_LIMIT, EXAMINED, FILLS, TESTED, TIPS
from caskbook.stats.spread import Band, band_of

JOBS_OF: Mapping[str, tuple[str, ...]] = {TIPS: ("empty",), AT_LIMIT: ("shave", "char"), EXAMINED: ("examine",), TESTED: ("test",), FILLS: ("fill",)}
"""Which jobs a count makes; one at the limit is shaved and charred, as the rule `rechar` calls for it."""
_TENTHS = 10


@dataclass(frozen=True)
class HoursWanted:
    """`each`: job → hours on one cask, of several types in the shares in which they come empty; None where the house does not say them for any;
    `drawn`: courses, tenths of hours for each period."""

    each: Mapping[str, float | None]
    drawn: Sequence[Sequence[int]]

    @property
    def known(self) -> bool:
        """Whether the hours of any of these jobs are said."""
        return any(hours is not None for hours in self.each.values()) and bool(self.drawn)

    def total(self, periods: Sequence[int], percent: int) -> Band | None:
        """The band of several periods together, in hours."""
        if not self.known:
            return None
        band = band_of([sum(course[at] for at in periods) for course in self.drawn], percent)
        return Band(band.middle / _TENTHS, band.low // _TENTHS, -(-band.high // _TENTHS))


def hours_wanted(outlook: Outlook, job_hours: Callable[[str, str], float | None]) -> HoursWanted:
    """The hours of an outlook. `job_hours`: (job, type of cask) → hours that the house says."""
    each = {job: _each(outlook, job, job_hours) for jobs in JOBS_OF.values() for job in jobs}
    counted = [(outlook.series[name], sum(each[job] or 0.0 for job in jobs)) for name, jobs in JOBS_OF.items() if not outlook.series[name].few]
    counted = [(series, hours) for series, hours in counted if hours]
    drawn = [
        [round(_TENTHS * sum(series.drawn[n][at] * hours for series, hours in counted)) for at in range(len(outlook.periods))]
        for n in range(outlook.terms.many if counted else 0)
    ]
    return HoursWanted(each, drawn)


def _each(outlook: Outlook, job: str, job_hours: Callable[[str, str], float | None]) -> float | None:
    said = [(share, hours) for kind, share in outlook.by_type.items() if share > 0 and (hours := job_hours(job, kind)) is not None]
    return sum(share * hours for share, hours in said) / sum(share for share, _ in said) if said else None
