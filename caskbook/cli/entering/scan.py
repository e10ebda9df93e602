"""`caskbook enter scan JOB [fields]`: a cask a line, from a scanner or the keyboard, each written at once and echoed."""

from __future__ import annotations

import shlex
import sys
from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from caskbook.cli.common import Book, open_book, say, tell, write
from caskbook.core import outcome
from caskbook.core.finding import CaskbookError
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from collections.abc import Collection

    from caskbook.entry.plan import Desk, Plan
    from caskbook.entry.plan_request import Draft
    from caskbook.entry.request import Request

_KEPT = ("by", "psi", "method", "spirit", "why", "approved_by")
_HELP = (
    "caskbook enter scan JOB [fields]\n"
    "  then one cask a line, each written at once\n"
    "  a line may say more: TH-004217 fail --leaks joint-3\n"
    "  undo takes back the last; quit, or the end of input, ends"
)


def run(argv: list[str]) -> int:
    """Read casks until the input ends. 1 where one was refused."""
    from caskbook.cli.entering.ask import on_terminal
    from caskbook.cli.entering.shift import shift_for
    from caskbook.entry.request import MANY_FILES, read_request

    if not argv or argv[0] in ("-h", "--help"):
        write(_HELP)
        return 0
    base = read_request(argv)
    if base.casks or base.named or base.jobs[0] in MANY_FILES:
        raise CaskbookError("scan takes the job and its fields; the casks come line by line")
    book = open_book(base.one("records"), joins=True)
    shift_for(book, by=base.one("by", base.jobs[0]))
    doubt = _day_doubt(book, base)
    if not _day_sure(doubt, base):
        return 1
    run_ = _Run(book, argv, base, doubt)
    prompt = on_terminal()
    if prompt:
        say("scan or type a cask's number, then Enter: each is written at once; `undo` takes back the last, `quit` or Ctrl-D ends")
    try:
        _take_all(run_, base, prompt=prompt)
    except KeyboardInterrupt:
        run_.keep()
        raise
    return run_.end()


def _take_all(run_: _Run, base: Request, *, prompt: bool) -> None:
    """Line by line, until somebody says that it is enough or the input ends."""
    while True:
        if prompt:
            tell(f"{'+'.join(base.jobs)} {run_.count + 1}> ")
        line = sys.stdin.readline()
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


