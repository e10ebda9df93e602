"""What can be decided about a cask proposed for retirement, side by side: what each asks for, what there is then, and the commands by which it is entered."""

from __future__ import annotations

from dataclasses import dataclass

from caskbook.model.jobs import JOBS
from caskbook.words.plural import number_of
from caskbook.work.figures import Sum
from caskbook.work.retirement import Retirement

_SIGNED = "--approved-by NAME"
_MOST_STEPS = 4


@dataclass(frozen=True, slots=True)
class Option:
    """One thing that can be done. `takes`: what it asks for; `leaves`: what there is then; `commands`: how it is entered, in order, what is written in capitals being filled in."""

    name: str
    takes: str
    leaves: str
    commands: tuple[str, ...]


def options_of(found: Retirement) -> list[Option]:
    """The options that are open: of one retired already only what may follow; none of one that is gone, away or missing."""
    if found.over not in (None, "retired"):
        return []
    after = [_donor(found), _broken(found), _sold(found)]
    return after if found.over else [_retire(found), _keep(found), _repair(found), _lesser(found), *after]


def first_command(found: Retirement) -> str | None:
    """What has to be entered before all but keeping and selling: the emptying of a filled cask."""
    return f"caskbook enter empty {found.facts.cask} --litres L --abv A --temp C" if found.tip and found.over is None else None


def work_sum(found: Retirement) -> Sum:
    """The jobs of the way in figures."""
    return Sum(1, len(found.hours), sum(one or 0 for one in found.hours), sum(one is None for one in found.hours))


def dangers(found: Retirement) -> list[str]:
    """The kinds of cautions of all that may be done: of the jobs of the way, and of breaking it up, each once, in order."""
    steps = [job for step in (found.way.steps if found.way is not None else ()) for job in step.jobs]
    jobs = [*(["empty"] if found.tip else []), *steps, *(["break-up"] if found.over in (None, "retired") else [])]
    return list(dict.fromkeys(kind for job in jobs if (kind := JOBS[job].caution)))


def _retire(found: Retirement) -> Option:
    return Option("retire", "a reason and a signature", "out of use, still here", (_retired(found),))


def _retired(found: Retirement) -> str:
    return f'caskbook enter retire {found.facts.cask} --reasons "WHY" {_SIGNED}'


def _ends(found: Retirement, line: str) -> tuple[str, ...]:
    """The command by which it ends; before it the retirement, without which it is refused, where that is not entered yet."""
    return (line,) if found.over else (_retired(found), line)


def _keep(found: Retirement) -> Option:
    line = f'caskbook enter decide {found.facts.cask} --rule retire --outcome keep --until DATE --why "WHY" {_SIGNED}'
    return Option("keep", "a reason, a day and a signature", "in use, asked again then", (line,))


def _repair(found: Retirement) -> Option:
    """The way to ready; that none is known, where there is none."""
    way = found.way
    if way is None or way.why is not None:
        return Option("repair", f"no way known to ready: {(way.why if way is not None else None) or 'it cannot be asked'}", "·", ())
    if not way.steps:
        return Option("repair", "no job: but for its signs it is ready", "ready", ())
    wood = ", ".join(number_of(count, part) for part, count in found.parts.items())
    jobs = f"{number_of(len(way.steps), 'job')}: {', '.join(step.word for step in way.steps)}" + (f"; wood for {wood}" if wood else "")
    return Option("repair", jobs, "ready, if no more is found", tuple(f"caskbook enter {step.word} {found.facts.cask}" for step in way.steps[:_MOST_STEPS]))


def _lesser(found: Retirement) -> Option:
    """Used on as it is, or put to wine."""
    cask = found.facts.cask
    used = f'caskbook enter decide {cask} --rule rechar --outcome keep --until DATE --why "lesser use: WHAT" {_SIGNED}'
    return Option(
        "lesser use",
        "a decision on its char, or wine",
        "filled as it is, or seasoned",
        (used, f"caskbook enter season {cask} --wine WINE --litres L"),
    )


def _donor(found: Retirement) -> Option:
    cask = found.facts.cask
    tainted = "; tainted" if found.life.state.taint_of_wood else ""
    ends = _ends(found, f"caskbook enter break-up {cask} --staves-saved N --heads-saved N")
    return Option("donor", f"{_first(found)}knocking down", _wood(found) + tainted, ends)


def _wood(found: Retirement) -> str:
    """ "31 staves, 29 first ones"."""
    share = (found.facts.original_stave_share or "").partition("/")
    if found.facts.staves is None:
        return "staves that nobody counted"
    if share[2] != str(found.facts.staves):
        return f"{found.facts.staves} staves, first ones unknown"
    return f"{found.facts.staves} staves, {'all' if share[0] == share[2] else share[0]} first ones"


def _broken(found: Retirement) -> Option:
    line = f"caskbook enter break-up {found.facts.cask} --staves-saved 0"
    return Option("break up", f"{_first(found)}knocking down", "nothing saved", _ends(found, line))


def _sold(found: Retirement) -> Option:
    return Option("sell", "a buyer", "gone from the book", (f'caskbook enter dispose {found.facts.cask} --how sold --to "WHOM"',))


def _first(found: Retirement) -> str:
    return "" if found.over == "retired" else "retiring, "
