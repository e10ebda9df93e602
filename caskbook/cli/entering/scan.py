"""`caskbook enter scan JOB [fields]`: a cask a line, from a scanner or the keyboard, each written at once and echoed."""

from __future__ import annotations

import shlex
import sys
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, open_book, say, tell, write
from caskbook.cli.entering.ask_questions import without_early_key
from caskbook.cli.entering.bench_reading import tell_jobs
from caskbook.cli.entering.lines import Lines, Refused
from caskbook.cli.numbers import check_utf8, lines_on_stdin
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.entry.request import Request

_HELP = (
    "caskbook enter scan JOB [fields]\n"
    "  then one cask a line, each written at once\n"
    "  a line may say more: TH-004217 fail --leaks joint-3, or 4217 f j3\n"
    "  what is lacking is asked for, of a test with one key:\n  p, f or c (leaked, driven, passed)\n"
    "  undo takes back the last; quit, or the end of input, ends;\n  --commit commits then"
)


def run(argv: list[str]) -> int:
    """Read casks until the input ends. 1 where one was refused."""
    from caskbook.cli.committing import commit_run, refuse_dry
    from caskbook.cli.entering.ask import on_terminal
    from caskbook.cli.entering.shift import shift_for
    from caskbook.entry.request import MANY_FILES, read_request

    if not argv or argv[0] in ("-h", "--help"):
        write(_HELP)
        return 0
    base = read_request(argv)
    if base.has("help"):
        write(_HELP + "\n")
        tell_jobs(base)
        return 0
    if base.casks or base.named or base.jobs[0] in MANY_FILES:
        raise CaskbookError("scan takes the job and its fields; the casks come line by line")
    refuse_dry(dry=base.has("dry_run"), commit=base.has("commit"))
    book = open_book(base.one("records"), joins=True)
    shift_for(book, by=base.one("by", base.jobs[0]))
    doubt = _day_doubt(book, base)
    if not _day_sure(doubt, base):
        return 1
    run_ = _Scan(book, argv[0], base, doubt)
    prompt = on_terminal()
    if prompt:
        say("scan or type a cask's number, then Enter: each is written at once; `undo` takes back the last, `quit` or Ctrl-D ends")
    try:
        with lines_on_stdin():
            _take_all(run_, base, prompt=prompt)
    except KeyboardInterrupt:
        run_.keep()
        raise
    code = run_.end()
    return max(code, commit_run(run_.book)) if base.has("commit") else code


def _take_all(run_: _Scan, base: Request, *, prompt: bool) -> None:
    """Line by line, until somebody says that it is enough or the input ends."""
    while True:
        if prompt:
            tell(f"{'+'.join(base.jobs)} {run_.count + 1}> ")
        line = run_.ahead.pop(0) + "\n" if run_.ahead else sys.stdin.readline()
        if not line or line.strip().casefold() in ("quit", "q", "exit"):
            break
        run_.take(line.strip())


def _day_doubt(book: Book, base: Request) -> str | None:
    """What is doubted of the day of the whole run, None where it is not long past."""
    from caskbook.entry.build import read_day
    from caskbook.entry.doubts import day_doubt

    typed = base.one("date")
    return day_doubt(read_day(typed, book.today), book.today) if typed else None


def _day_sure(doubt: str | None, base: Request) -> bool:
    """Whether the day of the whole run is meant, where it is long past: asked once."""
    from caskbook.cli.entering.ask import sure

    if doubt:
        say(doubt)
    return doubt is None or base.has("yes") or sure()


class _Scan(Lines):
    """One run of the scanner: a job, and a cask a line."""

    def __init__(self, book: Book, jobs: str, base: Request, answered: str | None) -> None:
        super().__init__(book, base.given, answered)
        self.jobs = jobs

    def take(self, line: str) -> None:
        """One line: a cask, a cask with more fields, or undo."""
        from caskbook.cli.entering.ask import OtherLine

        if not line:
            return
        try:
            check_utf8(line)
            if line.casefold() == "undo":
                say(f"  {self.undo()[0]['cask']} taken back")
            else:
                self._enter(shlex.split(line))
        except OtherLine as other:
            self.refused += 1
            say(f"  {other}")
            self.ahead.append(other.line)
        except Refused:
            self.refused += 1
        except (CaskbookError, ValueError) as error:
            self.refused += 1
            say(f"  {error}")

    def _enter(self, words: list[str]) -> None:
        from caskbook.cli.entering.tell_and_write import safe
        from caskbook.entry.request import read_request

        if not (any(sign.isdigit() for sign in words[0]) or words[0].startswith(("was:", "@"))) or words[0].startswith("-"):
            raise CaskbookError(f"'{safe(words[0][:30])}' is no cask number; one a line, as TH-004217")
        self.enter(read_request([self.jobs, without_early_key(self.book, self.jobs, words[0]), *words[1:]]))

    def check_casks(self, request: Request) -> None:
        """One cask a line."""
        if len(request.casks) != 1:
            raise CaskbookError("one cask a line, as TH-004217; undo takes back the last")
