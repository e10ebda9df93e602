"""Which casks a list is about: named in any way, or passing filters that are the same in every command that lists casks."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from caskbook.cli.common import open_book
from caskbook.cli.types_typed import type_word
from caskbook.core.finding import CaskbookError
from caskbook.core.vat_names import vat_key

if TYPE_CHECKING:
    from caskbook.index.index import Index
    from caskbook.life.facts import Facts

_NO_SQL = ("syntax error", "incomplete input", "unrecognized token")
Filters = Mapping[str, Any]
"""Column of the table `cask` → words, any of which fits (`berth`: how it begins; `mark`: an old one, capitals aside; `cask`: numbers)."""


def chosen(given: Mapping[str, Any], records: str | None, as_of: str | None, at: str | None) -> dict[str, Any]:
    """The filters that were given, types in the book's own words and casks by the numbers under which they go on.

    CaskbookError for a type that is none, and a cask that the book has not."""
    filters = {name: words for name, words in given.items() if words}
    if "type" in filters:
        filters["type"] = [type_word(word) for words in filters["type"] for word in words.split(",")]
    if "cask" in filters:
        from caskbook.cli.numbers import in_the_book

        filters["cask"] = in_the_book(open_book(records, as_of, at, joins=True), filters["cask"], at)
    return filters


def passing(index: Index, filters: Filters) -> tuple[str, ...]:
    """Casks that pass all filters, by number, out of the answer that the index holds."""
    where = " AND ".join(conditions(filters)) or "1"
    with index.select(f"SELECT cask FROM cask WHERE {where} ORDER BY cask") as found:
        return tuple(row[0] for row in found.rows)


def fits(facts: Facts, filters: Filters) -> bool:
    """Whether a cask with these facts passes all filters: what `passing` says, for a report that goes through the lives one by one."""
    return all(_fits(facts, name, [words] if isinstance(words, str) else list(words)) for name, words in filters.items() if words)


def _fits(facts: Facts, name: str, words: Sequence[str]) -> bool:
    if name == "mark":
        return bool({word.strip().casefold() for word in words} & {mark.strip().casefold() for mark in facts.old_marks or ()})
    fact = getattr(facts, name)
    if name == "berth":
        return fact is not None and fact.startswith(tuple(words))
    return fact is not None and vat_key(fact) in map(vat_key, words) if name == "vat" else fact in words


def only(filters: Filters) -> tuple[str, ...]:
    """The filters in words, for the head of a list; casks that were named are counted."""
    named = [f"only {name} {' or '.join([words] if isinstance(words, str) else words)}" for name, words in filters.items() if name != "cask"]
    casks = filters.get("cask")
    return (*([f"only the {len(casks)} cask{'s' * (len(casks) > 1)} named"] if casks else []), *named)


def conditions(filters: Filters) -> list[str]:
    """The filters that were given as conditions of SQL on the table `cask`."""
    return [_filter(name, value) for name, value in filters.items() if value]


def _filter(name: str, value: Any) -> str:
    words = [value] if isinstance(value, str) else list(value)
    if name == "berth":
        return "(" + " OR ".join(f"substr(berth, 1, {len(word)}) = {quoted(word)}" for word in words) + ")"
    if name == "mark":
        marks = ", ".join(quoted(word.strip().casefold()) for word in words)
        return f"EXISTS (SELECT 1 FROM json_each(old_marks) m WHERE plain_mark(m.value) IN ({marks}))"
    if name == "vat":
        return f"plain_vat(vat) IN ({', '.join(quoted(vat_key(word)) for word in words)})"
    return f'"{name}" IN ({", ".join(quoted(word) for word in words)})'


def own_condition(where: str | None) -> list[str]:
    """The reader's own condition, in brackets, or none. CaskbookError where it is no condition by itself, as one whose brackets would end those around it."""
    if not where:
        return []
    import sqlite3  # It is slow to load, and few ask so.

    with contextlib.closing(sqlite3.connect(":memory:")) as empty:
        try:
            empty.execute(f"EXPLAIN SELECT 1 WHERE {where}")
        except (sqlite3.Error, sqlite3.Warning, ValueError) as error:
            if any(word in str(error) for word in _NO_SQL):
                raise CaskbookError(f"--where {where}: SQL: {error}") from None
    return [f"({where}\n)"]


def quoted(word: str) -> str:
    """A word as SQL has it."""
    return "'" + word.replace("'", "''") + "'"


def sort_keys(text: str | None, allowed: Sequence[str], option: str = "--sort") -> list[tuple[str, bool]]:
    """(name, whether it begins with the largest) of `a,-b`. CaskbookError for a name that is none of those allowed."""
    keys = []
    for word in (text or "").split(","):
        key = word.strip()
        name = key.removeprefix("-")
        if not key:
            continue
        if name not in allowed:
            from caskbook.words.spelling import did_you_mean

            raise CaskbookError(f"{option} {name}: expected {', '.join(allowed[:-1])} or {allowed[-1]}{did_you_mean(name, allowed)}")
        keys.append((name, key.startswith("-")))
    return keys
