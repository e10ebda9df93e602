"""What every command begins with: the ledger, the day, and output that is safe to print anywhere."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from caskbook.cli.carried_in import begin_carried, no_state
from caskbook.cli.which_ledger import which_line
from caskbook.core import outcome
from caskbook.core.days import DayError, parse_input_day, time_now, today_in
from caskbook.core.finding import CaskbookError
from caskbook.core.speaking import in_name
from caskbook.ledger.folder import find_ledger
from caskbook.ledger.journal import FOLDER, unfinished
from caskbook.ledger.pending_writes import read_through

if TYPE_CHECKING:
    from collections.abc import Callable

    from caskbook.index.answer import Answer
    from caskbook.index.index import Index
    from caskbook.index.peek import Neighbours
    from caskbook.ledger.files import Ledger
    from caskbook.render.console import Output
    from caskbook.render.styled import Styled


class OutputError(CaskbookError):
    """What was to be printed could not be. What was written before that stays written."""


@dataclass(frozen=True, slots=True)
class Book:
    """An open ledger. `today` is the real day in the house's time zone, `day` the one asked for.

    `neighbours` waits for what the index knows of all casks beside, where that was asked for. `files_alone`: nothing that lies
    beside the files is believed.
    """

    ledger: Ledger
    root: Path
    today: date
    day: date
    now: datetime
    neighbours: Callable[[], Neighbours | None] | None = None
    files_alone: bool = False


def clock() -> datetime:
    """The time by the machine's clock."""
    return time_now()


def open_book(
    records: str | None, as_of: str | None = None, at: str | None = None, start: Path | None = None, *, joins: bool = False, neighbours: bool = False
) -> Book:
    """Find and open the ledger, looking from `start` up; finish first what an interrupted run had committed.

    `joins`: which numbers are joined is looked up in the index where it is asked, and not in all files. `neighbours`: what the index
    knows of all casks will be asked too, so git begins at once to look for what changed, on another core than the one that loads
    everything else. CaskbookError where there is no ledger.
    """
    here = Path.cwd()
    root = find_ledger(start or here, records, os.environ.get("CASKBOOK_RECORDS"))
    _, odd = read_through(root)
    now = clock()
    carried = begin_carried(root)
    indexed = not at and os.environ.get("CASKBOOK_INDEX") != "off"
    index = _index_of(root, here, now) if indexed and (joins or neighbours) else None
    peek = index.start_peek(as_of) if index is not None and neighbours else None
    try:
        from caskbook.ledger.opening import open_ledger

        ledger = open_ledger(root, here, at)
        warn_of_house(ledger)
        ledger.today = today = house_today(ledger, now)
        day = day_or_today(as_of, today)
        lines = carried()
    except CaskbookError:
        let_go(peek)
        raise
    _say_all(odd, lines, which_line(root, start or here, records))
    if joins or neighbours:
        from caskbook.index.index import Index

        Index.search_near(ledger)
    if lines:
        let_go(peek)
        return Book(ledger, root, today, day, now, files_alone=True)
    if index is not None:
        index.serve(ledger)
    return Book(ledger, root, today, day, now, peek)


def _say_all(odd: str, lines: list[str], which: str) -> None:
    """Which ledger it is, and what is not believed, each once: `odd`, about an unfinished write, may be among the lines already."""
    told = lines if not odd or any(FOLDER in line for line in lines) else [odd, *lines]
    for line in [which, *told] if which else told:
        say(f"caskbook: {line}")


def let_go(peek: Callable[[], Neighbours | None] | None) -> None:
    """Close what was begun to be asked of the index, where nobody will ask it any more."""
    neighbours = peek() if peek is not None else None
    if neighbours is not None:
        neighbours.close()


def index_of(book: Book, at: str | None = None, *, memory: bool = False) -> Index:
    """The index of an open ledger, not opened yet; none is kept or believed where the files alone count. `memory`: one that lasts
    as long as the command serves as well."""
    kept = not book.files_alone and os.environ.get("CASKBOOK_INDEX") != "off"
    return _index_of(book.root, Path.cwd(), book.now, at, disk=kept, memory=memory)


def _index_of(root: Path, here: Path, now: datetime, at: str | None = None, *, disk: bool = True, memory: bool = False) -> Index:
    from caskbook.index.index import Index

    return Index(root, here, now, at, disk=disk, memory=memory)


def warn_of_house(ledger: Ledger) -> None:
    """Say that settings could not be read, and so stand at their defaults, or at the first value of a key that is given twice."""
    wrong = ledger.house_file.at_default
    if wrong:
        _warn_of_settings(ledger.file_store.shown, wrong)


def _warn_of_settings(shown: str, wrong: int) -> None:
    if wrong < 0:
        say(f"{shown}house.yaml cannot be read whole: what it lacks stands at the default; caskbook check")
        return
    stands = "settings cannot be read and stand" if wrong > 1 else "setting cannot be read and stands"
    say(f"{shown}house.yaml: {wrong} {stands} at the default, or the first of two values; caskbook check")


def house_today(ledger: Ledger, now: datetime) -> date:
    """The day it is in the house."""
    try:
        return today_in(ledger.house.timezone, now)
    except DayError:
        return now.date()


