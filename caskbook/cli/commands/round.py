"""`round`: what is seen along a row, held against the book."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, one_of, open_book, say, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.cli.entering.round_lines import ENDS, RoundLines
from caskbook.core.finding import CaskbookError
from caskbook.entry.berths import read_berths
from caskbook.entry.round import Row
from caskbook.entry.round_steps import Step, steps
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.ledger.round_notes import Begun, RoundNotes


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed with the command: the options by their names."""

    berths: str | None
    casks: Sequence[str]
    records: str | None = None
    date: str | None = None
    form: str = "text"
    by: str | None = None
    enter: bool = False
    yes: bool = False
    dry_run: bool = False
    go_on: bool = False
    anew: bool = False
    vacant: bool = False


def run(asked: Asked) -> int:
    """Read what is seen, tell what does not agree, and enter what was asked for. 1 where the row and the book do not agree, be it
    entered or not."""
    from caskbook.cli.entering.ask import on_terminal

    one_of("--format", asked.form, ("text", "json", "csv"))
    if (asked.yes or asked.dry_run) and not asked.enter:
        raise CaskbookError(f"{'--yes' if asked.yes else '--dry-run'} goes with --enter: without it nothing is written")
    book, begun = _opened(asked)
    stores = book.ledger.house.on(book.day).stores
    row = Row(begun.berths if begun is not None else _berths(asked, stores), stores)
    by_hand = on_terminal() and not asked.casks
    walked = RoundLines(book, row, by_hand=by_hand)
    if not walked.known and not asked.vacant:
        raise CaskbookError(_no_cask(book, row))
    notes = _by_hand(walked, book, begun) if by_hand else None
    if not by_hand:
        _read_all(walked, asked.casks)
    if walked.later:
        say(f"kept, {number_of(len(walked.lines), 'line')}: go on with caskbook round --go-on")
        return 0
    return _tell(walked, asked, notes)


def _berths(asked: Asked, stores: Mapping[str, str]) -> tuple[str, ...]:
    """What was typed to walk along: a store by its name, or berths. CaskbookError where nothing was, or it is none."""
    if asked.berths is None:
        raise CaskbookError("round along which row? as: caskbook round W1/05")
    return (asked.berths,) if asked.berths in stores.values() else tuple(read_berths(asked.berths))


def _opened(asked: Asked) -> tuple[Book, Begun | None]:
    """The book on the day of the round, and the round to go on with. CaskbookError where one was left that nobody speaks of."""
    from caskbook.cli.entering.ask import on_terminal
    from caskbook.cli.entering.desk import shift_here
    from caskbook.ledger.round_notes import begun_round

    book = open_book(asked.records, joins=True)
    left = begun_round(book.root) if on_terminal() or asked.go_on else None
    if asked.go_on and (asked.anew or asked.berths or asked.casks or asked.date):
        raise CaskbookError("--go-on goes on with the round that was left, along its row and of its day: give nothing else with it")
    if asked.go_on and left is None:
        raise CaskbookError("no round was left at this ledger on this machine; begin one, as: caskbook round W1/05")
    if left is not None and not asked.go_on and not asked.anew and not asked.casks:
        raise CaskbookError(
            f"a round of {', '.join(left.berths)}, {left.day}, {number_of(len(left.lines), 'line')}, was not ended: --go-on goes on with it, --anew drops it"
        )
    if asked.go_on and left is not None:
        return replace(book, day=left.day), left
    if asked.date is not None:
        return replace(book, day=_day(asked.date, book.today)), None
    shift = shift_here(book, by=asked.by) if not asked.by else None
    return replace(book, day=shift.day if shift is not None else book.today), None


def _day(text: str, today: date) -> date:
    """The day of the walk. CaskbookError for one that is none, or still to come."""
    from caskbook.entry.build import read_day

    day = read_day(text, today)
    if day > today:
        raise CaskbookError(f"--date {day}: nobody has walked there yet, it is {today}")
    return day


def _no_cask(book: Book, row: Row) -> str:
    """That the book has nothing there, with the nearest berths that it has."""
    from difflib import get_close_matches

    from caskbook.cli.chosen_casks import rows_of

    berths = {str(berth) for (berth,) in rows_of(book, "SELECT DISTINCT berth FROM cask WHERE berth IS NOT NULL")}
    known = {head for berth in berths for head in (berth, berth.rpartition("/")[0]) if head}
    near = get_close_matches(row.berths[0], sorted(known), 3, 0.6)
    hint = f": did you mean {' or '.join(near)}?" if near else ";"
    return f"the book has no cask at {row}{hint} A row that is empty in the book: --vacant"


