"""Service as it is told: its accounts with the day and the filters, and what each figure means."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from caskbook.core.typed_word import typed_word
from caskbook.stats.service import LEAST_AT_RISK, LEAST_ENDS, Account, What


@dataclass(frozen=True, slots=True)
class ServiceReport:
    """What is told. `accounts`: one, or one of each kind; `casks`: of how many casks, those told in part (`in_part`) left out; `filters`: option without
    its dashes → words, any of which fits; `only`: the same in words; `times`: the day and the revision, as far as they were asked for,
    alike; `explain`: whether each figure is explained; `ledgers`: of several ledgers, of how many casks of each, and how many more are told in part."""

    day: date
    accounts: tuple[Account, ...]
    casks: int
    in_part: int
    filters: Mapping[str, Sequence[str]]
    only: tuple[str, ...]
    times: Mapping[str, str]
    explain: bool = False
    ledgers: Mapping[str, tuple[int, int]] = field(default_factory=dict)

    @property
    def counted(self) -> str:
        """Which list has the same casks: a store is that of a span, and narrows none."""
        if self.ledgers:
            return f"`caskbook list` of {len(self.ledgers)} ledgers"
        asked = [(name, word) for name, words in self.filters.items() if name != "store" for word in words] + list(self.times.items())
        return f"`caskbook list{''.join(f' --{name} {typed_word(word)}' for name, word in asked)}`"


class Meant(NamedTuple):
    """A figure and what it means."""

    figure: str
    means: str


_BEGINS: Mapping[What, str] = {
    "char": "from a char to the next char of the same cask, or to its retirement or leaving. A char of before this book counts from the day that `charred`"
    " of the head says (of casks made here from others, from the earliest of their parents' chars), and is watched from the receipt on, at the age"
    " it had then: what had ended before could not come here",
    "cask": "from when the cask was made to its retirement, else to its leaving; watched from the receipt on, at the age it had then. Sold is an end"
    " as any other: of the service here. Where nobody knows when it was made it counts from the receipt, and stands apart",
    "stave": "from when a stave was put in to its replacement; the first staves from when the cask was made, watched from the receipt on. It is"
    " censored where the cask is retired, leaves or is knocked down. Where nobody knows when the cask was made, its first staves count"
    " from the receipt, and stand apart; those of a cask made from others are left out, for their age is not known",
}


def meant(report: ServiceReport) -> Iterator[Meant]:
    """What each figure means, of which casks, in the order in which they stand."""
    yield Meant("filter", ", ".join(report.only) or "none: the whole book")
    yield Meant(
        "of",
        f"{report.casks} casks, as {report.counted} has them with the gone; {report.in_part} more are left out, for not all that their files say can be read (caskbook check)",
    )
    for account in report.accounts:
        of_fills = account.unit == "fills"
        yield Meant(
            account.what,
            _BEGINS[account.what] + (". Counted in fills since the char, one that lasts included (count_prior, short_fill_days)" if of_fills else ""),
        )
    yield Meant("about", "of a year alone 1 July counts, of a month the 15th, and the day of receipt where the cask came before that; years have 365.2425 days")
    yield Meant("censored", "had not ended on the day of the report, or when the cask was missed: it served at least so long")
    yield Meant("at risk", "watched and not yet over just before an age: came in before it, and neither ended nor was censored before it")
    yield Meant(
        "still serve",
        "share that goes on at an age: the product of 1 - ends / at risk over all ends up to it (Kaplan and Meier 1958, with delayed entry). Each way of"
        " ending has its share beside it (Aalen and Johansen 1978): all together they are 100 %",
    )
    yield Meant(
        "band", "95 % by Greenwood's variance on the log-log scale; spans of one cask are taken for independent, and where they are not it is too narrow"
    )
    yield Meant("median", "the age at which half have ended, and where the edges of the band cross one half")
    yield Meant(
        "given alive at",
        f"fewer than {LEAST_AT_RISK} are at risk before that age, so that the curve speaks of those that had reached it; it ends where fewer are left",
    )
    yield Meant(
        "too few", f"no curve and no median of a group with fewer than {LEAST_ENDS} ends. Both limits: common practice, no source; no settings of the house"
    )
    if any(account.by == "store" for account in report.accounts) or "store" in report.filters:
        yield Meant("store", "that of the last berth within the span, by the settings of the day: what is gone lies nowhere now")
    if any(account.by for account in report.accounts):
        yield Meant("log-rank", "ends of each group against those to be expected if all ended at the same rates at each age (Mantel 1966)")