def day_or_today(as_of: str | None, today: date) -> date:
    """The day asked about, today where none is named."""
    if as_of is None:
        return today
    try:
        return parse_input_day(as_of, today)
    except DayError as error:
        raise CaskbookError(f"--as-of: {error}") from None


def index_answer(
    records: str | None, as_of: str | None = None, at: str | None = None, *, memory: bool = False, beside: bool = False
) -> tuple[Index, Answer] | None:
    """The index, and its answer about all casks, brought up to date first; None where there can be no index, or none is wanted.

    `memory`: make one that lasts as long as the command, where none can be kept. `beside`: whether what reports alone tell is wanted.
    """
    off = os.environ.get("CASKBOOK_INDEX") == "off"
    if off and not memory:
        return None
    here = Path.cwd()
    root = find_ledger(here, records, os.environ.get("CASKBOOK_RECORDS"))
    _, odd = read_through(root)
    if odd and unfinished(root) and not at and not memory:
        return None
    carried = begin_carried(root)
    index = _index_of(root, here, clock(), at, memory=memory)
    index.beside = beside
    index.start()  # git is at work while the rest is imported
    from caskbook.cli.progress import progress

    lines, stateless = carried(), "" if off else no_state()
    if stateless:
        say(f"caskbook: no index is kept, {stateless}")
    if not memory and (lines or stateless):
        return None  # who then reads all files tells the lines
    index.disk = not (off or lines or stateless)
    with progress("casks") as advance:
        found = index.answer(as_of, advance)
    if found is None:
        return None
    _say_all(odd, lines, which_line(root, here, records))
    if found.wrong:
        _warn_of_settings(found.shown, found.wrong)
    return index, found


def screen() -> Output:
    """What standard output can take: its width (None in a pipe, where nothing is cut), styles, and which signs."""
    from caskbook.render.console import output_for

    terminal = sys.stdout.isatty()
    columns = _columns() if terminal else None
    return output_for(os.environ, terminal=terminal, columns=columns, encoding=sys.stdout.encoding or "ascii")


def write_text(text: Styled | str, output: Output) -> None:
    """Print text for people, as the output wants it."""
    from caskbook.render.console import produce

    write(produce(text, output))


def write(text: str) -> bool:
    """Print data to stdout: whole, and never failing on what the terminal cannot show; whether anybody took it.

    A reader who has gone is no fault of a command that only reads; one that has written must say so, and ends with
    OutputError, as every command does where its output cannot be put down.
    """
    stream = sys.stdout
    whole = text if text.endswith("\n") or not text else text + "\n"
    try:
        try:
            stream.write(whole)
        except UnicodeEncodeError:
            encoding = stream.encoding or "ascii"
            stream.write(whole.encode(encoding, "backslashreplace").decode(encoding))
        stream.flush()
    except (OSError, ValueError) as error:
        output_lost(error)
        return False
    return True


def output_lost(error: OSError | ValueError) -> None:
    """Standard output took nothing more: what is still in its buffer goes nowhere, and OutputError says so where it matters."""
    close_off(sys.stdout)
    if not isinstance(error, BrokenPipeError):
        raise OutputError(f"standard output cannot be written ({(getattr(error, 'strerror', None) or str(error)).lower()})")
    if outcome.noted():
        raise OutputError("whoever read standard output has gone")


def close_off(stream: TextIO) -> None:
    """Let a stream that failed lead nowhere, so that what is left in it does no harm at the end."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


def say(text: str) -> None:
    """Everything else goes to stderr, with nothing in it that could steer a terminal: on one folded between words, else as it is."""
    text = in_name(text)
    if not text.replace("\n", "").isprintable():
        from caskbook.render.console import safe

        text = "\n".join(safe(line) for line in text.split("\n"))
    if sys.stderr.isatty():
        wide = max(_columns(), 40)
        text = "\n".join(_folded(line, wide) for line in text.split("\n"))
    tell(text + "\n")


def tell(text: str) -> None:
    """Put a text on stderr as it is; where that cannot be, the exit code has to do."""
    try:
        sys.stderr.write(text)
        sys.stderr.flush()
    except (OSError, ValueError):
        close_off(sys.stderr)


def _columns() -> int:
    from shutil import get_terminal_size  # This loads what packs files, and in a pipe nobody asks for it.

    return get_terminal_size().columns


def _folded(line: str, wide: int) -> str:
    from textwrap import TextWrapper

    indent = len(line) - len(line.lstrip())
    fold = TextWrapper(wide, subsequent_indent=" " * (indent + 2 if indent else 0), break_long_words=False, break_on_hyphens=False, drop_whitespace=True)
    return line if len(line) <= wide else fold.fill(line)


def one_of(name: str, value: str, allowed: tuple[str, ...]) -> str:
    """A word from a list; CaskbookError otherwise."""
    if value not in allowed:
        from caskbook.words.spelling import did_you_mean

        raise CaskbookError(f"{name} {value}: expected {', '.join(allowed[:-1])} or {allowed[-1]}{did_you_mean(value, allowed)}")
    return value