def _by_hand(walked: RoundLines, book: Book, begun: Begun | None) -> RoundNotes:
    """Lines from the terminal, each kept on the disk until the round is ended; after those of the round that is gone on with."""
    from caskbook.cli.entering.round_screen import take, walk
    from caskbook.ledger.round_notes import RoundNotes

    notes = RoundNotes(book.root, walked.row.berths, book.day)
    kept = [True]
    try:
        if begun is None:
            notes.begin()
    except CaskbookError as error:
        say(f"{error}: what is scanned is not kept, should this be cut off")
        kept[0] = False
    for line in begun.lines if begun is not None else ():
        take(walked, line)
    if begun is not None:
        say(f"going on with the round of {walked.row}: {number_of(len(walked.scans), 'cask')} scanned so far")

    def keep(line: str) -> None:
        try:
            if kept[0]:
                notes.add(line)
        except CaskbookError as error:
            say(f"{error}: what is scanned from here on is not kept, should this be cut off")
            kept[0] = False

    try:
        walk(walked, keep)
    except KeyboardInterrupt:
        if kept[0]:
            say("what was scanned is kept: go on with caskbook round --go-on")
        raise
    return notes


def _read_all(walked: RoundLines, words: Sequence[str]) -> None:
    """The casks of the command line, or of the files it names (`-`: standard input); with none, of a pipe."""
    from caskbook.cli.numbers import text_of

    loose: list[str] = []
    for word in words or ["-"]:
        if word == "-" or word.startswith("file:"):
            _take_lines(walked, walked.lines_of(loose))
            loose = []
            _take_lines(walked, text_of(word.removeprefix("file:")).splitlines())
        else:
            loose.append(word)
    _take_lines(walked, walked.lines_of(loose))


def _take_lines(walked: RoundLines, lines: Sequence[str]) -> None:
    for line in lines:
        word = line.strip().casefold()
        if word in ENDS:
            return
        if word == "undo":
            walked.undo()
        else:
            walked.take(line)


def _tell(walked: RoundLines, asked: Asked, notes: RoundNotes | None) -> int:
    """Print what was found, and enter of it what is wanted."""
    from caskbook.cli.remarks import say_left_out
    from caskbook.render.round import round_csv, round_json, round_text

    found, due = walked.compared()
    todo = list(steps(found, [one.cask for one in found.seen if any(rule == "look" for rule, _, _ in due.get(one.cask, ()))]))
    say_left_out(walked.book.root, None)
    if asked.form == "json":
        write_data(round_json(found, walked.book.day, walked.unread, due, todo))
    elif asked.form == "csv":
        write_data(round_csv(found, due))
    else:
        out = screen()
        write_text(round_text(found, walked.book.day, walked.unread, due, todo, out.width), out)
    certain = [step for step in todo if step.certain]
    code = 0 if found.agrees and not walked.unread else 1
    if certain and _wanted(asked, certain, by_hand=notes is not None):
        from caskbook.cli.entering.round_entries import enter_steps

        if enter_steps(walked.book, certain, asked.by, yes=asked.yes, dry=asked.dry_run) != 0:
            say("the round is kept: go on with caskbook round --go-on") if notes is not None else None
            return 1
    if asked.enter:
        _say_not_entered(todo)
    if notes is not None:
        notes.drop()
    return code


def _say_not_entered(todo: Sequence[Step]) -> None:
    """What --enter leaves to whoever knows what is true of it; that nothing is written, where that is all there was."""
    left: dict[str, int] = {}
    for step in todo:
        if not step.certain:
            left[step.job] = left.get(step.job, 0) + len(step.casks)
    if left:
        say(f"not entered, for it is not certain: {', '.join(f'{job} {count}' for job, count in left.items())}; type what is true of it")
    if not any(step.certain for step in todo):
        say("nothing written")


def _wanted(asked: Asked, certain: Sequence[Step], *, by_hand: bool) -> bool:
    """Whether what is certain shall be entered: asked for with the command, or at the end on a terminal."""
    if asked.enter or not by_hand:
        return asked.enter
    from caskbook.cli.entering.ask import DeclinedError, yes_no

    what = ", ".join(f"{step.job} {len(step.casks)}" for step in certain)
    try:
        return yes_no(f"enter this ({what})? [y/N] ", "n")
    except DeclinedError:
        return False
