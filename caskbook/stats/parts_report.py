"""The report of parts as it is told: what was replaced, what leaked again, donors, with the day and the filters, and what each figure means."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from caskbook.stats.donors import Donors
from caskbook.stats.parts import SMALL_YEARS, Parts
from caskbook.stats.report_head import Head, Meant, filter_meant, period_meant
from caskbook.stats.same_place import SMALL, SamePlace

View = Literal["all", "again", "donors"]


@dataclass(frozen=True, slots=True)
class PartsReport:
    """`view`: the whole first screen, each place that leaked again, or each donor."""

    head: Head
    parts: Parts
    same: SamePlace
    donors: Donors
    view: View


def meant(report: PartsReport) -> Iterator[Meant]:
    """What each figure means, of which years, by which limit."""
    parts, same = report.parts, report.same
    yield filter_meant(report.head)
    yield from period_meant(
        report.head,
        "what was replaced in it, over the years that parts were watched in it, from the first to the last day; places that were put right in it, and whether these leaked"
        f" again up to {report.head.day}; parts given and casks broken up in it, and what such a cask has left on {report.head.day}",
    )
    yield Meant(
        "replaced",
        "staves that came out, by their number (14b counts at 14), heads and hoops replaced; pieces of heads are not counted. One entry that names a"
        " place twice replaced it once, and so does one that puts 14 and 14b in the place of 14, of which `list` counts both",
        "; ".join(f"left out, {why}: {count}" for why, count in parts.left_out.items()) or "none left out",
    )
    yield Meant(
        "years",
        "of one such part: from the cask's arrival to its retirement, leaving or knocking down, or to the day of the report; of a missing cask to the day it was missed;"
        " one that was raised again counts from that day with the staves it had then, numbered anew."
        " Of staves and hoops that became more or fewer each number counts from its day, and the first one from the arrival; a hoop that was replaced is of the kind that it"
        " was then. By position, a number that was given stays."
        " `each other stave` has the years of all staves that were not the bored one",
        f"{parts.years:.1f} cask-years of {parts.casks} casks; in {parts.no_staves} nobody counted the staves, in {parts.no_hoops} the hoops",
    )
    yield Meant("bung stave", "the bored stave, which stave 1 is until the bung hole is moved; while it is, its number counts for no other line")
    yield Meant("per 1,000, 95 %", "replaced in 1,000 years of one such part, with the exact limits of a count (Garwood 1936)", "the years of the line")
    yield Meant("few", f"a rate over fewer than {SMALL_YEARS} years, a share of fewer than {SMALL}", "", "none: common practice, no source")
    yield Meant("new, given, else", "of what it was replaced with: new, of another cask, or used hoops and what nobody told")
    yield from _of_places(same)
    yield Meant(
        "donors",
        "casks named as the source of staves, heads or hoops, or as parents of a cask made from their staves; their number is that under which they go on. Of one that"
        " was broken up: staves saved less those given, two where two came for one and one where one came for two. With a filter: what these casks gave or took",
        f"{report.donors.giving} that gave, {report.donors.taking} that took",
    )


def _of_places(same: SamePlace) -> Iterator[Meant]:
    """What is put right, and what leaked again."""
    yield Meant(
        "put right",
        "a place that work names, whose leak it closed, or whose open defect it answered; a leak of a test that was cured by driving counts as put right there",
    )
    yield Meant(
        "leaked again",
        f"the first leak at the place since, or within it (a joint of a stave that was worked on), of a filled cask or in a test, within {same.within} days; it belongs"
        " to the last work there before it. Named by --again are those of repairs too that are not followed so long yet. Interval: Wilson 1927",
        f"{same.whole.followed} repairs whose casks were watched for {same.within} days after; {same.whole.open} are not followed so long, or were put right anew"
        " without a leak",
        f"--within {same.within}",
    )
