"""The shape of a due rule."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from caskbook.due.case import Case
from caskbook.due.verdict import Opinion
from caskbook.model.jobs import Event

Kind = Literal["must", "test", "examine", "re-char", "gauge", "retire", "other"]
"""Of what kind the work is: `must` is what cannot wait."""


def _never(_: Event) -> bool:
    return False


def _nothing_new(_: Case, __: Event, ___: int) -> bool:
    return False


def any_of(*jobs: str) -> Callable[[Event], bool]:
    """Whether an event is one of these jobs."""
    words = frozenset(jobs)
    return lambda event: event.job in words


@dataclass(frozen=True, slots=True)
class Rule:
    """A due rule. `rank` orders rules (1 first); the docstring of `judge` is what `explain` prints.

    `news`: whether an event ends a decision without an `until`. `reopened_by`: whether one that is entered behind a decision is another matter
    than it answered, so that it ends even a dated one (the case, the event, its place in the events from 1). `for_good`:
    a decision without an `until` is ended by nothing else. `away`: judged on a cask that is away, too. `jobs`: those that it calls for, for
    which cards of what is due under it can be printed; the first is what a plan of work counts. `calls`: where that hangs on the cask, the jobs that
    it calls for on a case that is due or blocked (the word), in the order of the bench; none where nothing can be done. `kind`: of what
    kind that work is. `if_kept`: its work is for nothing on a cask proposed for retirement. `for_ever`: its work cannot be undone, so that it waits
    where something of the cask's files cannot be read. `before_fill`: an empty cask on which it is due or blocked is not ready to be filled.
    """

    name: str
    rank: int
    judge: Callable[[Case], Opinion]
    news: Callable[[Event], bool] = _never
    reopened_by: Callable[[Case, Event, int], bool] = _nothing_new
    for_good: bool = False
    away: bool = False
    jobs: tuple[str, ...] = ()
    kind: Kind = "other"
    calls: Callable[[Case, str], tuple[str, ...]] | None = None
    if_kept: bool = False
    for_ever: bool = False
    before_fill: bool = False

    @property
    def text(self) -> str:
        """What / Why / When it is due / What to do."""
        from caskbook.core.own_texts import need_texts

        need_texts()
        return inspect.getdoc(self.judge) or ""
