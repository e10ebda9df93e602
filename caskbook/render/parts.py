"""The report of parts as text: what was replaced in how many years, what leaked again where it was put right, donors both ways."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from caskbook.life.mends import HEAD, HOOP, MADE_FROM, STAVE
from caskbook.render.console import USUAL_WIDTH, flow
from caskbook.render.report_parts import casks_line, fitting, hanging, legend, meant_lines, percent, range_of, rate_range
from caskbook.stats.donors import Gift, Giver, left_of
from caskbook.stats.parts import SMALL_YEARS, Line
from caskbook.stats.parts_report import PartsReport, meant
from caskbook.stats.same_place import SMALL, Again, Kind
from caskbook.words.plural import number_of

_MOST_AGAIN, _MOST_DONORS, _MOST_TAKERS = 5, 5, 4
_LIST_ALL = 10_000


def parts_text(report: PartsReport, *, width: int | None) -> str:
    """A header with the day and the filter, then the view that was asked for. 80 columns in a pipe too."""
    wide, parts = width or USUAL_WIDTH, report.parts
    what = {"all": f"by {parts.by}", "again": "places that leaked again", "donors": "donors both ways"}[report.view]
    lines = flow([f"parts replaced {report.head.period.words()}, {what}", *report.head.only], wide, most_lines=9)
    told = f"{parts.casks} watched for {parts.years:,.1f} cask-years{' in that time' if report.head.asked else ''}"
    lines += casks_line(report.head, [told, *[f"{_others(report)} not"] * bool(_others(report))], wide)
    if report.head.casks:
        lines += {"all": _first_screen, "again": _all_again, "donors": _all_donors}[report.view](report, wide)
    if report.head.explain:
        lines += ["", *meant_lines(meant(report), wide)]
    return "\n".join(lines)


def _others(report: PartsReport) -> int:
    """Casks that were not watched in the period."""
    return report.head.casks - report.head.in_part - report.parts.casks


def _first_screen(report: PartsReport, wide: int) -> list[str]:
    """What was replaced, what leaked again, and donors in sentences."""
    parts, same = report.parts, report.same
    lines = ["", *fitting(*_replaced(parts.lines), wide), *_legend(report, wide)]
    if same.kinds:
        lines += ["", *_answer_again(report, wide), *fitting(*_kinds([*same.kinds, same.whole]), wide)]
        lines += legend([f"few: fewer than {SMALL} followed"] * any(one.small for one in same.kinds), wide)
        lines += [line for one in same.list[:_MOST_AGAIN] for line in hanging(f"  {_again(one)}", wide)]
        lines += [f"  {len(same.list) - _MOST_AGAIN} more: --again"] * (len(same.list) > _MOST_AGAIN)
    else:
        lines += ["", "no place was put right: none leaked again"]
    return [*lines, "", *_donors(report, wide)]


def _replaced(lines: Sequence[Line]) -> tuple[list[str], list[list[str]]]:
    """A line for each part or position."""
    columns = ["part", ">replaced", ">years", ">per 1,000", ">95 %", ">new", ">given", ">else", ""]
    rows = [
        [one.name, str(one.replaced), f"{one.years:.0f}" if one.years >= 10 else f"{one.years:.1f}", "-" if one.rate is None else f"{one.rate:.2f}",
         range_of(one.interval, 1.0, 2) if one.interval and one.interval.upper < 100 else rate_range(one.interval), str(one.new), str(one.given), str(one.other),
         "few" if one.small else ""]
        for one in lines
    ]  # fmt: skip
    return columns, rows


def _legend(report: PartsReport, wide: int) -> list[str]:
    parts = report.parts
    said = ["years: of one such part"] + [f"few: fewer than {SMALL_YEARS} years"] * any(one.small for one in parts.lines)
    said += [f"staves not counted in {number_of(parts.no_staves, 'cask')}"] * bool(parts.no_staves)
    said += [f"hoops not counted in {number_of(parts.no_hoops, 'cask')}"] * bool(parts.no_hoops)
    said += [f"left out, {why}: {count}" for why, count in parts.left_out.items()]
    return legend([*said, *["--by position"] * (parts.by == "part")], wide)


def _answer_again(report: PartsReport, wide: int) -> list[str]:
    same = report.same
    when = f", seen up to {report.head.day}" if report.head.asked else ""
    whole, share = same.whole, f"{percent(same.whole.share)} (95 % {range_of(same.whole.interval)})"
    told = [
        f"{whole.again} of {whole.followed} places put right leaked again within {same.within} days{when}: {share}"
        if whole.followed
        else "no place was followed so long"
    ]
    early = [f"{same.early} of these leaked again already: named below, in no share"] * bool(same.early)
    return flow([*told, f"{whole.open} not followed so long", *early], wide, most_lines=4)


def _kinds(kinds: Sequence[Kind]) -> tuple[list[str], list[list[str]]]:
    columns = ["place", ">put right", ">followed", ">again", ">share", ">95 %", ""]
    rows = [
        [one.name, str(one.followed + one.open), str(one.followed), str(one.again), percent(one.share), range_of(one.interval), "few" if one.small else ""]
        for one in kinds
    ]
    return columns, rows


def _again(one: Again) -> str:
    repair = one.repair
    return f"{one.cask}  {repair.at}: {repair.job} {repair.day}, leaked again after {number_of(one.days, 'day')} ({repair.how}){'' if one.followed else ', not followed so long'}"


def _all_again(report: PartsReport, wide: int) -> list[str]:
    """Each place that leaked again."""
    found = report.same.list
    if not found:
        return [f"none within {number_of(report.same.within, 'day')}"]
    return ["", *_answer_again(report, wide), *(line for one in found for line in hanging(f"  {_again(one)}", wide))]


def _donors(report: PartsReport, wide: int) -> list[str]:
    """How many gave to how many, and the largest givers."""
    donors = report.donors
    if not donors.gifts:
        none = [f"donors: none gave parts, {number_of(len(donors.apart), 'cask')} broken up"]
        return flow(none, wide)
    counts = [number_of(donors.count(part), name) for part, name in ((STAVE, "stave"), (HEAD, "head"), (HOOP, "hoop")) if donors.count(part)]
    parents = len({gift.giver for gift in donors.gifts if gift.part == MADE_FROM})
    head = f"donors: {number_of(donors.giving, 'cask')} gave parts to {donors.taking}"
    idle = sum(not one.takers for one in donors.apart)
    told = [f"{', '.join(counts)} in repairs"] * bool(counts) + [f"{number_of(parents, 'cask')} made into others"] * bool(parents)
    lines = flow([head, *told, f"{len(donors.apart)} broken up, {idle} of these gave nothing yet", "--donors"], wide, most_lines=4)
    giving = {gift.giver for gift in donors.gifts}
    largest = sorted((one for one in donors.givers if one.cask in giving), key=lambda one: (-one.takers, one.cask))[:_MOST_DONORS]
    return [*lines, *(line for one in largest for line in hanging(f"  {_giver(one, _of_giver(report, one))}", wide))]


def _of_giver(report: PartsReport, giver: Giver) -> list[Gift]:
    return [gift for gift in report.donors.gifts if gift.giver == giver.cask]


def _giver(giver: Giver, gifts: Sequence[Gift], most: int = _MOST_TAKERS) -> str:
    """What it is, and what it gave to whom."""
    to = ", ".join(_given(gift, gift.taker) for gift in gifts[:most]) + (f" and {len(gifts) - most} more" if len(gifts) > most else "")
    return f"{giver.cask} ({_became(giver)}): {to or ('nothing in that time' if giver.takers else 'nothing yet')}"


def _given(gift: Gift, cask: str) -> str:
    if gift.part == MADE_FROM:
        return f"made into {cask}" if cask == gift.taker else f"made from {cask}"
    return f"{number_of(gift.number or 0, gift.part)} to {cask}" if cask == gift.taker else f"{number_of(gift.number or 0, gift.part)} of {cask}"


def _became(giver: Giver) -> str:
    """What became of it: broken up with so many staves saved and left, or its state."""
    if giver.broken is None:
        return giver.state or "not in the book"
    left, saved = left_of(giver), giver.broken.staves
    told = "staves not counted" if saved is None else f"{number_of(saved, 'stave')} saved, {left} left"
    return f"broken up {giver.broken.day}, {told}"


def _all_donors(report: PartsReport, wide: int) -> list[str]:
    """Each giver with its takers, then each taker with its givers."""
    if not report.donors.givers:
        return ["donors: none"]
    return ["", *_both_ways(report, wide)]


def _both_ways(report: PartsReport, wide: int) -> Iterator[str]:
    """The lines of givers, then those of takers."""
    gifts = report.donors.gifts
    by_giver: dict[str, list[Gift]] = {}
    by_taker: dict[str, list[Gift]] = {}
    for gift in gifts:
        by_giver.setdefault(gift.giver, []).append(gift)
        by_taker.setdefault(gift.taker, []).append(gift)
    yield f"{number_of(len(report.donors.givers), 'cask')} that gave parts or came to be broken up"
    for giver in report.donors.givers:
        yield from _whole(f"  {_giver(giver, by_giver.get(giver.cask, ()), _LIST_ALL)}", wide)
    yield ""
    yield f"{number_of(len(by_taker), 'cask')} with parts of others"
    for taker, own in sorted(by_taker.items()):
        yield from _whole(f"  {taker}: {', '.join(_given(gift, gift.giver) for gift in own)}", wide)


def _whole(text: str, wide: int) -> list[str]:
    first, *more = flow([text], wide - 2, most_lines=_LIST_ALL)
    return [first, *(f"  {line}" for line in more)]
