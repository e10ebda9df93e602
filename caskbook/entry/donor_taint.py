"""What the book tells of the taint of a donor, written into the entry that takes its wood: the cask that gets it is judged by its own file alone."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from caskbook.entry.entry import Entry
from caskbook.entry.page import Page
from caskbook.entry.rule_faults import left_out_record
from caskbook.ledger.files import Ledger
from caskbook.ledger.whole import whole_life
from caskbook.model.cask import Cask
from caskbook.model.jobs import JOBS
from caskbook.words.job_table import jobs_with

_TAKING = frozenset(jobs_with("takes-parts"))


def with_taint(page_of: Callable[[str], Page], ledger: Ledger, entry: Entry) -> Mapping[str, Any]:
    """The data of an entry, with the taint that its donor, or wood in it, had on the day. Where no cask of the book gave the wood it says what was typed, but
    not what was taken over from an entry that it replaces, for that may have named another one. Of a donor that is told in part nobody knows."""
    if entry.job not in _TAKING or "from_tainted" not in JOBS[entry.job].model_fields:
        return entry.data
    source = str(entry.data.get("from") or "new")
    data = {key: value for key, value in entry.data.items() if key != "from_tainted"}
    donor = _donor(page_of, ledger, source) if source not in ("new", "unknown") else None
    if donor is None:
        return data if entry.data.get("replaces") else entry.data
    life = whole_life(ledger, donor, entry.day)
    taint = life.state.taint_of_wood
    if taint is None:
        return {**data, "from_tainted": f"nobody can tell, for of it cannot be read: {', '.join(life.unread)}"} if life.in_part else data
    return {**data, "from_tainted": f"{taint[1]} since {taint[0]}"}


def _donor(page_of: Callable[[str], Page], ledger: Ledger, number: str) -> Cask | None:
    """The donor as it stands in this run, or as git has it where a sparse checkout leaves it out; None where the book has none that can be read."""
    left = left_out_record(ledger, number) if ledger.find(number) is None else None
    if left is not None:
        return left.cask
    page = page_of(number)
    return page.cask if page.record is not None and page.record.cask is not None else None
