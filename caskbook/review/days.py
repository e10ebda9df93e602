"""The work of each day: what many casks had done alike in one sentence, the rest cask by cask."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from caskbook.model.cask import Cask
from caskbook.model.head_corrections import change_words
from caskbook.model.house import House
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import event_words, plain
from caskbook.review.model import CaskDay, Day, Group
from caskbook.review.phrases import phrase
from caskbook.words.job_table import jobs_with, row_of

MANY_CASKS = 4
"""From how many casks with the same job on a day they are told in one sentence."""
_MOST_NAMED = 4
_OUT_OF_STOCK = frozenset(jobs_with("out-of-stock"))


@dataclass(frozen=True)
class Done:
    """One event that was added, the cask it was added to, and the files that are joined to that one."""

    cask: Cask
    event: Event
    joined: tuple[Cask, ...] = ()


def days(done: Iterable[Done], house: House) -> tuple[Day, ...]:
    """The events by day, earliest first."""
    by_day: dict[str, list[Done]] = {}
    for one in done:
        by_day.setdefault(one.event.date.isoformat(), []).append(one)
    return tuple(_day(day, found, house) for day, found in sorted(by_day.items()))


def _day(day: str, done: list[Done], house: House) -> Day:
    """One day: what many casks had done of a kind as groups, the rest cask by cask in order of number."""
    together: dict[tuple[str, str], list[Done]] = {}
    for one in done:
        together.setdefault(_kind(one), []).append(one)
    groups: list[Group] = []
    rest: dict[str, list[Done]] = {}
    for (job, _), found in together.items():
        if row_of(job).many and len({one.cask.id for one in found}) >= MANY_CASKS:
            groups.append(_group(job, found))
            continue
        for one in found:
            rest.setdefault(one.cask.id, []).append(one)
    return Day(day, tuple(groups), tuple(_cask_day(found, house) for _, found in sorted(rest.items())))


def _kind(one: Done) -> tuple[str, str]:
    """What is told in one sentence of many casks: a job, and of one by which a number leaves the stock what it says as well."""
    return one.event.job, event_words(one.event) if one.event.job in _OUT_OF_STOCK else ""


def _cask_day(done: Sequence[Done], house: House) -> CaskDay:
    cask = done[0].cask
    ordered = sorted(done, key=lambda one: one.event.id)
    phrases = tuple(phrase(one.event, cask, house, one.joined) for one in ordered)
    return CaskDay(cask.id, cask.head.type or "?", phrases, tuple(one.event.id for one in ordered))


def _group(job: str, done: list[Done]) -> Group:
    casks = tuple(sorted({one.cask.id for one in done}))
    lead = f"{len(casks)} casks {row_of(job).many}"
    names = f" ({named(casks)})" if job in _OUT_OF_STOCK else ""
    return Group(job, casks, lead + (_tests(done) if job == "test" else _corrected(done) if job == "correct" else _alike(done)) + _work(done) + names)


def _work(done: list[Done]) -> str:
    """ ", 90 min of work": the minutes of all, where any has some."""
    minutes = [found for one in done if not one.event.codes and (found := getattr(one.event, "work_minutes", None)) is not None]
    return f", {plain(sum(minutes))} min of work" if minutes else ""


def _corrected(done: list[Done]) -> str:
    """What was put right, old and new, each with its number of casks where they differ."""
    said = Counter(change_words(one.cask.written, one.cask.events, one.event) for one in done)
    return ": " + "; ".join(word if len(said) == 1 else f"{count} {word}" for word, count in said.most_common())


def _tests(done: list[Done]) -> str:
    """ ": 52 tight, 5 leaked and were cured by driving, 1 failed", each cask by how its day ended; who failed is named."""
    by_cask: dict[str, list[Done]] = {}
    for one in sorted(done, key=lambda one: (one.cask.id, one.event.id)):
        by_cask.setdefault(one.cask.id, []).append(one)
    outcomes: dict[str, list[str]] = {}
    for cask, tests in by_cask.items():
        outcomes.setdefault(test_outcome([one.event for one in tests]), []).append(cask)
    found = {word: outcomes.get(word, []) for word in ("tight", "drive", "took-up", "later", "fail")}
    parts = [f"{len(found['tight'])} tight"] if found["tight"] else []
    parts += [f"{len(found['drive'])} leaked and {_were(found['drive'])} cured by driving"] if found["drive"] else []
    parts += [f"{len(found['took-up'])} leaked and took up"] if found["took-up"] else []
    parts += [f"{len(found['later'])} failed first, then passed"] if found["later"] else []
    parts += [f"{len(found['fail'])} failed ({named(found['fail'])})"] if found["fail"] else []
    return ": " + ", ".join(parts)


def test_outcome(tests: Sequence[Any]) -> str:
    """How a day of tests on one cask ended: tight at once, cured (drive, took-up), passed later, or failed."""
    last = tests[-1]
    if last.result == "fail":
        return "fail"
    if last.cured_by:
        return str(last.cured_by)
    return "later" if any(test.result == "fail" for test in tests) else "tight"


def _were(casks: list[str]) -> str:
    return "was" if len(casks) == 1 else "were"


def _alike(done: list[Done]) -> str:
    """What the events say of themselves, where that is little and much the same."""
    said = Counter(event_words(one.event) for one in done)
    if len(said) == 1:
        word = next(iter(said))
        return f": {word}" if word else ""
    if len(said) <= 3 and all(len(word) <= 24 for word in said):
        return ": " + ", ".join(f"{count} {word}" for word, count in said.most_common())
    return ""


def named(casks: Iterable[str]) -> str:
    """Cask numbers in order, neighbours as a range, the first few of many."""
    runs = ranges(casks)
    return ", ".join(runs[:_MOST_NAMED]) + (f" and {len(runs) - _MOST_NAMED} more" if len(runs) > _MOST_NAMED else "")


def ranges(casks: Iterable[str]) -> list[str]:
    """Cask numbers in order, three or more neighbours written as TH-004501..004503."""
    found: list[list[str]] = []
    for cask in sorted(set(casks)):
        if found and _follows(found[-1][-1], cask):
            found[-1].append(cask)
        else:
            found.append([cask])
    texts: list[str] = []
    for run in found:
        texts += run if len(run) < 3 else [f"{run[0]}..{run[-1].rpartition('-')[2]}"]
    return texts


def _follows(one: str, other: str) -> bool:
    (lead, _, number), (lead_two, _, number_two) = one.rpartition("-"), other.rpartition("-")
    return lead == lead_two and len(number) == len(number_two) and int(number) + 1 == int(number_two)
