"""The plan of work as one screen: does it fit, the kinds by week, what does not fit, the wood, the hours and the way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from rich.cells import cell_len

from caskbook.render.console import USUAL_WIDTH, cut, flow, pad
from caskbook.render.work_lines import grid, grid_width, hours_lines, places_of, told, wrapped
from caskbook.words.plural import number_of
from caskbook.work.figures import KindRow, Sum, jobs_by_word, kind_rows, over_capacity, sum_of
from caskbook.work.job import WHYS, Job
from caskbook.work.plan import WorkPlan
from caskbook.work.route import Stop, route
from caskbook.work.weeks import WORKING_DAYS, Week

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_NONE = "·"
_WEEKS_ACROSS = 5
"""More weeks than these stand one below the other."""
_SHORT = {"from the tip": "tip"}
_STOPS = 8
_NAMED = 4
_MOST_LINES = 9


def plan_text(plan: WorkPlan, narrowed: Sequence[str] = (), *, width: int | None, week: int, whole_route: bool) -> str:
    """The screen, at most 80 cells wide in a pipe too. `week`: of which the way is shown; `whole_route`: all of it; `narrowed`: the filters in words."""
    wide = width or USUAL_WIDTH
    lines = [*_head(plan, narrowed, wide)]
    if plan.jobs:
        lines += ["", *_table(plan, wide), "", *_not_fitting(plan, wide)]
    lines += _left_out(plan, wide)
    if plan.jobs:
        lines += [
            *_wood(plan, wide),
            *hours_lines(plan.sources, (job.job for job in (*plan.jobs, *plan.to_follow) if job.hours is None), wide),
            "",
            *_way(plan, wide, week, whole=whole_route),
        ]
    return "\n".join(lines)


def _head(plan: WorkPlan, narrowed: Sequence[str], wide: int) -> Iterator[str]:
    """From when to when, of which casks, the tips, the sum of it, and whether it fits."""
    weeks, first = plan.weeks, plan.weeks[0]
    yield from flow(
        [f"plan from {first.first} to {weeks[-1].last}", f"{number_of(len(weeks), 'week')}, {_days(first)}", f"as of {plan.day}", f"{number_of(plan.casks, 'cask')}", *narrowed],
        wide,
        most_lines=_MOST_LINES,
    )  # fmt: skip
    days = sorted(set(plan.tipped.values()))
    if days:
        on = str(days[0]) if len(days) == 1 else f"{days[0]} to {days[-1]}"
        yield f"tipped on {on}, planned only: {number_of(len(plan.tipped), 'cask')}"
    if plan.refused:
        casks = [cask for cask, _ in plan.refused]
        some = ", ".join(casks[:_NAMED]) + f" and {len(casks) - _NAMED} more" * (len(casks) > _NAMED)
        yield from wrapped(f"cannot be tipped as planned: {number_of(len(casks), 'cask')}, {some} (each with its reason: --format csv)", wide)
    if not plan.jobs:
        yield f"nothing is due in {'this week' if len(weeks) == 1 else f'these {len(weeks)} weeks'}"
        return
    whole = sum_of(plan.jobs)
    yield from flow(
        [
            f"{number_of(whole.jobs, 'job')} on {number_of(whole.casks, 'cask')}: {told(whole, _places(plan))}",
            _capacity(plan),
            _fits(plan, narrowed=bool(narrowed)),
        ],
        wide,
    )


def _days(first: Week) -> str:
    return "Monday to Sunday" if not first.begun else f"the first from {_WEEKDAYS[first.first.weekday()]}"


def _places(plan: WorkPlan) -> int:
    return places_of(job.hours for job in plan.jobs)


def _capacity(plan: WorkPlan) -> str:
    """The hours of a week, or how they are said."""
    known = {(week.coopers, week.hours_each) for week in plan.weeks}
    coopers, hours = plan.weeks[0].coopers, plan.weeks[0].hours_each
    if plan.weeks[0].capacity is None:
        lacking = [name for name, value in (("coopers", coopers), ("hours_a_week", hours)) if value is None]
        return (
            f"capacity is not set: write {' and '.join(lacking)} into house.yaml, or add {' '.join('--' + name.replace('_', '-') + ' N' for name in lacking)}"
        )
    return (
        f"{number_of(coopers or 0, 'cooper')} × {hours:g} h = {(coopers or 0) * (hours or 0):g} h a week"
        + (" at first" if len(known) > 1 else "")
        + _left_of(plan.weeks[0])
    )


def _left_of(first: Week) -> str:
    """What the first week still has of its hours, where it has begun."""
    return f", {first.working_days} of {WORKING_DAYS} days of the first left: {first.capacity:g} h" if first.begun else ""


def _fits(plan: WorkPlan, *, narrowed: bool) -> str:
    """Whether the hours of the house are enough; beside filters the work of other casks, which takes of them too, is not in the plan."""
    whole, left = sum_of(plan.jobs), sum_of(plan.not_fitting)
    unknown = whole.unknown
    if all(week.capacity is None for week in plan.weeks):
        return "whether it fits cannot be told"
    if unknown == whole.jobs:
        return "whether it fits cannot be told: no job has hours"
    sure = f", the {number_of(unknown, 'job')} without hours aside" if unknown else ""
    alone = ", if no other cask's work were done" if narrowed else ""
    return f"it fits{alone}{sure}" if not left.jobs else f"IT DOES NOT FIT: {told(left, _places(plan))} too much"


def _table(plan: WorkPlan, wide: int) -> list[str]:
    """Kinds down and weeks across; the other way round where the weeks are many or wide, then with as few decimals as it takes."""
    exact, down = _places(plan), len(plan.weeks) > _WEEKS_ACROSS
    ways = [
        *([] if down else [_cells(plan, exact)]),
        *(_turned(_cells(plan, places), "from" if plan.weeks[0].begun else "from Mon") for places in range(exact, -1, -1)),
    ]
    return grid(next((rows for rows in ways if grid_width(rows, " ") <= wide), ways[-1]), wide)


def _cells(plan: WorkPlan, places: int) -> list[list[str]]:
    capacity = any(week.capacity is not None for week in plan.weeks)
    rows = [["", "casks", "jobs", "hours", *(_day(week.first) for week in plan.weeks), *(["too much"] if capacity else [])]]
    rows += [_row(row, places, capacity=capacity) for row in kind_rows(plan)]
    if capacity:
        rows.append(["capacity", "", "", "", *(f"{week.capacity:.{places}f}" if week.capacity is not None else "?" for week in plan.weeks), ""])
    return rows


def _turned(rows: Sequence[Sequence[str]], first: str) -> list[list[str]]:
    """Rows as columns, under short heads; `first`: that of the weeks."""
    turned = [list(column) for column in zip(*rows, strict=True)]
    return [[first, *(_SHORT.get(head, head) for head in turned[0][1:])], *turned[1:]]


def _row(row: KindRow, places: int, *, capacity: bool) -> list[str]:
    whole = row.whole
    cells = [row.kind or "all", str(whole.casks), str(whole.jobs), _cell(whole, places), *(_cell(one, places) for one in row.weeks)]
    return [*cells, *([_cell(row.not_fitting, places)] if capacity else [])]


def _cell(found: Sum, places: int) -> str:
    """Hours, and behind them, with a j, how many jobs there are without."""
    if not found.jobs:
        return _NONE
    if not found.unknown:
        return f"{found.hours:.{places}f}"
    return f"{found.unknown}j" if found.unknown == found.jobs else f"{found.hours:.{places}f}+{found.unknown}j"


def _day(day: date) -> str:
    return f"{day.day} {_MONTHS[day.month - 1]}"


def _not_fitting(plan: WorkPlan, wide: int) -> Iterator[str]:
    """Which kinds have no room, their first casks, and jobs longer than a week."""
    left = plan.not_fitting
    if left:
        rows = [row for row in kind_rows(plan) if row.kind and row.not_fitting.jobs]
        kinds = [f"{row.kind} {number_of(row.not_fitting.jobs, 'job')}, {told(row.not_fitting, _places(plan))}" for row in rows]
        yield from wrapped(f"too much: {'; '.join(kinds)}; first {_some(left)} (all of them: --format csv)", wide)
    long = over_capacity(plan)
    if long:
        yield from wrapped(f"longer than its week, which it has to itself: {_some(long)}", wide)


def _some(jobs: Sequence[Job]) -> str:
    """ "TH-004217 test, TH-004218 char and 12 more"."""
    named = [f"{job.cask} {job.job}" for job in jobs[:_NAMED]]
    return ", ".join(named) + (f" and {len(jobs) - _NAMED} more" if len(jobs) > _NAMED else "")


def _left_out(plan: WorkPlan, wide: int) -> Iterator[str]:
    """What is not planned, and why."""
    for why in WHYS:
        jobs = [one.job for one in plan.left_out if one.why == why]
        if jobs:
            many, casks = number_of(len(jobs), "job"), number_of(len({job.cask for job in jobs}), "cask")
            be = "is" if len(jobs) == 1 else "are"
            words = {
                "retirement proposed": f"{many} of {casks} proposed for retirement {be} left out",
                "blocked": f"{many} of {casks} {be} blocked and left out: caskbook due says by what",
                "falls away with the tip": f"{many} of {casks} {'falls' if len(jobs) == 1 else 'fall'} away with the tip",
            }[why]
            yield from wrapped(f"{words} ({', '.join(f'{word} {count}' for word, count in jobs_by_word(jobs).items())})", wide)
    if plan.to_follow:
        found = sum_of(plan.to_follow)
        yield from wrapped(
            f"{number_of(found.jobs, 'test')} will follow from this work, {told(found, _places(plan))}, and {'is' if found.jobs == 1 else 'are'} not in the plan",
            wide,
        )
    if plan.unknown:
        yield from wrapped(
            f"{number_of(plan.unknown, 'verdict')} cannot be told, and nothing is planned for {'it' if plan.unknown == 1 else 'them'}: caskbook due --unknown",
            wide,
        )


def _wood(plan: WorkPlan, wide: int) -> Iterator[str]:
    wanted = [f"{kind} {', '.join(number_of(count, part) for part, count in sorted(parts.items()))}" for kind, parts in plan.wood.items()]
    yield from wrapped(f"wood wanted: {'; '.join(wanted) or 'none for what is planned'}", wide)
    if plan.open_on_tipped:
        yield from wrapped(f"{number_of(plan.open_on_tipped, 'finding')} open on the casks tipped: the wood is counted once they are examined", wide)


def _way(plan: WorkPlan, wide: int, number: int, *, whole: bool) -> Iterator[str]:
    """The casks of a week as one walks along them."""
    week, stops = plan.weeks[number - 1], route(plan.of_week(number), plan.stores)
    yield from wrapped(f"the way in week {number}, {week.first} to {week.last}: {number_of(len(stops), 'cask')}", wide)
    shown = stops if whole else stops[:_STOPS]
    yield from _stops(shown, wide)
    if len(stops) > len(shown):
        yield f"… {len(stops) - len(shown)} more: --route" + (f" --week {number}" if number > 1 else "")


def _stops(stops: Sequence[Stop], wide: int) -> Iterator[str]:
    """A line each: the store where it is another, berth, cask, type and jobs."""
    sizes = [
        min(max((cell_len(text) for text in texts), default=0), most)
        for texts, most in (
            ([stop.store or "" for stop in stops], 16), ([stop.berth or "" for stop in stops], 14), ([stop.cask for stop in stops], 24), ([stop.type for stop in stops], 12),
        )
    ]  # fmt: skip
    before: str | None = ""
    for stop in stops:
        store = stop.store or "" if stop.store != before else ""
        before = stop.store
        cells = [pad(text, size) for text, size in zip((store, stop.berth or "", stop.cask, stop.type), sizes, strict=True) if size]
        yield cut("  ".join([*cells, "+".join(stop.jobs)]), wide)
