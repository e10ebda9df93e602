"""A place that one entry names twice: a stave, a hoop or a joint is dealt with once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any

from caskbook.checks.context import View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.model.jobs import JOBS, Event
from caskbook.model.places import place_word
from caskbook.words.job_table import jobs_with

_LISTS = ("staves", "hoops", "at")


def named_twice(view: View) -> Iterable[Fault]:
    """place-named-twice: one entry names a place twice.

    Why: it counts once; the other name is most likely a slip for another place, of which the book then knows nothing.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: flag, by: ab, at: [joint-4, joint-4]}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: flag, by: ab, at: [joint-4, joint-5]}
    """
    for job in view.by_job:
        for event, row in view.of(job) if _lists_of(job) else ():
            for field, n, place in _twice(event) if not event.lost else ():
                message = f"{place} is named twice in one entry: it counts once"
                yield fault(row, "place-named-twice", message, "correct the one that is misread, or take it out", field, n, of=event)


def _twice(event: Event) -> Iterator[tuple[str, int, str]]:
    """(field, its place in the list, what is there already)."""
    for field, values in _named(event):
        seen: set[str] = set()
        for n, value in enumerate(values):
            if value in seen:
                yield field, n, value
            seen.add(value)


def _named(event: Event) -> Iterator[tuple[str, list[str]]]:
    for field in _lists_of(event.job):
        values: Any = getattr(event, field)
        if isinstance(values, list):
            yield field, [place_word(value, stave=field == "staves") for value in values]


@cache
def _lists_of(job: str) -> tuple[str, ...]:
    """The fields of a job by which it replaces or mends several places."""
    return tuple(name for name in _LISTS if name in JOBS[job].model_fields)


RULES = (Rule(named_twice, {"place-named-twice": "warning"}, on=jobs_with("place-lists")),)
