"""One question at the terminal: a line, a yes or a no."""

from __future__ import annotations

import sys

from caskbook.cli.common import say, tell
from caskbook.core.finding import CaskbookError

TRIES = 3


class DeclinedError(CaskbookError):
    """Somebody was asked and did not answer: nothing is written, and that is no fault."""


def on_terminal() -> bool:
    """Whether there is somebody to ask."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def answer(prompt: str) -> str:
    """One line from the terminal; DeclinedError at its end."""
    tell(prompt)
    line = sys.stdin.readline()
    if not line:
        say("")
        raise DeclinedError("nothing written")
    return line.strip()


def sure() -> bool:
    """Whether what was doubted is right all the same: asked on a terminal; elsewhere only --yes says so."""
    if not on_terminal():
        say("nothing written: if that is right, add --yes")
        return False
    try:
        said = yes_no("Is that right? [y/N] ", "n")
    except DeclinedError:
        said = False
    if not said:
        say("nothing written")
    return said


def agreed(count: int, *, yes: bool, what: str = "Write {}") -> bool:
    """Whether to go on: one yes for the run. For one cask Enter will do, and without a terminal nobody is asked.

    `what`: the question, with a gap for what it is about.
    """
    if yes:
        return True
    if not on_terminal():
        if count > 1:
            raise CaskbookError(f"{count} casks, and nobody to ask: look it over with --dry-run, then add --yes")
        return True
    try:
        return yes_no(f"{what.format('it')}? [Y/n] ", "y") if count == 1 else yes_no(f"{what.format(f'all {count}')}? [y/N] ", "n")
    except DeclinedError:
        return False


def yes_no(prompt: str, enter: str) -> bool:
    """Yes or no; `enter` is what Enter alone says, and any other answer is asked again, which at last is a no."""
    for _ in range(TRIES):
        said = answer(prompt).casefold() or enter
        if said in ("y", "yes", "n", "no"):
            return said[0] == "y"
        say("  answer y or n")
    return False
