"""The rows of a file of which every entry is of a day behind the one that is asked about: by its head and the days of its entries alone."""

from __future__ import annotations

from datetime import date
from typing import Any

from caskbook.index.kept_files import KeptFile, head_of_lines
from caskbook.ledger.files import Ledger
from caskbook.life.facts import Facts, facts_of_head


def not_begun(ledger: Ledger, item: KeptFile, lines: list[bytes], day: date) -> tuple[Facts, tuple[int, int], int] | None:
    """(facts, the days for which they are good, the day of the last entry) of such a file as it is kept, by its lines, if it has nothing to do with any other;
    None of another one. KeptError as `cask_kept` has it."""
    found = head_of_lines(item, lines, day)
    if found is None:
        return None
    head, days = found
    last = max(days)
    if (ledger.today is not None and last > ledger.today) or ledger.claims().get(head.cask) or ledger.untold().get(head.cask):
        return None
    turns = [start.toordinal() for start in ledger.house.starts]
    since = max((one for one in turns if one <= day.toordinal()), default=0)
    until = min(one for one in (*turns, min(days).toordinal()) if one > day.toordinal())
    return facts_of_head(head, day), (since, until), last.toordinal()


def row_of_head(facts: Facts, last_entry: int, columns: tuple[str, ...], words: str) -> dict[str, Any]:
    """Column → value of such a life; those that are empty are left out. `words`: what the due rules say of a cask of which none is asked."""
    known = {name: value for name in columns if (value := getattr(facts, name)) is not None}
    return {**known, "begun": 0, "here": 0, "words": words, "unreadable": 0, "last_entry": last_entry, "beside": 0}
