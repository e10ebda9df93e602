"""The sheet of a day in words: what stands on each of its pages, and the same as text with room to write."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from rich.cells import cell_len

from caskbook.entry.blank import Cell, cell_lines, rooms_of
from caskbook.render.console import USUAL_WIDTH, cut, pad, safe
from caskbook.render.work_lines import places_of, told, wrapped
from caskbook.words.plural import number_of
from caskbook.work.figures import over_capacity, sum_of
from caskbook.work.job import WHYS, Job
from caskbook.work.morning import Held, Morning
from caskbook.work.route import job_word

PRINTED = USUAL_WIDTH
"""Columns that a sheet of A4 takes upright."""
_NO_ONE = "____________"
_NAMED = 4
_LISTED = 6
_BLOCKED = 3
_SHORT = 150
"""Signs of a reason that go on two lines."""


@dataclass(frozen=True, slots=True)
class About:
    """What is told beside the jobs. `house`: its name; `by`: for whom; `limits`: type of cask → the house's limit of an air test, psi; `cautions`: of each page, lines;
    `command`: that which makes the sheet; `narrowed`: the filters in words."""

    house: str | None
    by: str | None
    limits: Mapping[str, float]
    cautions: Sequence[Sequence[str]]
    command: str
    narrowed: Sequence[str] = ()


class Row(NamedTuple):
    """A job on the page: where, on what, what, how long and why, and the room to write."""

    store: str
    berth: str
    cask: str
    type: str
    job: str
    hours: str
    why: str
    rooms: Sequence[Cell]


class Block(NamedTuple):
    """Lines under a heading, at the foot. `whole`: none of them may be cut."""

    head: str
    lines: Sequence[str]
    whole: bool = False


class Page(NamedTuple):
    """One page. `title`, and `page` where there are several; `by`: for whom; `head`: how much of what is due stands here, and the settings."""

    title: str
    page: str
    by: str
    head: Sequence[str]
    rows: Sequence[Row]
    foot: Sequence[Block]
    source: str


def pages_of(morning: Morning, about: About) -> list[Page]:
    """The pages of a sheet, each fit to go without the others."""
    plan, many = morning.plan, len(morning.pages)
    title = " · ".join([*([about.house] if about.house else []), f"{plan.day:%A} {plan.day}"])
    blocks = [block for block in (_held(morning, about), _left_out(morning, about)) if block.lines]
    source = f"{number_of(plan.casks, 'cask')} of the book as of {plan.day}{''.join(f', {one}' for one in about.narrowed)}: {about.command}"
    found = []
    for n, jobs in enumerate(morning.pages):
        page = f"page {n + 1} of {many}" if many > 1 else ""
        cautions = [Block("take care", about.cautions[n], whole=True)] if about.cautions[n] else []
        head = [*_counts(morning, jobs), *_rest(morning, about), *_limits(jobs, about.limits)]
        found.append(Page(title, page, f"for {about.by or _NO_ONE}", head, [_row(job) for job in jobs], [*cautions, *blocks], source))
    return found


def _row(job: Job) -> Row:
    return Row(
        job.store or "",
        job.berth or "no berth",
        job.cask,
        job.type,
        job_word(job),
        "" if job.hours is None else f"{job.hours:.2g} h",
        _in_short(job.reasons),
        rooms_of(job.job),
    )


def _in_short(reasons: Sequence[str]) -> str:
    """The first reason, and what else goes on two lines; an ellipsis where there is more, which the due list tells."""
    said = list(reasons[:1])
    for reason in reasons[1:]:
        if len("; ".join([*said, reason])) > _SHORT:
            break
        said.append(reason)
    return "; ".join(said) + (" …" if len(said) < len(reasons) else "")


def _counts(morning: Morning, jobs: Sequence[Job]) -> Iterator[str]:
    """How many of the jobs that are due stand here, and the hours."""
    plan, every, here = morning.plan, morning.plan.jobs, sum_of(morning.jobs)
    if not every:
        yield "nothing that the book knows of is due today" if plan.casks else "no cask is asked about"
        return
    whole = sum_of(every)
    day = plan.weeks[0]
    hours = "; the hours of the day are not set (coopers and hours_a_week of house.yaml)"
    if day.capacity is not None and day.hours_each is not None:
        hours = f", of the {day.capacity:g} h of {number_of(day.coopers or 0, 'cooper')}"
    places = places_of(job.hours for job in every)
    yield f"on this sheet: {here.jobs} of {number_of(whole.jobs, 'job')} due, on {here.casks} of {number_of(whole.casks, 'cask')}, {told(here, places)}{hours}"
    if len(morning.pages) > 1:
        page = sum_of(jobs)
        yield f"on this page: {number_of(page.jobs, 'job')} on {number_of(page.casks, 'cask')}, {told(page, places)}"


def _rest(morning: Morning, about: About) -> Iterator[str]:
    """What is due and has no place here, why not, and where it is told."""
    left = morning.left_over
    if left:
        why = [f"{number_of(len(jobs), 'job')} for want of {what}" for jobs, what in ((morning.over_hours, "hours"), (morning.over_page, "lines")) if jobs]
        yield f"not on it: {' and '.join(why)}, first {_some(left)}; all: {about.command} --format csv"
    long = over_capacity(morning.plan)
    if long:
        yield f"longer than the day, which it has to itself: {_some(long)}"


def _some(jobs: Sequence[Job]) -> str:
    named = [f"{job.cask} {job_word(job)}" for job in jobs[:_NAMED]]
    return ", ".join(named) + (f" and {len(jobs) - _NAMED} more" if len(jobs) > _NAMED else "")


def _limits(jobs: Sequence[Job], limits: Mapping[str, float]) -> Iterator[str]:
    """The house's limit of an air test, of each type that is tested here."""
    types = sorted({job.type for job in jobs if job.job == "test"})
    if types:
        alike = len({limits[kind] for kind in types}) == 1
        said = f"{limits[types[0]]:g} psi" if alike else ", ".join(f"{kind} {limits[kind]:g} psi" for kind in types)
        yield f"the house's limit of an air test: {said}"


