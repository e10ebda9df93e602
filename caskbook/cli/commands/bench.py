"""`caskbook bench`: one prompt for a day's work, or the same lines from a pipe."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from caskbook.cli.common import Book, open_book, say, write
from caskbook.cli.entering.bench_grammar import HELP
from caskbook.cli.entering.bench_lines import BenchLines
from caskbook.cli.numbers import lines_on_stdin
from caskbook.core.finding import CaskbookError
from caskbook.core.given_once import refuse_second

_HELP = (
    "caskbook bench\n"
    "  one prompt, open all day; each line is written at once, and a crash loses the line being typed at most.\n  "
    + HELP
    + "\n  from a pipe: the same lines, plain answers, exit code 1 where one was refused; # begins a remark\n"
    "  at the end what was written is committed, if git keeps the book;\n  --no-commit leaves that to you\n"
    "  --records DIR; --dry-run tries each line and writes none"
)


def run(argv: list[str]) -> int:
    """Take lines until the end. 1 where one was refused in a pipe, else 0."""
    from caskbook.cli.entering.ask import on_terminal

    given = _given(argv)
    if "help" in given:
        write(_HELP)
        return 0
    book = open_book(given.get("records"), joins=True)
    bench = BenchLines(book, _plain_answer, {("run", "dry_run"): ["yes"]} if "dry-run" in given else {})
    with lines_on_stdin():
        if on_terminal():
            from caskbook.cli.entering.bench_screen import sit_at

            sit_at(bench)
            code = 0
        else:
            _read_all(bench)
            code = 1 if bench.refused else 0
    for line in bench.tally.lines():
        say(line)
    return code if {"dry-run", "no-commit"} & given.keys() else max(code, _commit(bench.book))


def _commit(book: Book) -> int:
    """The day's work is committed where git keeps the book; a house without git is told so, which is no fault."""
    from caskbook.cli.committing import commit_run
    from caskbook.core.run_files import run_files
    from caskbook.git import without_git

    if run_files(book.root) and without_git(book.root):
        say("not committed: no git keeps this book")
        return 0
    return commit_run(book)


def _read_all(bench: BenchLines) -> None:
    while True:
        line = bench.ahead.pop(0) if bench.ahead else sys.stdin.readline()
        if not line or not bench.take("" if line.lstrip().startswith("#") else line.strip()):
            return


def _plain_answer(head: str, rest: Sequence[str], bad: bool) -> None:
    """An answer in plain lines: what is written to standard output, as `enter` does, all else beside it."""
    if bad or not head.startswith("WRITTEN"):
        say(head)
    else:
        write(head)
    for line in rest:
        say(f"  {line}")


def _given(argv: Sequence[str]) -> dict[str, str]:
    """What was given: records, help, dry-run, no-commit. CaskbookError for what the bench does not take."""
    given: dict[str, str] = {}
    words = list(argv)
    while words:
        word = {"-h": "--help", "-n": "--dry-run"}.get(words[0], words[0])
        words.pop(0)
        name, equals, text = word[2:].partition("=")
        if word.startswith("--") and name in ("help", "dry-run", "no-commit"):
            given[name] = "yes"
        elif word.startswith("--") and name == "records" and (equals or words):
            value = text if equals else words.pop(0)
            refuse_second("--records", given.setdefault(name, value), value)
        else:
            raise CaskbookError(f"bench takes no {word[:30]}: start it, then type, as: shift ab, then test 7005 p")
    return given
