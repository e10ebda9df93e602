"""What the bench offers while a line is typed: jobs, casks of the book, words and options of the job, places, and who is of the crew."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from prompt_toolkit.completion import CompleteEvent, Completer, Completion
from prompt_toolkit.document import Document

from caskbook.cli.entering.bench_grammar import WORDS
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.cli.entering.bench_lines import BenchLines

_PLACES = ("joint-", "stave-", "head-A", "head-B", "croze-A-", "croze-B-", "chime-A-", "chime-B-", "hoop-A-", "hoop-B-", "bung", "unseen")
_PLACED = ("place", "places", "leaks", "findings")
_MOST = 12


def completer_of(bench: BenchLines) -> Completer:
    """The completer of a bench."""
    return _Completer(bench)


class _Completer(Completer):
    def __init__(self, bench: BenchLines) -> None:
        self.bench = bench

    def get_completions(self, document: Document, complete_event: CompleteEvent) -> Iterator[Completion]:
        """The words that may go on with what stands before the cursor."""
        words = document.text_before_cursor.split(" ")
        begun = words[-1]
        for word in list(dict.fromkeys(offered(self.bench, [one for one in words[:-1] if one], begun)))[:_MOST]:
            if word != begun:
                yield Completion(word, start_position=-len(begun))


def offered(bench: BenchLines, before: list[str], begun: str) -> Iterable[str]:
    """The words that begin so, behind those that stand there already."""
    if any(sign.isdigit() for sign in begun) and not begun.startswith("-"):
        return _casks(bench, begun)
    return (word for word in _words(bench, before) if word.startswith(begun.casefold()) and (begun or before))


def _casks(bench: BenchLines, begun: str) -> list[str]:
    from caskbook.cli.numbers import numbers_of

    try:
        return numbers_of(bench.book)().begun_with(begun, _MOST) if len(begun) > 1 else []
    except CaskbookError:
        return []


def _words(bench: BenchLines, before: list[str]) -> Iterator[str]:
    """What may stand at this place of the line."""
    from caskbook.entry.crew import there_on
    from caskbook.entry.request import all_jobs

    if not before:
        yield from (*WORDS, *all_jobs())
    elif before[0] == "shift":
        yield from (*there_on(bench.book.ledger.house.on(bench.book.today).crew, bench.book.today), "end")
    elif before[0] in ("help", "explain"):
        yield from all_jobs()
    else:
        job = before[0] if before[0] in all_jobs() else bench.jobs.split("+")[0]
        yield from _of_job(job) if job in all_jobs() else ()


def _of_job(job: str) -> Iterator[str]:
    from caskbook.entry.request import fields_typed

    fields = fields_typed(job)
    for one in fields:
        yield from one.words if one.kind == "choice" else ()
    if any(one.kind in _PLACED for one in fields):
        yield from _PLACES
    yield from (one.option for one in fields)