class _Run:
    """One run of the scanner: what was written, and what was refused. `answered`: the doubt that was put for all its lines."""

    def __init__(self, book: Book, argv: list[str], base: Request, answered: str | None) -> None:
        self.argv, self.base, self.answered = argv, base, answered
        self.done: list[list[dict[str, Any]]] = []
        self.tried: list[list[dict[str, Any]]] = []
        self.refused = 0
        self.book = book

    @property
    def count(self) -> int:
        """Casks written so far."""
        return len(self.done)

    def take(self, line: str) -> None:
        """One line: a cask, a cask with more fields, or undo."""
        if not line:
            return
        try:
            if line.casefold() == "undo":
                self._undo()
            else:
                self._enter(shlex.split(line))
        except (CaskbookError, ValueError) as error:
            self.refused += 1
            say(f"  {error}")

    def _enter(self, words: list[str]) -> None:
        """Plan one line, ask what is open, tell and write."""
        from caskbook.cli.entering.ask import on_terminal
        from caskbook.cli.entering.ask_questions import ask_questions
        from caskbook.cli.entering.desk import asker_of, desk_of
        from caskbook.cli.entering.shift import shift_for, take_usual
        from caskbook.entry.plan_request import plan_scanned

        self.book = replace(self.book, now=datetime.now(UTC))
        shift = shift_for(self.book, by=self.base.one("by", self.base.jobs[0]), told=False)
        desk = desk_of(self.book, shift)
        request = self._request(desk, words)
        typed = set(request.given)
        take_usual(request, shift)
        asker, may_ask = asker_of(self.book, desk, shift), on_terminal()
        draft = plan_scanned(desk, request, asker, may_ask=may_ask)
        draft = ask_questions(desk, request, draft, lambda: plan_scanned(desk, request, asker, may_ask=may_ask))
        self._keep_answers(request, typed)
        self._tell_and_write(draft, request)

    def _request(self, desk: Desk, words: list[str]) -> Request:
        """One line as a request: the cask, what stands on the line, and what the run was begun with."""
        from caskbook.cli.entering.desk import name_absent, name_in_full
        from caskbook.cli.entering.tell_and_write import safe
        from caskbook.entry.casks import looks_like_casks
        from caskbook.entry.entry import run_sheet
        from caskbook.entry.joined import refuse_joined
        from caskbook.entry.request import read_request

        if not looks_like_casks(words[0]):
            raise CaskbookError(f"'{safe(words[0][:30])}' is no cask number; one a line, as TH-004217")
        request = read_request([self.argv[0], *words])
        name_in_full(desk, request)
        if len(request.casks) != 1:
            raise CaskbookError("one cask a line, as TH-004217; undo takes back the last")
        request.given = {**self.base.given, **request.given}
        refuse_joined(desk.joins, desk.page, request)
        if desk.page(request.casks[0]).record is None and request.jobs[0] != "receive":
            name_absent(desk, request)
        if desk.page(request.casks[0]).record is None and request.jobs[0] != "receive":
            raise CaskbookError(self.book.ledger.absent(request.casks[0]))
        job = request.jobs[0]
        if request.one("sheet", job) is None:
            sheet = self.base.one("minted") or run_sheet(self.book.today, request.one("by", job), desk.bits)
            self.base.given[("run", "minted")] = request.given[("run", "minted")] = [sheet]
            for one in request.jobs:
                request.given[(one, "sheet")] = [sheet]
        return request

    def _tell_and_write(self, draft: Draft, request: Request) -> None:
        """Tell one line's plan, ask about what is doubted of it, and write it."""
        from caskbook.cli.entering.ask import sure
        from caskbook.cli.entering.tell_and_write import safe, tell_refusals

        assert draft.plan is not None
        if draft.plan.refusals:
            self.refused += 1
            tell_refusals(draft.plan)
            return
        doubts = [text for text in draft.remarks.doubts if text != self.answered]
        for text in (*draft.remarks.lines, *doubts):
            say(safe(text))
        if doubts and not (request.has("yes") or request.has("dry_run") or sure()):
            self.refused += 1
            return
        self._put_down(draft.plan, request)

    def _put_down(self, plan: Plan, request: Request) -> None:
        """Write one line's entries, and keep in mind what is to be taken back; also where the run is ended just then."""
        from caskbook.entry.undo import as_run
        from caskbook.entry.write import stands, write_plan

        if "same-as" in request.jobs:  # What this line joins counts for the next one, and no longer once it is taken back.
            self.book.ledger.forget_claims()
        told = [as_run(page) for page in plan.pages]
        if request.has("dry_run"):
            self.tried.append(told)
            return
        try:
            write_plan(self.book.root, plan)
        except KeyboardInterrupt:
            if stands(self.book.root, plan):
                self.done.append(told)
            raise
        self.done.append(told)

    def _keep_answers(self, request: Request, typed: Collection[tuple[str, str]]) -> None:
        """What was asked for the first cask, and is alike for a run, holds for the next ones; what stood on its line does not."""
        for place, texts in request.given.items():
            if place not in self.base.given and place not in typed and place[1] in _KEPT:
                self.base.given[place] = texts

    def _undo(self) -> None:
        """Take back the last cask of the run. CaskbookError where there is none, or where its entry was committed meanwhile."""
        from caskbook.cli.commands.correct import committed_ids
        from caskbook.cli.commands.undo_files import taken_back

        if not self.done:
            raise CaskbookError("nothing to take back in this run")
        files = self.done[-1]
        for one in files:
            if landed := set(one["ids"]) & (committed_ids(self.book, one["path"]) or set()):
                raise CaskbookError(f"{one['cask']} was committed meanwhile; put it out of force: caskbook void {one['cask']} {min(landed)} --why …")
        with outcome.whole():
            taken_back(self.book, files)
            self.book.ledger.forget_claims()
            self.done.pop()
        say(f"  {files[0]['cask']} taken back")

    def end(self) -> int:
        """What was done, in figures."""
        self.keep()
        tried = f"{_account(self.tried)} tried, not written (--dry-run)" if self.tried else ""
        written = f"{_account(self.done)} written" if self.done or not tried else ""
        say(", ".join(part for part in (written, tried, f"{self.refused} refused" if self.refused else "") if part))
        return 1 if self.refused else 0

    def keep(self) -> None:
        """What the whole run wrote is what `caskbook undo` takes back."""
        from caskbook.entry.write import remember

        merged: dict[str, dict[str, Any]] = {}
        for one in (one for files in self.done for one in files):
            if one["path"] in merged:
                merged[one["path"]]["ids"] += one["ids"]
                merged[one["path"]]["lines"].update(one["lines"])
            else:
                merged[one["path"]] = {**one, "ids": list(one["ids"]), "lines": dict(one["lines"])}
        if merged:
            remember(self.book.root, list(merged.values()))


def _account(lines: Collection[list[dict[str, Any]]]) -> str:
    """ "2 casks" for lines of the scan that were a cask each, "3 entries on 2 casks" where one was scanned again."""
    casks = {one["path"] for files in lines for one in files}
    again = f"{number_of(sum(len(one['ids']) for files in lines for one in files), 'entry')} on " if len(casks) < len(lines) else ""
    return again + number_of(len(casks), "cask")
