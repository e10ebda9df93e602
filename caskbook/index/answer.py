"""The answer about a snapshot, held for as long as a command reads it."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Any

from caskbook.index.snapshot import Snapshot
from caskbook.index.store import NoIndex, Store
from caskbook.index.stored_answer import StoredAnswer

_TRIES = 8
_CACHED = ("_summary", "unreadable", "in_part", "rules")


@dataclass
class Answer:
    """The answer about a ledger on a day. `today` is the real day in the house, `shown` what stands before a file's name on the screen;
    `number` names it in the index, and is found by `find`. `wrong`: how many of the house's settings cannot be read; `overlooked`:
    files that are gone while git is told to overlook them; `linked`: links among the casks, None where nobody looked; `strays`: files of casks that strayed within casks/."""

    store: Store
    snapshot: Snapshot
    find: Callable[[Answer], int]
    today: date
    shown: str
    wrong: int
    number: int = 0
    overlooked: list[str] = field(default_factory=list)
    linked: list[str] | None = None
    strays: Sequence[str] = ()

    def hold(self) -> None:
        """Find the number, and see from here on the index as it is now: another command may take the answer over to another day.

        NoIndex where it does so time and again.
        """
        for name in _CACHED:
            self.__dict__.pop(name, None)
        for _ in range(_TRIES):
            self.let_go()
            self.number = self.find(self)
            if not self.store.in_transaction:
                self.store.execute("BEGIN")
            if self.store.execute(self.stands).fetchone() is not None:
                return
        raise NoIndex("the index changes faster than it can be read")

    @property
    def stands(self) -> str:
        """SQL that gives a row as long as the number is about the day asked for."""
        day = self.day.toordinal()
        return f"SELECT 1 FROM main.answer WHERE id = {self.number} AND from_day <= {day} AND until_day > {day}"

    def let_go(self) -> None:
        """Look at the index as it will be, so that it can be added to."""
        if self.store.in_transaction:
            self.store.execute("COMMIT")

    @property
    def day(self) -> date:
        """The day asked about."""
        return self.snapshot.day

    @cached_property
    def _summary(self) -> dict[str, Any]:
        return StoredAnswer(self.store, self.number).summary()

    @property
    def joined(self) -> dict[str, str]:
        """Number that was joined → number that goes on."""
        return dict(self._summary["joined"])

    @property
    def words(self) -> list[tuple[str, int, int]]:
        """(a letter for each due rule, whether it is here, how many casks): of all casks that are not joined."""
        return [tuple(row) for row in self._summary["words"]]

    @property
    def off(self) -> list[str]:
        """The due rules that the house has switched off on the day, as `rules_off` names them."""
        from caskbook.index.house_settings import off_on

        return off_on(self.store, self.snapshot.house, self.day)

    @cached_property
    def unreadable(self) -> list[str]:
        """Files that cannot be read as a cask, in order."""
        found = set(self._summary["unreadable"])
        if not self.snapshot.revision:
            found.update(row[0] for row in self.store.execute("SELECT name FROM work_file WHERE version IS NULL"))
        return sorted(found)

    @cached_property
    def in_part(self) -> list[str]:
        """Numbers of casks that are told without some of what their files say, in order; those that go on under another number by that alone."""
        return sorted({name.rpartition("/")[2].removesuffix(".yaml") for name in self._summary["in_part"]} - self.joined.keys())

    @cached_property
    def rules(self) -> list[tuple[str, int]]:
        """(name, rank) of the due rules, in their order."""
        return [(name, rank) for name, rank in json.loads(self.store.meta("rules"))]
