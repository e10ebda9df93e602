"""A review as plain data: what each renderer shows, nothing worked out in them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from caskbook.core.finding import Finding, Origin
from caskbook.review.limit import Limit


@dataclass(frozen=True, slots=True)
class Rewritten:
    """Something that had landed and was altered, moved or removed. `old`, `new`: both versions of the event, None where absent."""

    finding: Finding
    event: str | None
    old: dict[str, Any] | None
    new: dict[str, Any] | None


@dataclass(frozen=True, slots=True)
class Group:
    """Many casks with the same job on one day, in one sentence."""

    job: str
    casks: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class CaskDay:
    """What was done to one cask on one day: a phrase for each job, and the events' ids."""

    cask: str
    type: str
    phrases: tuple[str, ...]
    events: tuple[str, ...]

    @property
    def text(self) -> str:
        """All of it in one line."""
        return "; ".join(self.phrases)


@dataclass(frozen=True, slots=True)
class Day:
    """One day of work."""

    day: str
    groups: tuple[Group, ...]
    casks: tuple[CaskDay, ...]


@dataclass(frozen=True, slots=True)
class Late:
    """An entry made days after the work; `days` between the two; `said` is what was entered, `by` who did it."""

    cask: str
    event: str
    day: str
    days: int
    text: str
    said: str = ""
    by: str | None = None


@dataclass(frozen=True, slots=True)
class Against:
    """An entry that the check finds something in, a rule of the house that it broke or what cannot be so: which (`code`, `fault`), what it is, and the reason
    that was written with it."""

    cask: str
    event: str
    code: str
    text: str
    fault: str
    why: str
    by: str | None


@dataclass(frozen=True, slots=True)
class Apart:
    """The range's first end is no ancestor of its last: `commits` of it are not there, and with them `entries` on `casks`; `base` is
    the last commit in common (None: there is none); `first` and `last` are the ends as they were named."""

    first: str
    last: str
    commits: int
    base: str | None
    entries: int = 0
    casks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PutRight:
    """An entry put out of force (void, moved) or replaced: what it was, why, and where it stands now; `day` and `by` of the entry that
    did it, None where it does not say so."""

    cask: str
    how: str
    event: str
    target: str
    text: str
    why: str
    again: str | None = None
    day: str | None = None
    by: str | None = None


@dataclass(frozen=True, slots=True)
class HeadChange:
    """A key of a head with both values as text; `first`: it was set for the first time, so nothing that landed changed."""

    cask: str
    key: str
    old: str
    new: str
    first: bool = True


@dataclass(frozen=True, slots=True)
class NewCasks:
    """Casks that came into the book, alike in type, supplier and parcel."""

    casks: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Setting:
    """A setting of house.yaml with both values as text, and how many casks became due, or are no longer, through it alone, and how
    many wait for their emptying; `counted_on`: the day ahead for which that is told, None for the day asked for; `undated`: it judges
    entries and was changed in place, `back_dated`: it begins before the day on which it came in, so that entries of the past are judged anew, with
    the commit that did it, where it is one; `losses`: it decides on losses, which a review does not judge."""

    key: str
    old: str
    new: str
    newly_due: int = 0
    no_longer: int = 0
    at_emptying: int = 0
    no_longer_at_emptying: int = 0
    undated: bool = False
    back_dated: bool = False
    origin: Origin | None = None
    counted_on: str | None = None
    losses: bool = False


@dataclass(frozen=True, slots=True)
class Told:
    """A commit that is more than its entries, and what it did: `kind` is `attributes`, `one-sided-merge`, `merge-of-its-own`, `entry-renumbered`, `filtered` (of no commit: what a filter keeps from being compared) or, of all commits together
    that touch nothing of the book, `elsewhere`, which is nobody's in particular."""

    kind: str
    text: str
    origin: Origin | None = None


@dataclass(frozen=True, slots=True)
class Turned:
    """A rule that became due for a cask, or is no longer."""

    cask: str
    rule: str


@dataclass(frozen=True, slots=True)
class UnreadEntry:
    """An entry that came in and is of no job of the trade, so that it counts for nothing: as it is written."""

    cask: str
    text: str
    code: str


@dataclass(frozen=True, slots=True)
class Copy:
    """A file that came in and has the very entries of another one: how many and which, and what to do."""

    cask: str
    text: str
    help: str


@dataclass(frozen=True)
class Review:
    """What happened between two states of the book. `casks` counts files touched; `layout` are edits without meaning;
    `joined` are casks that both sides of a merge had entered on, `house` what is wrong with house.yaml, `clashes` a line for each entry that only the merge made impossible.
    `copies` are files that came in with the entries of another one. `stray` lies among the casks and is none, `beside` is what no repository may carry in, come or gone again, `told` what commits did
    that hold no entry. `limit`: the casks it was limited to, if it was. `losses` are casks whose losses are others than before, which a review does not judge."""

    title: str
    commits: int | None
    casks: int
    rewritten: tuple[Rewritten, ...] = ()
    days: tuple[Day, ...] = ()
    late: tuple[Late, ...] = ()
    put_right: tuple[PutRight, ...] = ()
    heads: tuple[HeadChange, ...] = ()
    new: tuple[NewCasks, ...] = ()
    settings: tuple[Setting, ...] = ()
    newly_due: tuple[Turned, ...] = ()
    no_longer: tuple[Turned, ...] = ()
    losses: tuple[str, ...] = ()
    layout: tuple[Finding, ...] = ()
    unread: tuple[str, ...] = field(default=())
    unread_entries: tuple[UnreadEntry, ...] = ()
    joined: tuple[str, ...] = ()
    copies: tuple[Copy, ...] = ()
    clashes: tuple[str, ...] = ()
    house: tuple[Finding, ...] = ()
    against: tuple[Against, ...] = ()
    errors: tuple[Against, ...] = ()
    stray: tuple[str, ...] = ()
    beside: tuple[Finding, ...] = ()
    told: tuple[Told, ...] = ()
    apart: Apart | None = None
    limit: Limit | None = None

    @property
    def clean(self) -> bool:
        """Whether nothing that landed was altered, moved or removed, and the range has the history it began with."""
        return not self.rewritten and self.apart is None
