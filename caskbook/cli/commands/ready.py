"""`ready`: the empty casks by how many jobs each is from ready, and which to take so that there are enough."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from caskbook.cli.choosing import chosen, conditions, only, own_condition
from caskbook.cli.common import Book, open_book, say, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.cli.forms import check_form
from caskbook.cli.index_answer import answered
from caskbook.cli.judged_at import json_at, judged_at, text_at
from caskbook.cli.remarks import left_out, say_left_out, say_no_casks, say_nothing_fits
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.index.index import Index
    from caskbook.model.house import Settings
    from caskbook.work.known import Notes
    from caskbook.work.ready import KnownEmpty, Readiness

_HERE = "ifnull(whereabouts, 'here') = 'here' AND ifnull(form, '') <> 'gone'"
_FACTS = "cask, type, berth, store, capacity_l, ifnull(state, '') = 'ready'"
_MOST = 1_000_000


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed with the command: the options by their names; `where`: a condition of SQL."""

    records: str | None = None
    as_of: str | None = None
    at: str | None = None
    form: str = "text"
    filters: Mapping[str, Any] = field(default_factory=dict)
    where: str | None = None
    want: int | None = None
    litres: float | None = None
    spirit: str | None = None
    every: bool = False
    explain: bool = False
    fail_if_short: bool = False


@dataclass(frozen=True, slots=True)
class _Empty:
    """An empty cask as the index has it."""

    cask: str
    type: str
    berth: str | None
    store: str | None
    litres: float | None
    fit: bool


def run(asked: Asked) -> int:
    """Print the casks; 1 with `fail_if_short` where fewer are ready than wanted, else 0."""
    _refuse_unclear(asked)
    filters = chosen(asked.filters, asked.records, asked.as_of, asked.at)
    book = open_book(asked.records, asked.as_of, asked.at, joins=True)
    spirit = None if asked.spirit is None else _known_spirit(asked.spirit, book.ledger.house.on(book.day))
    index, answer = answered(book, asked.at)
    with index:
        notes = index.foreseen()
        known = _known(index, filters, asked.where, notes)
        left_out(answer)
        say_left_out(book.root, asked.at, answer.overlooked, answer.linked, answer.strays)
        found = _worked_out(book, known, asked, spirit)
        if not found.casks and not found.filled and not say_no_casks(book.root, asked.at) and filters:
            say_nothing_fits(filters)
        _say_caution(book, index, found)
        notes.write()
    narrowed = (*only(filters), *([f"only where {asked.where}"] if asked.where else []))
    _print(found, asked, narrowed, settings_unread=bool(book.ledger.house_file.at_default))
    return 1 if asked.fail_if_short and found.short else 0


def _refuse_unclear(asked: Asked) -> None:
    """CaskbookError for options that are out of their range, or do nothing beside the others."""
    check_form(asked.form)
    if asked.want is not None and not 1 <= asked.want <= _MOST:
        raise CaskbookError(f"--want {asked.want}: expected 1 to {_MOST}")
    if asked.litres is not None and not 0 < asked.litres <= 1e9:
        raise CaskbookError(f"--litres {asked.litres:g}: expected more than 0")
    if asked.want is not None and asked.litres is not None:
        raise CaskbookError("--want and --litres: expected one of them")
    if asked.fail_if_short and asked.want is None and asked.litres is None:
        raise CaskbookError("--fail-if-short: of how many? as caskbook ready --want 40 --fail-if-short")
    if asked.explain and asked.form != "text":
        raise CaskbookError(f"--explain --format {asked.form}: expected text")


def _known_spirit(text: str, settings: Settings) -> str:
    """The spirit or wine that was typed, as the book has it. CaskbookError for what is none, with the one that may be meant."""
    from caskbook.words import is_wine
    from caskbook.words.spelling import fold

    word = settings.spirit_word(text) or (fold(text) if is_wine(text, settings.wine_words) else None)
    if word is None:
        near = settings.nearest_spirit(text)
        more = f": did you mean {near}?" if near else "; class_of_spirit of house.yaml takes words of the house's own"
        raise CaskbookError(f"--for {text[:40]}: no spirit or wine that is known{more}")
    return word


def _known(index: Index, filters: Mapping[str, Any], where: str | None, notes: Notes) -> KnownEmpty:
    """What the index knows of the empty casks that pass the filters."""
    from caskbook.index.listing import Filter
    from caskbook.work.ready import KnownEmpty

    narrowed = "".join(f" AND {one}" for one in [*conditions(filters), *own_condition(where)])
    sql = (
        f"SELECT contents, 1, {_FACTS} FROM cask WHERE contents = 'empty' AND {_HERE}{narrowed} UNION ALL "
        f"SELECT contents, count(*), NULL, NULL, NULL, NULL, NULL, NULL FROM cask WHERE contents IS NOT 'empty' AND {_HERE}{narrowed} GROUP BY contents"
    )
    casks, others = [], Counter[bool]()
    with index.select(sql) as rows:
        for contents, count, cask, kind, berth, store, litres, fit in rows.rows:
            if contents == "empty":
                casks.append(_Empty(cask, kind, berth, store, litres, bool(fit)))
            else:
                others[contents is not None] += count
    ahead = index.ahead()
    chosen_casks = Filter(casks=tuple(one.cask for one in casks))
    pressing, soon = index.due(chosen_casks, {"due", "blocked", "unknown"}), index.due(chosen_casks, {"soon"})
    return KnownEmpty(casks, pressing, soon, others[True], others[False], index.peers, ahead.work_minutes, ahead.losing(), notes)


def _worked_out(book: Book, known: KnownEmpty, asked: Asked, spirit: str | None) -> Readiness:
    from caskbook.work.ready import Asked as Wanted
    from caskbook.work.ready import ready_of

    gc.disable()  # Nothing here is cyclic, and the collector would take a good part of the time.
    try:
        return ready_of(known, book.ledger, book.day, Wanted(asked.want, asked.litres, spirit))
    finally:
        gc.enable()


def _say_caution(book: Book, index: Index, found: Readiness) -> None:
    """What can hurt in the jobs of the casks to take, or of all where nothing is wanted."""
    from caskbook.work.cautions import caution_of

    casks = found.casks if found.wanted is None else found.taken
    jobs = [(job, one.cask, one.type) for one in casks for step in one.way.steps for job in step.jobs]
    told = caution_of(jobs, ((book.day, book.ledger.house.on(book.day).test_limit_psi),), index.ahead().capacities)
    if told:
        say(told)


def _print(found: Readiness, asked: Asked, narrowed: Sequence[str], *, settings_unread: bool) -> None:
    """The answer goes out as text, JSON or CSV, or what its figures mean."""
    out, judged = screen(), judged_at(asked.records, asked.at)
    if asked.explain:
        from caskbook.render.ready_explained import explained_text

        write_text(text_at(explained_text(found, narrowed, width=out.width), judged), out)
    elif asked.form == "text":
        from caskbook.render.ready import ready_text

        write_text(text_at(ready_text(found, narrowed, width=out.width, whole=asked.every), judged), out)
    else:
        from caskbook.render.ready_data import ready_csv, ready_json, ready_lines

        if asked.form == "json":
            write_data(json_at(ready_json(found, narrowed, settings_unread=settings_unread), judged))
        else:
            write_data(ready_lines(found) if asked.form == "jsonl" else ready_csv(found))
