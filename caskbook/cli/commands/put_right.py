"""What the commands that put the book right share: how their words are read, who puts right and why, and what is told of the entries."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from caskbook.cli.common import Book, say, write
from caskbook.core.finding import CaskbookError
from caskbook.core.given_once import refuse_empty, refuse_second
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.entry.correct import Target
    from caskbook.entry.of_sheet import OfSheet
    from caskbook.entry.plan import Desk

MOST_TOLD = 10
_VALUES = ("why", "sheet", "by", "to", "records", "date", "from", "before", "map")
_SWITCHES = ("yes", "dry-run", "anyway", "alone", "commit", "help")
_SHORT = {"-y": "--yes", "-n": "--dry-run", "-h": "--help", "-d": "--date"}


def parsed(command: str, argv: Sequence[str], taken: Sequence[str]) -> tuple[list[str], dict[str, str]]:
    """Loose words and options. CaskbookError for an option that the command does not take, of the names in `taken`."""
    loose: list[str] = []
    given: dict[str, str] = {}
    words = [_SHORT.get(word, word) for word in argv]
    at = 0
    while at < len(words):
        word, at = words[at], at + 1
        if not word.startswith("--"):
            loose.append(word)
            continue
        name, equals, text = word[2:].partition("=")
        if name not in (*taken, "records", "yes", "dry-run", "commit", "help"):
            raise CaskbookError(f"--{name[:40]} is no option of {command}; `caskbook {command} --help` lists them")
        if name in _SWITCHES:
            given[name] = "yes"
            continue
        if not equals:
            if at >= len(words) or words[at].startswith("--"):
                raise CaskbookError(f"--{name} needs a value")
            text, at = words[at], at + 1
        refuse_empty(f"--{name}", text)
        refuse_second(f"--{name}", given.get(name, text), text)
        given[name] = text
    return loose, given


def helped(text: str, given: dict[str, str]) -> bool:
    """Whether help was wanted; then it is printed."""
    if "help" in given:
        write(text)
    return "help" in given


def declinable(run: Callable[[list[str]], int]) -> Callable[[list[str]], int]:
    """The command, with whoever was asked and gave no answer as its exit code 1."""

    def command(argv: list[str]) -> int:
        from caskbook.cli.entering.ask import DeclinedError

        try:
            return run(argv)
        except DeclinedError as declined:
            say(str(declined))
            return 1

    command.__doc__ = run.__doc__
    return command


def refuse_without_why(given: dict[str, str]) -> None:
    """CaskbookError where no reason is given and nobody is there to be asked for it."""
    from caskbook.cli.entering.ask import on_terminal

    if not given.get("why") and not on_terminal():
        raise CaskbookError("the reason is needed: --why …")


def common(book: Book, desk: Desk, given: dict[str, str]) -> dict[str, Any]:
    """What all correcting entries of a run bear: day, who, why. CaskbookError where it cannot be told who."""
    from caskbook.cli.entering.desk import shift_here
    from caskbook.entry.build import default_by, read_day
    from caskbook.entry.correct import common_of

    shift = shift_here(book, by=given.get("by"))
    by = given.get("by") or (shift.by if shift is not None else None) or default_by(desk, os.environ.get("CASKBOOK_BY"))
    if by is None and book.ledger.house.on(book.today).crew:
        raise CaskbookError("who puts it right? --by INITIALS")
    day = read_day(given["date"], book.today) if "date" in given else book.today
    return common_of(day, by, given.get("why", ""), None)


def with_reason(found: dict[str, Any]) -> dict[str, Any]:
    """The same with its reason, asked for at the terminal where none was given. ask.DeclinedError where none comes."""
    from caskbook.cli.entering import ask

    if found.get("why"):
        return found
    for _ in range(ask.TRIES):
        text = ask.answer("why (the reason, which stays in the book): ")
        if text and text.isprintable():
            return {**found, "why": text}
    raise ask.DeclinedError("the reason is needed; nothing written")


def entries_of(book: Book, desk: Desk, sheet: str, loose: Sequence[str]) -> OfSheet:
    """The entries that bear a sheet, or the one whose name ends or begins so, in the casks named or in the whole book.
    CaskbookError where none stands."""
    from caskbook.cli.numbers import named
    from caskbook.entry.of_sheet import casks_bearing, of_sheet

    if loose:
        casks = named(book, loose)
    else:
        casks = list(casks_bearing(desk, [sheet]))
    found = of_sheet(desk, sheet, casks)
    if found.name != sheet:
        say(_safe(f"{sheet}: sheet {found.name}"))
    return found


def tell_rest(count: int, noun: str) -> None:
    """How many there are in all, where not all were named."""
    if count > MOST_TOLD:
        say(f"… and {count - MOST_TOLD} more, {number_of(count, noun)} in all")


def tell_target(target: Target) -> None:
    """One entry that shall go out of force."""
    from caskbook.model.jobs.base import event_words

    event = target.event
    because = f"  ({target.because})" if target.because else ""
    say(_safe(f"{target.cask}  {event.date} {event.job}: {event_words(event)}{because}"))


def write_voids(book: Book, desk: Desk, targets: Sequence[Target], bears: dict[str, Any], given: dict[str, str]) -> int:
    """The voids of these entries are planned, told and written, under one sheet where they are in several casks. It gives the exit code."""
    from caskbook.cli.entering.tell_and_write import tell_and_write
    from caskbook.entry.correct import move_of, plan_voids
    from caskbook.entry.entry import run_sheet
    from caskbook.entry.plan_request import drafted

    if not bears.get("why"):
        for target in targets[:MOST_TOLD]:
            tell_target(target)
        tell_rest(len(targets), "entry")
        return write_voids(book, desk, targets, with_reason(bears), {**given, "told": "yes"})
    if len({target.cask for target in targets}) > 1:
        bears["sheet"] = run_sheet(book.today, bears.get("by"), desk.bits)
    plan = plan_voids(desk, targets, bears, anyway=True)
    voided = {(cask, event.get("of")) for cask, event in plan.written}
    told = [target for target in targets if (target.cask, target.event.id) in voided]
    if "told" not in given:
        for target in told[:MOST_TOLD]:
            tell_target(target)
        tell_rest(len(told), "entry")
    for target in [one for one in targets if one not in told][:MOST_TOLD]:
        say(f"{target.cask}  the {target.event.job} of {target.event.date} ({target.event.id}) stays in force: what came after needs it")
    for target in told[:MOST_TOLD]:
        if (move := move_of(desk, target)) is not None and (move.cask, move.event.id) not in voided:
            say(f"{target.cask}  its {target.event.job} stands on {move.cask} no more either; to take back the move: caskbook void {move.cask} {move.event.id}")
    return tell_and_write(book, drafted(desk, plan, work=False), dry="dry-run" in given, yes="yes" in given, commit="commit" in given)


def _safe(text: str) -> str:
    from caskbook.cli.entering.tell_and_write import safe

    return safe(text)
