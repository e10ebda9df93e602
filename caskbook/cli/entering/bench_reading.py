"""Lines of a bench that write nothing: a command that reads, and help."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, write
from caskbook.cli.entering.bench_grammar import HELP
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.entry.request import Request


def show_read(book: Book, words: list[str], last: str | None) -> None:
    """A command that only reads, on this book; `show` alone shows the `last` cask. CaskbookError where it is not understood."""
    from caskbook.cli.without_typer import run_plain

    first = words[0].casefold()
    if first == "explain":
        from caskbook.cli.commands.explain import run

        run(" ".join(words[1:]) or None)
        return
    if first == "show" and len(words) == 1:
        if not last:
            raise CaskbookError("show which cask? as: show 7005")
        words = [*words, last]
    if run_plain([first, *words[1:], "--records", str(book.root)]) is None:
        raise CaskbookError(f"{first} is not understood so; as: {'show 7005 --all' if first == 'show' else f'{first} 7005'}")


def show_help(words: Sequence[str]) -> None:
    """What a bench takes, or what a job takes."""
    if not words:
        write("  " + HELP)
        return
    from caskbook.entry.request import Request, read_jobs

    tell_jobs(Request(read_jobs(words[0])))


def tell_jobs(request: Request) -> None:
    """The help of what a line would do."""
    from caskbook.cli.entering.help import job_help

    write("\n\n".join(job_help(job) for job in request.jobs))
