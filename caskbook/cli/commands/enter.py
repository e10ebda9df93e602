"""`caskbook enter`: which of its forms is meant, and its help."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskbook.cli.common import Book, open_book, say, write
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.entry.request import Request


def run(argv: list[str]) -> int:
    """Everything behind `enter`. 0 written, 1 refused because of the cask or the house's rules, or declined when asked, 2 (as an
    error) not understood."""
    from caskbook.cli.entering.ask import DeclinedError

    try:
        return _run(argv)
    except DeclinedError as declined:
        say(str(declined))
        return 1


def _run(argv: list[str]) -> int:
    """The form of `enter` that the first word names: help, a sheet, a scan, or jobs on casks. It gives the exit code."""
    if not argv or argv[0] in ("-h", "--help", "help"):
        from caskbook.cli.entering.help import jobs_help

        write(jobs_help())
        return 0
    if argv[0] == "sheet":
        from caskbook.cli.entering.day_sheet import run as sheet

        return sheet(argv[1:])
    if argv[0] == "scan":
        from caskbook.cli.entering.scan import run as scan

        return scan(argv[1:])
    return _enter(argv)


def _enter(argv: list[str]) -> int:
    """Jobs are entered on casks, or their help is printed. CaskbookError where no cask is named."""
    from caskbook.entry.request import read_jobs, read_request

    if any(word in ("-h", "--help") for word in argv):
        from caskbook.cli.entering.help import job_help

        jobs = read_jobs(argv[0])
        if jobs == ["void"]:
            from caskbook.cli.commands.correct import void

            return void(["--help"])
        write("\n\n".join(job_help(job) for job in jobs))
        return 0
    request = read_request(argv)
    if not (request.casks or request.named):
        raise CaskbookError(f"{argv[0]}: which casks? as: caskbook enter {argv[0]} TH-004217")
    if request.jobs == ["void"]:
        return _void(request)
    return _in_three_steps(request)


def _in_three_steps(request: Request) -> int:
    """Plan, ask what is open, tell and write."""
    from caskbook.cli.entering.ask import on_terminal
    from caskbook.cli.entering.ask_questions import ask_questions
    from caskbook.cli.entering.desk import asker_of, desk_of, name_in_full, shift_here
    from caskbook.cli.entering.tell_and_write import tell_and_write
    from caskbook.entry.plan_request import Draft, plan_answered, plan_request

    book = open_book(request.one("records"), joins=True)
    shift = shift_here(book, by=request.one("by", request.jobs[0]))
    desk, may_ask = desk_of(book, shift), on_terminal()
    if shift is not None:
        from caskbook.cli.entering.shift import take_usual

        take_usual(request, shift, book.ledger.house.on(book.today))
    name_in_full(desk, request)
    asker = asker_of(book, desk, shift)

    def again(fresh: Book) -> Draft:
        """From what was typed and answered, on the files as they are now."""
        at = desk_of(fresh, shift)
        return ask_questions(at, request, plan_answered(at, request, asker, may_ask=may_ask), lambda: plan_answered(at, request, asker, may_ask=may_ask))

    draft = plan_request(desk, request, asker, may_ask=may_ask)
    draft = ask_questions(desk, request, draft, lambda: plan_answered(desk, request, asker, may_ask=may_ask))
    return tell_and_write(book, draft, dry=request.has("dry_run"), yes=request.has("yes"), commit=request.has("commit"), again=again)


def _void(request: Request) -> int:
    """A void may concern other files too: the command for it knows which."""
    from caskbook.cli.commands.correct import void

    event = request.one("of", "void")
    if event is None or len(casks := request.casks or request.named) != 1:
        raise CaskbookError("which entry? as: caskbook void TH-004217 dt3q62s1 --why '…'")
    taken = {("void", "of"), ("void", "why"), ("void", "by")}
    for owner, key in request.given:
        if (key in ("before", "closed_on", "like")) if owner == "run" else (owner, key) not in taken:
            raise CaskbookError(f"--{key.replace('_', '-')}: a void says which entry, and why; what else there is to say goes into --why")
    words = [casks[0], event]
    for owner, key in (("void", "why"), ("void", "by"), ("run", "date"), ("run", "records")):
        text = request.one(key, owner)
        words += [f"--{key}", text] if text else []
    words += [f"--{key.replace('_', '-')}" for key in ("yes", "dry_run", "commit") if request.has(key)]
    return void(words)
