"""What a row of a sheet says of the cask itself, held against the file of a cask that is in the book already."""

from __future__ import annotations

import shlex
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from caskbook.entry.entry import Entry
from caskbook.entry.page import Page
from caskbook.entry.plan import Desk
from caskbook.entry.row_places import Told
from caskbook.model.cask import CaskHead, read_cask
from caskbook.model.jobs.cask_head import KEYS, key_word, value_words
from caskbook.model.standing import corrections


def with_head_told(desk: Desk, row: Entry, entry: Entry | None, told: Told) -> Entry | None:
    """The entry of a row as it is to be written; without its head where the file has one that says the same.

    A fault in `told` where the file says something else, a word where the row says less.
    """
    page = desk.page(row.cask)
    if row.head is None or page.record is None or page.record.cask is None or (entry is not None and _is_new(page, entry)):
        return entry
    head = _read(row.head)
    was, now = page.record.cask.written, page.record.cask.head
    if head is None or was.codes:
        return entry
    given = [key for key in KEYS if getattr(head, key) is not None]
    wrong = [key for key in given if getattr(head, key) not in (getattr(was, key), getattr(now, key))]
    if wrong:
        told.faults.append((row.row or 0, _other_words(row, head, now, wrong)))
    less = [key for key in KEYS if key not in given and getattr(was, key) is not None]
    if less and not wrong:
        said = ", ".join(f"{key_word(key)} {value_words(key, getattr(was, key))}" for key in less)
        told.echoes.append(f"row {row.row}: the row no longer says what the book says of {row.cask}: {said}")
    return replace(entry, head=None) if entry is not None else None


def _is_new(page: Page, entry: Entry) -> bool:
    """Whether a row puts nothing right that is in the book: then its head is refused as that of any second receipt. A receipt of the same
    sheet that was voided may come again."""
    fallen = corrections(page.events).fallen
    again = any(one.job == entry.job and one.sheet == entry.data.get("sheet") and one.id in fallen for one in page.events)
    return not entry.data.get("replaces") and not again


def _read(head: Mapping[str, Any]) -> CaskHead | None:
    cask, faults = read_cask({**head, "events": []})
    return cask.head if cask is not None and not faults else None


def _other_words(row: Entry, head: CaskHead, now: CaskHead, wrong: list[str]) -> str:
    there = ", ".join(f"{key_word(key)} {value_words(key, getattr(now, key)) if getattr(now, key) is not None else 'nothing'}" for key in wrong)
    options = " ".join(f"--{key_word(key)} {shlex.quote(_typed(key, getattr(head, key)))}" for key in wrong)
    return (
        f"{row.cask} is in the book, and of it: {there}; the row says something else. If the row is right:"
        f" caskbook enter correct {row.cask} {options} --why …, then read the sheet again; if it is another cask: take another number"
    )


def _typed(key: str, value: Any) -> str:
    """A value of a head as it is typed behind its option."""
    if key == "prior":
        return value_words(key, value).replace("; ", ", ")
    return ",".join(str(one) for one in value) if isinstance(value, list) else value_words(key, value).removesuffix(" L")
