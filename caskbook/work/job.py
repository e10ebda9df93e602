"""One job of a plan of work, a job that is left out of it, and the kinds in the order in which they are told."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal, get_args

from caskbook.due.rule import Kind as RuleKind

FROM_TIP: Literal["from the tip"] = "from the tip"
Kind = Literal["must", "from the tip", "test", "examine", "re-char", "gauge", "retire", "other"]
KINDS: tuple[Kind, ...] = get_args(Kind)
Why = Literal["retirement proposed", "blocked", "falls away with the tip"]
WHYS: tuple[Why, ...] = get_args(Why)


@dataclass(frozen=True, slots=True)
class Job:
    """One job on one cask. `hours`: in the week it is laid into, else in the first in which it can be done, None where nobody knows; `due`: since when, or the day on which, it is due, None where nobody knows since when.

    `rank`: its place in the due list, the least first; `turn`: when it is done in a visit to the bench, 0 where that is all one; `store`:
    that of the berth; `week`: the number of the week it is laid into, None where it does not fit; `reasons`: why it is called for, as the due list says.
    """

    cask: str
    type: str
    berth: str | None
    store: str | None
    job: str
    rule: str
    kind: Kind
    hours: float | None
    due: date | None
    rank: int
    turn: int = 0
    week: int | None = None
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A job that is not planned, and why."""

    job: Job
    why: Why


def kind_of(kind: RuleKind, *, tip: bool) -> Kind:
    """The kind of a job that a rule of this kind calls for. `tip`: it follows from a planned emptying."""
    return FROM_TIP if tip else kind
