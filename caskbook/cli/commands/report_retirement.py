"""`report retirement`: the casks proposed for retirement and those to be watched, or the sheet of each cask named."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from caskbook.cli.choosing import chosen, only, passing
from caskbook.cli.common import Book
from caskbook.cli.forms import check_form
from caskbook.cli.index_answer import read_answer
from caskbook.cli.judged_at import Revision, judged_at, put_out
from caskbook.cli.nearest_filter import Near, near_in
from caskbook.cli.remarks import say_no_casks, say_nothing_fits
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.index.answer import Answer
    from caskbook.index.index import Index
    from caskbook.work.candidates import Candidates

_RULE = "retire"


class Asked(NamedTuple):
    """What was typed: the options by their names."""

    records: str | None = None
    as_of: str | None = None
    at: str | None = None
    form: str = "text"
    top: int | None = None
    explain: bool = False
    save: str | None = None


class _Found(NamedTuple):
    """The candidates of a day, and the ledger they are of."""

    root: Path
    candidates: Candidates
    near: Near = ()


def run(what: Sequence[str], given: Mapping[str, Any], asked: Asked) -> int:
    """Print the list, or the sheets of the casks named, or save these. Always 0. `given`: column of the table `cask` → words, any of which fits, as in `list`."""
    check_form(asked.form)
    _refuse(what, {name: words for name, words in given.items() if words}, asked)
    if what:
        from caskbook.cli.commands.retirement_sheets import run_sheets

        return run_sheets(what, (asked.records, asked.as_of, asked.at), asked.form, asked.save)
    filters = chosen(given, asked.records, asked.as_of, asked.at)
    found = _gathered(asked, filters)
    if not found.candidates.judged and not say_no_casks(found.root, asked.at) and filters:
        say_nothing_fits(filters, found.near)
    _print(found.candidates, asked, only(filters), judged_at(asked.records, asked.at))
    return 0


def _refuse(what: Sequence[str], given: Mapping[str, Any], asked: Asked) -> None:
    """CaskbookError for options that contradict one another, or do nothing."""
    if asked.explain and asked.form != "text":
        raise CaskbookError(f"--explain --format {asked.form}: expected text")
    if not what:
        return
    idle = [*(f"--{name}" for name in given), *(["--top"] if asked.top else []), *(["--explain"] if asked.explain else [])]
    if idle:
        raise CaskbookError(f"{idle[0]}: it is about the list, and the casks are named; leave one of them out")
    if asked.form == "csv":
        raise CaskbookError("--format csv: a sheet is no row; expected text, json or jsonl")
    if asked.save and asked.form != "text":
        raise CaskbookError(f"--save with --format {asked.form}: the ending of the file says what it is")


def _gathered(asked: Asked, filters: Mapping[str, Any]) -> _Found:
    """The verdicts out of the index, and what filters that no cask fits likely meant."""

    def read(index: Index, answer: Answer) -> _Found:
        found = _candidates(index, answer.day, filters, asked.at)
        return _Found(index.root, found, () if found.judged else near_in(index, filters))

    return read_answer(asked.records, asked.as_of, asked.at, read, _none)


def _none(book: Book) -> _Found:
    """A book without a cask has no candidates."""
    from caskbook.work.candidates import candidates_of

    return _Found(book.root, candidates_of((), book.day, 0, {None: book.ledger.house.on(book.day).due.retire}))


def _candidates(index: Index, day: date, filters: Mapping[str, Any], at: str | None) -> Candidates:
    """The casks with a sign, of those that pass the filters."""
    from caskbook.due.retire_words import NO_SIGN
    from caskbook.index.listing import Filter
    from caskbook.ledger.house_read import house_of
    from caskbook.words import CASK_TYPES
    from caskbook.work.candidates import candidates_of

    looked_up = passing(index, filters) if filters.keys() - {"type", "berth"} else None
    taken = Filter((_RULE,), tuple(filters.get("type", ())), tuple(filters.get("berth", ())), looked_up)
    verdicts = index.of_rule(taken, _RULE, "house proposes retirement at", NO_SIGN)
    house = house_of(index.root, at)
    rules = {kind: house.on(day, kind).due.retire for kind in (None, *CASK_TYPES)}
    return candidates_of(verdicts, day, sum(index.counts(taken).verdicts.values()), rules)


def _print(found: Candidates, asked: Asked, narrowed: Sequence[str], judged: Revision | None) -> None:
    """The list goes out as text, JSON, JSON lines or CSV, or what its figures mean."""
    from caskbook.render.candidates import candidates_text, explained_text
    from caskbook.render.candidates_data import candidates_csv, candidates_json

    put_out(
        asked.form,
        lambda width: explained_text(found, narrowed, width=width) if asked.explain else candidates_text(found, narrowed, width=width, top=asked.top),
        lambda form: candidates_csv(found) if form == "csv" else candidates_json(found, narrowed, form),
        judged,
    )