def _held(morning: Morning, about: About) -> Block:
    """Casks on which nothing is done but to decide."""
    held = morning.held
    lines = [_of_held(one) for one in held[:_LISTED]]
    more = [f"and {len(held) - _LISTED} more: {about.command} --format csv"] if len(held) > _LISTED else []
    return Block(f"held, not to be filled: {number_of(len(held), 'cask')}", [*lines, *more])


def _of_held(one: Held) -> str:
    where = " ".join(part for part in (one.store, one.berth) if part) or "no berth"
    return f"{one.cask} {one.type}, {where}: {one.why}"


def _left_out(morning: Morning, about: About) -> Block:
    """What is due and not planned, with the reason, what follows from the work, and what nobody can tell."""
    plan, lines = morning.plan, list[str]()
    for why in WHYS:
        of_cask: dict[tuple[str, str], list[str]] = {}
        for job in (one.job for one in plan.left_out if one.why == why):
            of_cask.setdefault((job.cask, _in_short(job.reasons)), []).append(job_word(job))
        lines += [f"{why}: {cask} {', '.join(words)} ({told_why})" for (cask, told_why), words in list(of_cask.items())[:_BLOCKED]]
        more = [word for words in list(of_cask.values())[_BLOCKED:] for word in words]
        lines += [f"{why}: {number_of(len(more), 'job')} more: {about.command} --format csv"] if more else []
    if morning.to_follow:
        lines.append(f"{number_of(len(morning.to_follow), 'test')} will follow from the work on this sheet: {_some(morning.to_follow)}")
    if plan.unknown:
        lines.append(
            f"{number_of(plan.unknown, 'verdict')} cannot be told, and nothing stands here for {'it' if plan.unknown == 1 else 'them'}: caskbook due --unknown"
        )
    return Block("not for today", lines)


def morning_text(pages: Sequence[Page], width: int | None) -> str:
    """The pages as text, at most 80 columns wide, a form feed between them."""
    wide = min(width or PRINTED, PRINTED)
    return "\n\f".join("\n".join(_page_lines(page, wide)) for page in pages)


def _page_lines(page: Page, wide: int) -> Iterator[str]:
    """The lines of a page: its head, each job under its store, and the blocks of the foot."""
    yield from _beside(page.title, page.by, wide)
    for line in [*([page.page] if page.page else []), *page.head]:
        yield from wrapped(line, wide)
    yield from _job_lines(page.rows, wide)
    for block in page.foot:
        yield from ("", *wrapped(block.head, wide), "-" * wide)
        yield from (part for line in block.lines for part in wrapped(line, wide))
    yield from ("", *wrapped(page.source, wide))


def _job_lines(rows: Sequence[Row], wide: int) -> Iterator[str]:
    """Each job with its tick box, where and on what; below it why, and the room to write."""
    places = [[safe(text) for text in (row.berth, row.cask, row.type)] for row in rows]
    sizes = [max(map(cell_len, column)) for column in zip(*places, strict=True)]
    store = None
    for row, place in zip(rows, places, strict=True):
        if row.store != store:
            store = row.store
            yield from ("", cut(safe(store or "no store"), wide), "-" * wide)
        told_place = "  ".join(pad(text, size) for text, size in zip(place, sizes, strict=True))
        yield from wrapped(f"[ ] {told_place}  {row.job}  {row.hours}".rstrip(), wide)
        yield from (f"    {line}" for line in wrapped(row.why, wide - 4))
        yield from cell_lines(row.rooms, wide)


def _beside(left: str, right: str, wide: int) -> list[str]:
    gap = wide - cell_len(safe(left)) - cell_len(safe(right))
    return [f"{safe(left)}{' ' * gap}{safe(right)}"] if gap > 1 else [*wrapped(left, wide), *wrapped(right, wide)]
