"""What stands over a report of the whole book, and what its figures mean: the day, the filters, how many casks it speaks of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal, NamedTuple

from caskbook.core.period import Period, whole_time
from caskbook.core.typed_word import typed_word

UNKNOWN = "?"
What = Literal["receipt", "leaks", "mends", "loss"]
"""What is told of each cask beside its facts."""


@dataclass(frozen=True, slots=True)
class Head:
    """`casks`: how many `list` has under these filters; `in_part`: how many of these are told in part, and are in no figure; `filters`: option without its dashes
    → words, any of which fits; `only`: the same in words; `times`: the day and the revision, as far as they were asked for; `explain`: whether
    each figure is explained; `aside`: filters that the report applies itself, to what it tells and not to the casks; `asked`: the period, where one was asked for; `ledgers`: where several are told of,
    ledger → how many of the casks are in it, and of these told in part."""

    day: date
    casks: int
    in_part: int
    filters: Mapping[str, Sequence[str]]
    only: tuple[str, ...]
    times: Mapping[str, str]
    explain: bool = False
    aside: tuple[str, ...] = ()
    asked: Period | None = None
    ledgers: Mapping[str, tuple[int, int]] = field(default_factory=dict)

    @property
    def period(self) -> Period:
        """The days that are told of: all up to the day unless a period was asked for."""
        return self.asked or whole_time(self.day)

    @property
    def counted(self) -> str:
        """Which list has the same casks."""
        return f"`caskbook list` of {len(self.ledgers)} ledgers" if self.ledgers else f"`caskbook list{self.options}`"

    @property
    def options(self) -> str:
        """The filters of casks, the day and the revision, as they were asked for, each behind a blank."""
        asked = [(name, word) for name, words in self.filters.items() if name not in self.aside for word in words] + list(self.times.items())
        return "".join(f" --{name} {typed_word(word)}" for name, word in asked)


def most_first(counts: Mapping[str, int]) -> dict[str, int]:
    """The counts in an order that does not hang on that of the casks: the largest first, of equal ones by name."""
    return dict(sorted(counts.items(), key=lambda pair: (-pair[1], pair[0])))


class Meant(NamedTuple):
    """A figure: what it means, of what it is a part or a rate, and the setting or limit that it hangs on."""

    figure: str
    means: str
    of: str = ""
    setting: str = ""


def filter_meant(head: Head) -> Meant:
    """Which casks are spoken of, and which of them are in no figure."""
    return Meant(
        "filter",
        ", ".join(head.only) or "none: the whole book",
        f"{head.casks} casks, as {head.counted} has them with the gone; {head.in_part} of them are in no figure, for"
        " not all that their files say can be read (caskbook check); voids and replaced entries do not count",
    )


def period_meant(head: Head, means: str) -> Iterator[Meant]:
    """How the period cuts, where one was asked for."""
    if head.asked:
        days = f"{head.period.words()}; both days are in it"
        yield Meant("period", means, days, "--from, --to: a month or a year begins with its first day and ends with its last, or with the day of the report")
