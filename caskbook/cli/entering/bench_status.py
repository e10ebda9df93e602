"""What stands at the foot of the bench: who, which day, the job, how much was done; and the cask being typed, before Enter is pressed."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING

from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.cli.common import Book
    from caskbook.cli.entering.bench_lines import BenchLines

_NUMBER = re.compile(r"[A-Za-z][A-Za-z0-9-]*-[0-9]{4,9}|[0-9]{3,9}", re.ASCII)


def status_of(bench: BenchLines) -> str:
    """ "ab · Sunday 2026-11-29 · fill · vat V12 of 800 L · 14 written, 2 refused"."""
    from caskbook.cli.entering.book_now import renewed
    from caskbook.cli.entering.kept import vat_words
    from caskbook.cli.entering.shift import day_words, out_of_force
    from caskbook.ledger.shift import shift_of

    shift = shift_of(bench.book.root)
    kept = bench.kept_for("fill")
    if shift is None:
        who = "no shift: shift WHO"
    else:
        why = out_of_force(renewed(bench.book), shift)
        who = f"{shift.by} · {day_words(shift)}" + (" · SHIFT OVER: shift WHO" if why else "")
        kept = kept if why or "vat" not in shift.usual else shift.usual
    done = f"{bench.count} written" + (f", {bench.refused} refused" if bench.refused else "")
    vat = f" · {words}" if (words := vat_words(kept)) else ""
    return f"{who} · {bench.jobs or 'no job'}{vat} · {done}" + (" · DRY RUN" if ("run", "dry_run") in bench.given else "")


def echo_of_line(bench: BenchLines, text: str) -> list[str]:
    """The first cask on the line being typed: what it is and what is due, or why it is none; nothing where no number stands there yet."""
    word = next((one for one in text.split() if _NUMBER.fullmatch(one)), None)
    if word is None or text.lstrip().startswith(("shift", "note")):
        return []
    return list(_echo(bench.book, word, bench.count))


def echo_of_number(book: Book, word: str, count: int) -> tuple[str, ...]:
    """What a number being typed is, as at the bench; nothing for what is none. `count`: lines taken so far."""
    return _echo(book, word, count) if _NUMBER.fullmatch(word) else ()


@lru_cache(maxsize=64)
def _echo(book: Book, word: str, count: int) -> tuple[str, ...]:
    """`count`: lines written so far, for with each the cask may have become another."""
    from caskbook.cli.numbers import numbers_of
    from caskbook.entry.says import cask_line, due_line
    from caskbook.ledger.files import is_cask_id
    from caskbook.ledger.whole import whole_life

    try:
        numbers = numbers_of(book)()
        casks = [word.upper()] if is_cask_id(word.upper()) else numbers.ending(word)
        if len(casks) != 1:
            few = ", ".join(casks[:4]) + (f" and {len(casks) - 4} more" if len(casks) > 4 else "")
            unread = "" if casks else numbers.unread(word)
            return (f"{word}: {few}" if casks else f"{word}: no number ends so" + (f" as far as is read: {unread}" if unread else ""),)
        record = book.ledger.find(casks[0])
        if record is None or record.own is None:
            return (f"{casks[0]} is not in the book" if record is None else f"{casks[0]} cannot be read",)
        life = whole_life(book.ledger, record.own, book.today)
        return tuple(line for line in (cask_line(life), due_line(life)) if line)
    except CaskbookError as error:
        return (str(error),)
