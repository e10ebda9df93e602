"""One run of the command line: which command is meant, and what goes wrong turned into a line and a code."""

from __future__ import annotations

import os
import sys

from caskbook.cli.own_words import OWN_WORDS
from caskbook.cli.plain_words import run_plain


def run(arguments: list[str]) -> int:
    """Run one command line; every fault of the surroundings becomes one line on stderr and the code 2."""
    from caskbook.finding import CaskbookError

    try:
        return _outcome(arguments)
    except CaskbookError as error:
        from caskbook.cli.common import say

        say(f"caskbook: {error}")
        return 2
    except (KeyboardInterrupt, EOFError):
        print("caskbook: interrupted; nothing half-written", file=sys.stderr)
        return 130
    except Exception as error:
        return _usage(error)


def _outcome(arguments: list[str]) -> int:
    first = arguments[0] if arguments else ""
    if first in OWN_WORDS:
        words = arguments[1:]
        if "--" in words:
            words.remove("--")  # as typer does: here it says nothing
        return OWN_WORDS[first](words)
    code = run_plain(arguments)
    if code is not None:
        return code
    import typer

    from caskbook.cli.commands import command_line

    try:
        outcome = command_line(first)(arguments, standalone_mode=False, prog_name="caskbook")
    except typer.Abort:
        raise KeyboardInterrupt from None
    return outcome if isinstance(outcome, int) else 0


def _usage(error: Exception) -> int:
    """A command line that typer could not read; anything else is a fault of the program and goes on."""
    show = getattr(error, "show", None)
    if show is not None:
        show()
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
    print(f"caskbook: a fault of the program itself, {type(error).__name__} at {where}: {first} (CASKBOOK_TRACE=1 shows more)", file=sys.stderr)
