"""What a report of the whole book is made of: told of each cask out of the index, with the facts it is grouped by."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from caskbook.cli.choosing import chosen, conditions, only, passing
from caskbook.cli.common import Book
from caskbook.cli.index_answer import read_answer
from caskbook.cli.judged_at import Revision, judged_at
from caskbook.cli.nearest_filter import Near, near_in
from caskbook.core.days import DayError
from caskbook.core.finding import CaskbookError
from caskbook.core.period import Period, parse_period
from caskbook.stats.report_head import Head, What

if TYPE_CHECKING:
    from datetime import date

    from caskbook.index.answer import Answer
    from caskbook.index.index import Index
    from caskbook.model.house import Settings

Value = TypeVar("Value")
Rows = list[tuple[Mapping[str, Any], Any]]


class Asked(NamedTuple):
    """How a report was asked for: the ledger or the ledgers, the day, the revision, the form, and column of the table `cask` → words, any of which fits, as in `list`;
    `days`: what was typed for --from and --to."""

    records: str | None | tuple[str, ...]
    as_of: str | None
    at: str | None
    form: str
    given: Mapping[str, Any]
    explain: bool = False
    days: tuple[str | None, str | None] = (None, None)

    @property
    def alone(self) -> str | None:
        """The one ledger, of which alone it is asked."""
        assert not isinstance(self.records, tuple), "several ledgers are asked one after the other"
        return self.records

    @property
    def revision(self) -> Revision | None:
        """The revision that is told of; of several ledgers there is none."""
        return judged_at(self.alone, self.at) if self.at else None

    def period(self, day: date) -> Period | None:
        """The period that was asked for, None where none was; CaskbookError for one that is none, or lies ahead of the day."""
        found = period_of(self.days, day)
        return found if found.asked else None


class Gathered(NamedTuple):
    """What was told of the casks that pass the filters, those told in part left out, by what was asked for; `joined`: number → the one that goes on;
    `every`: what was told of all casks of the book, whatever the filters, where that was wanted. `of`: where several ledgers were asked, ledger → the same of each; what is told of
    all then has its numbers behind their ledger."""

    root: Path
    head: Head
    told: Mapping[What, Rows]
    joined: Mapping[str, str]
    every: Rows
    of: Mapping[str, Gathered] = {}


def found_in(asked: Asked, what: Sequence[What], facts: Sequence[str], by_cask: Sequence[str] = (), *, every: bool = False) -> tuple[Gathered, Near]:
    """(what is told out of the index of one ledger, which keeps it; what filters that nothing passes likely mean). One that turns out to be damaged is made anew, and
    asked again; what was left out is said on the side. As `gathered.gathered` for the rest."""
    filters = chosen(asked.given, asked.alone, asked.as_of, asked.at)
    where = conditions({name: words for name, words in filters.items() if name not in by_cask})
    times = {name: text for name, text in (("as-of", asked.as_of), ("at", asked.at)) if text}

    def read(index: Index, answer: Answer) -> tuple[Gathered, Near]:
        period = asked.period(answer.day)
        found = {name: list(index.told(name, () if n else facts, where)) for n, name in enumerate(what)}
        parts = set(answer.in_part)
        listed = len(found[what[0]])
        told = {name: [row for row in rows if row[0]["cask"] not in parts] if parts else rows for name, rows in found.items()}
        whole = [row for row in index.told(what[0], facts, ()) if row[0]["cask"] not in parts] if every and where else told[what[0]]
        head = Head(answer.day, listed, listed - len(told[what[0]]), filters, only(filters), times, asked.explain, tuple(set(by_cask) & set(filters)), period)
        return Gathered(index.root, head, told, answer.joined, whole), () if listed else near_in(index, filters)

    def none(book: Book) -> tuple[Gathered, Near]:
        return Gathered(
            book.root, Head(book.day, 0, 0, filters, only(filters), times, asked.explain, asked=asked.period(book.day)), {name: [] for name in what}, {}, []
        ), ()

    return read_answer(asked.alone, asked.as_of, asked.at, read, none, beside=True)


def period_of(days: tuple[str | None, str | None], day: date) -> Period:
    """What was typed for --from and --to, on the day of a report; CaskbookError where it is no period, or lies ahead."""
    try:
        return parse_period(*days, day)
    except DayError as error:
        raise CaskbookError(str(error)) from None


def casks_with(asked: Asked, filters: Mapping[str, Any]) -> int:
    """How many casks pass these filters and those that were asked for on the day; of a report that has told already what the answer leaves out. CaskbookError as
    `read_answer`."""
    if isinstance(asked.records, tuple):
        return sum(casks_with(asked._replace(records=one), filters) for one in asked.records)
    given = chosen(asked.given, asked.records, asked.as_of, asked.at)
    return read_answer(asked.records, asked.as_of, asked.at, lambda index, _: len(passing(index, {**given, **filters})), lambda _: 0, told=True)


def houses_of(found: Gathered, asked: Asked) -> dict[str, Settings]:
    """Ledger → the settings of its house on the day of the report, of one ledger under no name. Where the index is warm, house.yaml is the only file that is read."""
    from caskbook.ledger.house_read import house_of

    return {name: house_of(one.root, asked.at).on(found.head.day) for name, one in (found.of or {"": found}).items()}


def one_setting(values: Mapping[str, Value], setting: str, report: str) -> Value:
    """What a setting is in all ledgers (ledger → value). CaskbookError where the houses differ, for then no figure over all of them hangs on it alike."""
    if len(set(values.values())) > 1:
        told = ", ".join(f"{ledger} {value}" for ledger, value in values.items())
        raise CaskbookError(f"report {report} in {len(values)} ledgers: {setting} is not the same in all ({told}); ask each ledger by itself")
    return next(iter(values.values()))
