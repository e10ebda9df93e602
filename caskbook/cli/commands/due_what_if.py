"""`due --set KEY=VALUE`: what would turn if a setting were another; nothing is written."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from caskbook.cli.choosing import only, passing
from caskbook.cli.commands.due_wanted import Wanted
from caskbook.cli.common import index_of, open_book
from caskbook.cli.index_answer import answer_of
from caskbook.cli.judged_at import judged_at, put_out
from caskbook.cli.remarks import left_out, say_left_out, say_no_casks
from caskbook.due.turns import Turns
from caskbook.render import what_if as render
from caskbook.review.tried import tried
from caskbook.words.verdicts import RANK

if TYPE_CHECKING:
    from caskbook.index.index import Index
    from caskbook.index.listing import Filter

_LOUD = set(RANK) - {"ok"}


def what_if(words: Sequence[str], records: str | None, as_of: str | None, at: str | None, wanted: Wanted) -> int:
    """Print what turns under these settings. Always 0; CaskbookError for what is no setting or no value of it."""
    book = open_book(records, as_of, at)
    text, told = tried(book.ledger.house_file, words, book.day)
    index = index_of(book, at, memory=True)
    answer = answer_of(index, as_of)
    with index.reading():
        left_out(answer)
        taken = wanted.filter(passing(index, wanted.filters) if wanted.looks_up else None)
        judged, before = index.counts(taken).judged, _verdicts(index, taken)
    after = _under(index.under(text), book.day, taken)
    say_left_out(index.root, at, answer.overlooked, answer.linked, answer.strays)
    if not judged:
        say_no_casks(index.root, at)
    turns = Turns()
    for cask in sorted(before.keys() | after.keys()):
        turns.count(cask, before.get(cask, {}), after.get(cask, {}))
    rules = [f"only {' or '.join(wanted.rules)}"] if wanted.rules else []
    found = render.WhatIf(answer.day, [(one.key, one.now, one.then) for one in told], judged, turns, (*rules, *only(wanted.filters)))
    put_out(wanted.form, partial(render.what_if_text, found), partial(_data, found), judged_at(records, at))
    return 0


def _under(index: Index, day: date, taken: Filter) -> dict[str, dict[str, str]]:
    """The verdicts under other settings; every file is read, on all cores."""
    answer_of(index, day.isoformat())
    with index:
        return _verdicts(index, taken)


def _verdicts(index: Index, taken: Filter) -> dict[str, dict[str, str]]:
    """Cask → rule → verdict, of all that is not ok."""
    found: dict[str, dict[str, str]] = {}
    for row in index.due(taken, _LOUD):
        found.setdefault(row.cask, {})[row.rule] = row.verdict
    return found


def _data(found: render.WhatIf, form: str) -> str:
    return render.what_if_csv(found) if form == "csv" else render.what_if_json(found, form)
