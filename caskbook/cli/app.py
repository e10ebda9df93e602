"""One run of the command line: which command is meant, and what goes wrong turned into a line and a code."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable
from functools import cache

from caskbook.cli.own_options import OWN_WORDS
from caskbook.cli.without_typer import run_plain
from caskbook.core import outcome, run_files, this_run

_INTERRUPTED = 130
_WRITE = (
    "init",
    "enter",
    "bench",
    "round",
    "void",
    "correct",
    "redate",
    "move-event",
    "undo",
    "stamp",
    "settle",
    "git",
    "demo",
    "schema",
    "labels",
    "book",
    "sheet",
    "import",
)


def run(arguments: list[str]) -> int:
    """Run one command line; every fault of the surroundings becomes one line on stderr and the code 2.

    Whatever ends a command that writes, its last line says what is written, as it is on the disk.
    """
    from caskbook.core.finding import CaskbookError

    outcome.begin()
    run_files.begin()
    this_run.begin(arguments)
    try:
        return _outcome(arguments)
    except CaskbookError as error:
        return _stopped_by_fault(error, arguments)
    except (KeyboardInterrupt, EOFError):
        outcome.deaf()
        how, code = outcome.stopped_by()
        _say(f"caskbook: {how}; {outcome.sentence()}")
        return code
    except Exception as error:
        return _usage(error, arguments)


def _say(text: str) -> None:
    from caskbook.cli.common import say

    say(text)


def _stopped_by_fault(error: Exception, arguments: list[str]) -> int:
    """A fault of the surroundings, and what was written before it."""
    from caskbook.cli.common import OutputError

    outcome.deaf()
    writes = isinstance(error, OutputError) and arguments[:1] and arguments[0] in _WRITE
    _say(f"caskbook: {error}" + (f"; {outcome.sentence()}" if outcome.noted() or writes else ""))
    return 2


def _outcome(arguments: list[str]) -> int:
    """The exit code of a command line: run by the command's own reader, by the quick one, or by typer. KeyboardInterrupt where it was stopped."""
    first = arguments[0] if arguments else ""
    if first in OWN_WORDS:
        words = arguments[1:]
        if "--" in words:
            words.remove("--")  # Typer does so too: here the word says nothing.
        return OWN_WORDS[first](words)
    code = run_plain(arguments)
    if code is not None:
        return code
    import typer

    from caskbook.cli.typer_commands import COMMANDS, GROUPS

    if first[:1] not in ("", "-") and first not in COMMANDS and first not in GROUPS:
        from caskbook.cli.nearest_command import refuse_job_or_cask

        refuse_job_or_cask(arguments)
    from caskbook.cli.options_once import refuse_unclear_values

    command = _command(first)
    refuse_unclear_values(command, arguments)
    try:
        found = command(arguments, standalone_mode=False, prog_name="caskbook")
    except SystemExit as ending:
        found = ending.code
    except typer.Abort:
        raise KeyboardInterrupt from None
    if found == _INTERRUPTED:  # Typer makes this code of an interruption; no command of ours ends so by itself.
        raise KeyboardInterrupt
    return found if isinstance(found, int) else 0


@cache
def _command(first: str) -> Callable[..., object]:
    """What reads a command line that begins with this word; made once for all lines of a process."""
    from typer.main import get_command

    from caskbook.cli.help_forms import name_values
    from caskbook.cli.typer_commands import command_line

    command = get_command(command_line(first))
    name_values(command)
    return command


def _typed_oddly(error: Exception, arguments: list[str]) -> str:
    """What is odd about a word of the command line, where that is why it ended: bytes that are no text, a name longer than any file's."""
    if isinstance(error, UnicodeEncodeError) and (odd := next((word for word in arguments if not word.isascii() and not _is_text(word)), None)):
        return f"'{''.join(sign if sign.isprintable() else '?' for sign in odd[:30])}' holds a byte that is no UTF-8; no value of the book does"
    if isinstance(error, OSError) and error.errno == errno.ENAMETOOLONG and (odd := max(arguments, key=len, default="")):
        return f"'{''.join(sign if sign.isprintable() else '?' for sign in odd[:30])}…' is too long for the name of a file: {len(odd)} characters"
    return ""


def _is_text(word: str) -> bool:
    return not any("\ud800" <= sign <= "\udfff" for sign in word)


def _usage(error: Exception, arguments: list[str]) -> int:
    """A command line that typer could not read, or help that could not be printed; anything else is a fault of the program."""
    show = getattr(error, "show", None)
    if show is not None:
        show()
    elif said := _typed_oddly(error, arguments):
        _say(f"caskbook: {said}" + (f"; {outcome.sentence()}" if outcome.noted() else ""))
    elif isinstance(error, OSError) and error.errno in (errno.EMFILE, errno.ENFILE):
        _say(f"caskbook: this system lets no more files be open at once (ulimit -n); {outcome.sentence()}")
    elif isinstance(error, PermissionError) and error.filename is not None:
        _say(f"caskbook: {os.fsdecode(error.filename)}: permission denied; {outcome.sentence()}")
    elif isinstance(error, FileNotFoundError) and error.filename is None:
        _say(f"caskbook: the folder in which this was started is no longer there; {outcome.sentence()}")
    elif isinstance(error, OSError) and error.filename is None and error.filename2 is None:
        from caskbook.cli.common import close_off

        close_off(sys.stdout)
        _say(f"caskbook: standard output cannot be written ({(error.strerror or str(error)).lower()}); {outcome.sentence()}")
    elif os.environ.get("CASKBOOK_TRACE"):
        raise error
    else:
        _own_fault(error)
    return 2


def _own_fault(error: Exception) -> None:
    """A fault of the program itself, in one line that says where, so that it can be reported."""
    last = error.__traceback__
    while last is not None and last.tb_next is not None:
        last = last.tb_next
    where = f"{last.tb_frame.f_globals.get('__name__', '?')}:{last.tb_lineno}" if last is not None else "?"
    first = str(error).splitlines()[0][:200] if str(error) else ""
    done = f"; {outcome.sentence()}" if outcome.noted() else ""
    _say(f"caskbook: a fault of the program itself, {type(error).__name__} at {where}: {first} (CASKBOOK_TRACE=1 shows more){done}")
