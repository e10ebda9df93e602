"""What is known of all casks of a book on a day without reading their files: a plan asks these, and does not know who answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Protocol

from caskbook.loss import PeerTable
from caskbook.work.hours import Minutes


class Judged(Protocol):
    """What a verdict says, however it is kept: as `caskbook.due.Verdict` has it."""

    @property
    def cask(self) -> str: ...
    @property
    def type(self) -> str: ...
    @property
    def berth(self) -> str | None: ...
    @property
    def rule(self) -> str: ...
    @property
    def verdict(self) -> str: ...
    @property
    def since(self) -> date | None: ...
    @property
    def reasons(self) -> Sequence[str]: ...


class Notes(Protocol):
    """What was worked out of the files of casks before, each by itself, and is kept for as long as it is so: data of JSON by cask and kind. `keep`: `read` is the
    content of the file that it was worked out of."""

    def of(self, kind: str) -> Mapping[str, Any]: ...
    def keep(self, kind: str, cask: str, read: bytes, note: Any) -> None: ...


class NoNotes:
    """Nothing was kept, and nothing will be."""

    def of(self, _kind: str) -> Mapping[str, Any]:
        """None."""
        return {}

    def keep(self, kind: str, cask: str, read: bytes, note: Any) -> None:
        """Let it go."""


@dataclass(frozen=True, slots=True)
class Known:
    """The verdicts of the casks chosen that are due or blocked on the day (`pressing`), and what else is asked of the book.

    `turning`: a later day → the casks of which some verdict changes up to it if nothing is entered; `takes`: whether a cask (number, type, berth) is one of those
    chosen; `turns`: a later day → of some of these casks the first day of each rule that turns, where each can be judged by itself; `casks`: how many they are, `unknown`: how many of their verdicts cannot be told; `peers`: what every fill loses; `minutes`:
    (job, type) → minutes of work as entered; `notes`: what was worked out of single files.
    """

    pressing: Sequence[Judged]
    turning: Callable[[date], Sequence[str]]
    takes: Callable[[str, str, str | None], bool]
    casks: int
    unknown: int
    peers: Callable[[], PeerTable]
    minutes: Callable[[], Minutes]
    turns: Callable[[date], Mapping[str, Mapping[str, date]]] = field(default=lambda _: {})
    notes: Notes = field(default_factory=NoNotes)
