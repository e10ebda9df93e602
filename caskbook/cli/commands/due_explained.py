"""`due --explain`: what the list counts, in the place of the list."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.cli.choosing import only
from caskbook.cli.commands.due_wanted import Wanted
from caskbook.cli.judged_at import Revision, put_out
from caskbook.due.explained import explained
from caskbook.ledger.house_read import house_of
from caskbook.render.due_explained import DueExplained, explained_json, explained_text

if TYPE_CHECKING:
    from caskbook.index.listing import Counts


def print_explained(root: Path, day: date, counts: Counts, wanted: Wanted, at: str | None, judged: Revision | None = None) -> None:
    """Print what each rule that was asked for counts, as text or JSON, by the settings of the day."""
    found = explained_of(root, day, counts, wanted, at)
    put_out(wanted.form, lambda width: explained_text(found, width=width), lambda form: explained_json(found), judged)


def explained_of(root: Path, day: date, counts: Counts, wanted: Wanted, at: str | None) -> DueExplained:
    """What each rule that was asked for counts in one ledger."""
    rules = explained(house_of(root, at), day, wanted.rules, counts.by_rule)
    filters = {**({"rule": wanted.rules} if wanted.rules else {}), **wanted.filters}
    narrowed = (*([f"only {' or '.join(wanted.rules)}"] if wanted.rules else []), *only(wanted.filters))
    return DueExplained(day, counts.judged, counts.away, counts.pressed, filters, narrowed, rules)
