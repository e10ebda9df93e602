"""What was done on some days, as it is told: the tables with the days, the filters and what stands apart, and what each figure means."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from caskbook.stats.days import By, Late, Table


@dataclass(frozen=True, slots=True)
class Apart:
    """Entries of the days that are in no figure. `out_of_force`: the job that put them out (`void`, `moved`, else `replaced`) → how many;
    `putting_right`: entries that only put others out of force, by job; `no_job`: of no known job; `no_day`: whose day cannot be read, of
    all days there are; `in_part`: casks told in part."""

    out_of_force: Mapping[str, int]
    putting_right: Mapping[str, int]
    no_job: int
    no_day: int
    in_part: int

    @property
    def out(self) -> int:
        """All that are out of force."""
        return sum(self.out_of_force.values())


@dataclass(frozen=True, slots=True)
class DaysReport:
    """What is told. `filters`: option without its dashes → words, any of which fits; `only`: the same in words; `late_days`: from how
    many days on an entry is late; `until`: the day up to which the book is told; `explain`: whether each figure is explained."""

    first: date
    last: date
    until: date
    tables: tuple[Table, ...]
    late: Late
    late_days: int
    apart: Apart
    filters: Mapping[str, Sequence[str]]
    only: tuple[str, ...]
    explain: bool = False

    @property
    def days(self) -> int:
        """How many days they are, the first and the last among them."""
        return (self.last - self.first).days + 1


class Explained(NamedTuple):
    """A figure: what it counts, and of how many."""

    figure: str
    counts: str
    of: str = ""


def explained(report: DaysReport) -> Iterator[Explained]:
    """What each figure means, in the order in which they stand; the filters hold for all of them."""
    whole, apart = report.tables[0].whole, report.apart
    written = whole.entries + apart.out + sum(apart.putting_right.values()) + apart.no_job
    yield Explained(
        "entries",
        "entries of these days that stand: one for each cask and job; both sides of a racking count, each on its own cask; notes, moves and"
        " decisions too. What was voided, moved to another cask or replaced, and what only puts that out of force, is in no figure",
        f"{whole.entries} of {written} written for these days",
    )
    yield Explained("casks", "casks that have such an entry, once in each row, so that rows do not add up; a joined number counts under the one that goes on")
    yield Explained(
        "passed, failed",
        "tests by their result; one cured in one go is a pass",
        f"{whole.passed} + {whole.failed} tests, {whole.no_result} without a result that can be read",
    )
    yield Explained(
        "litres in, out",
        "liquor as measured, not brought to 20 °C: in by fill, season, rack-in and top, out by empty, draw and rack-out (what the receivers got);"
        " what is racked stands in both; samples, and what a cask came in with, in neither",
        f"{whole.no_litres} entries with liquor that do not say how much",
    )
    yield Explained(
        "late",
        f"entered {report.late_days} days or more after their day, by the minute in the id: as `review` tells it",
        f"of {whole.entries - report.late.not_told} of {whole.entries} it can be told; ids of sheets, registers, replacements and of what was put between others have no minute",
    )
    for table in report.tables:
        yield Explained(table.by, _COUNTS[table.by])


_COUNTS: Mapping[By, str] = {
    "job": "the job as it is stored",
    "store": "where the cask lay as it was done, by the settings of the day asked about: where a job puts it somewhere, there; where it takes it away, from where",
    "person": "who signed, with the name that crew of house.yaml has for these initials on that day; shops are theirs",
    "day": "the day the job was done; days without an entry are left out",
    "month": "the month of that day, as far as it is among the days; months without an entry are left out",
    "type": "the type of the cask, as its head has it now; `?` where that cannot be read",
}
