"""Saved questions of `query`: those of house.yaml and those that come with the program, by their names."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path
from typing import NamedTuple

from caskbook.cli.common import say
from caskbook.core.finding import CaskbookError
from caskbook.ledger.folder import find_ledger
from caskbook.words.shipped_questions import SHIPPED_QUESTIONS


class Saved(NamedTuple):
    """A saved question; `of`: house.yaml or caskbook, which it comes from."""

    title: str
    sql: str
    of: str


LIST_COLUMNS = ["name", "title", "from"]


def list_rows(records: str | None, at: str | None) -> list[list[object]]:
    """(name, title, from) of every saved question, the house's own first."""
    return [[name, one.title, one.of] for name, one in saved_questions(records, at).items()]


def question_named(name: str, records: str | None, at: str | None) -> Saved:
    """The question of a name; CaskbookError with the nearest name where there is none. That the house's own stands in the place of a shipped one is said."""
    known = saved_questions(records, at)
    if name not in known:
        from caskbook.model.invalid import nearest

        near = nearest(name, list(known))
        hint = f"did you mean {near}?" if near else "`caskbook query --list` names them all; SQL begins with SELECT"
        raise CaskbookError(f"no saved question is called {name[:60]}: {hint}")
    if known[name].of == "house.yaml" and name in SHIPPED_QUESTIONS:
        say(f"{name} is asked as house.yaml has it, not as it comes with caskbook")
    return known[name]


def saved_questions(records: str | None, at: str | None) -> dict[str, Saved]:
    """Name → question, the house's own before those that come with the program. CaskbookError where there is no ledger."""
    from caskbook.ledger.house_read import house_of

    house = house_of(find_ledger(Path.cwd(), records, os.environ.get("CASKBOOK_RECORDS")), at)
    own = {name: Saved(one.title, one.sql, "house.yaml") for name, one in house.on(date.max).questions.items()}
    return own | {name: Saved(*one, "caskbook") for name, one in SHIPPED_QUESTIONS.items() if name not in own}
