"""What can be asked of an answer of the index: each question a few lines that load what answers it."""

from __future__ import annotations

import contextlib
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from datetime import date

    from caskbook.index.ahead import Ahead
    from caskbook.index.answer import Answer
    from caskbook.index.foreseen import Foreseen
    from caskbook.index.listing import Counts, DueRows, Filter
    from caskbook.index.losses import KeptCasks
    from caskbook.index.sql import Rows
    from caskbook.index.together import Together
    from caskbook.index.whole_book import WholeBook
    from caskbook.life.service import Service
    from caskbook.loss import PeerTable
    from caskbook.loss.account import Whose
    from caskbook.loss.parts import Division
    from caskbook.stats.days_written import Written
    from caskbook.stats.report_head import What


class Questions(ABC):
    """The questions; whoever holds an answer has them all. Filters and conditions of SQL are quoted already."""

    @property
    @abstractmethod
    def held(self) -> Answer:
        """The answer that was given; there is one."""

    def counts(self, chosen: Filter) -> Counts:
        """What the filter takes of the answer, counted."""
        from caskbook.index.listing import counts

        return counts(self.held, chosen)

    def due(self, chosen: Filter, verdicts: set[str]) -> DueRows:
        """The chosen verdicts of the answer that say one of these words, what matters first."""
        from caskbook.index.listing import due_rows

        return due_rows(self.held, chosen, verdicts)

    def of_rule(self, chosen: Filter, rule: str, having: str, begins_not: str) -> DueRows:
        """The chosen verdicts of a rule; of those that are ok only what its reasons pick out (`of_rule.rule_rows`)."""
        from caskbook.index.of_rule import rule_rows

        return rule_rows(self.held, chosen, rule, having, begins_not)

    def ahead(self) -> Ahead:
        """What a plan of the coming weeks asks of the answer."""
        from caskbook.index.ahead import Ahead

        return Ahead(self.held)

    def foreseen(self) -> Foreseen:
        """What was worked out of the files of single casks for a plan or `ready`, and is kept."""
        from caskbook.index.foreseen import Foreseen

        return Foreseen(self.held)

    def peers(self) -> PeerTable:
        """What all fills of the answer lose, by kind; read as far as it is asked for."""
        from caskbook.index.peers import KeptPeers

        return KeptPeers(self.held.store, self.held.number, self.held.joined, keep=False)

    def select(self, sql: str, limit: int | None = None, seconds: int | None = None) -> contextlib.AbstractContextManager[Rows]:
        """Run one SELECT over the tables of the answer, in a guarded process. CaskbookError for wrong SQL, and a limit that is passed."""
        from caskbook.index.sql import SECONDS, select

        return select(self.held, sql, limit, SECONDS if seconds is None else seconds)

    def put_into(self, together: Together, name: str) -> None:
        """Put the rows of the answer with those of other ledgers, under the name of its own (`together.Together`)."""
        together.add(name, self.held)

    def counted(self, facts: Sequence[str], conditions: Sequence[str]) -> Iterator[tuple[Mapping[str, Any], int]]:
        """(facts, how many casks have them) of the answer, under conditions of SQL (`counted.counted`)."""
        from caskbook.index.counted import counted

        return counted(self.held, facts, conditions)

    def services(self, facts: Sequence[str], conditions: Sequence[str], what: str | None = None) -> Iterator[tuple[Mapping[str, Any], Sequence[Service]]]:
        """(facts, spans of service) of the casks of the answer, under conditions of SQL, what is alike in one (`service.services_kept`)."""
        from caskbook.index.service import services_kept

        self._keep_beside()
        return services_kept(self.held, facts, conditions, what)

    def told(self, what: What, facts: Sequence[str], conditions: Sequence[str]) -> Iterator[tuple[Mapping[str, Any], Any]]:
        """(facts, receipt, leaks, mends or losses) of each cask of the answer, under conditions of SQL (`told.told`)."""
        from caskbook.index.report_facts import told

        if what != "loss":
            self._keep_beside()
        return told(self.held, what, facts, conditions)

    def losses(self, division: Division, takes: Callable[[Whose], bool] | None) -> KeptCasks:
        """The casks of the answer that count, each with what its fills lost, divided so (`losses.KeptCasks`)."""
        from caskbook.index.beside import keep_judged
        from caskbook.index.losses import KeptCasks

        keep_judged(self.held)
        return KeptCasks(self.held, division, takes)

    def entries(self, days: tuple[date, date] | None, casks: Sequence[str], own: Sequence[str]) -> Iterator[Written]:
        """The entries of some days of the answer, under conditions of SQL (`entries.entries_of`)."""
        from caskbook.index.entries import entries_of

        return entries_of(self.held, days, casks, own)

    def whole_book(self) -> WholeBook:
        """The tables of the answer whole, for who puts the book down for other programs."""
        from caskbook.index.whole_book import WholeBook

        return WholeBook(self.held)

    def turns(self, conditions: Sequence[str]) -> tuple[Mapping[str, int], int, int]:
        """What an outlook counts of the casks of the answer, under conditions of SQL (`turns.turns_kept`)."""
        from caskbook.index.turns import turns_kept

        self._keep_beside()
        return turns_kept(self.held, conditions)

    def _keep_beside(self) -> None:
        """What reports alone tell is worked out of those lives of which it was left (`beside.keep_beside`)."""
        from caskbook.index.beside import keep_beside

        keep_beside(self.held)
