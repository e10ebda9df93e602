"""One question at the terminal: a line, a yes or a no."""

from __future__ import annotations

import sys
from typing import Protocol

from caskbook.cli.common import say, tell
from caskbook.core.finding import CaskbookError

TRIES = 3


class Front(Protocol):
    """What asks in the place of the bare terminal: a screen with more on it."""

    def answer(self, prompt: str) -> str | None:
        """One line; None at the end of input."""

    def key(self, prompt: str, keys: str) -> str:
        """One key of those, or a whole line that came in its place."""


front: Front | None = None
"""Set by whoever holds such a screen, and only while it does."""


class DeclinedError(CaskbookError):
    """Somebody was asked and did not answer: nothing is written, and that is no fault."""


def on_terminal() -> bool:
    """Whether there is somebody to ask."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def answer(prompt: str) -> str:
    """One line from the terminal; DeclinedError at its end."""
    if front is not None:
        line = front.answer(prompt)
    else:
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


class OtherLine(CaskbookError):  # noqa: N818 - named for what it is
    """In the place of a key a whole line came, as from a scanner: the answer is lacking, and the line is one of its own."""

    def __init__(self, asked: str, line: str) -> None:
        super().__init__(f"not written, for {asked} was not answered; on to {line[:30] if line.isprintable() else '?'}")
        self.line = line


def key(prompt: str, keys: str) -> str:
    """One key of those, without Enter; or the whole line where more came at once, as from a scanner. DeclinedError at the end of input."""
    if front is not None:
        return front.key(prompt, keys)
    tell(prompt)
    text = _keys(keys)
    say("" if text is None else text if text in keys else "")
    if text is None:
        raise DeclinedError("nothing written")
    return text


def _keys(keys: str) -> str | None:
    """What was pressed: a key of those, or what came up to Enter; None at the end of input, or where the terminal has no single keys."""
    try:
        import termios
        import tty

        handle = sys.stdin.fileno()
        before = termios.tcgetattr(handle)
    except (ImportError, OSError, ValueError):
        line = sys.stdin.readline()
        return line.strip() if line else None
    try:
        tty.setcbreak(handle, termios.TCSANOW)
        return _pressed(handle, keys)
    finally:
        termios.tcsetattr(handle, termios.TCSANOW, before)


def _pressed(handle: int, keys: str) -> str | None:
    """Keys as they come: the first of those alone, once nothing follows it at once; else all of them up to Enter."""
    import os
    import select

    came = b""
    while True:
        if came.decode("utf-8", "replace").casefold() in tuple(keys) and not select.select([handle], [], [], BURST)[0]:
            return came.decode().casefold()
        one = os.read(handle, 1)
        if one in (b"", b"\x04"):
            return None if not came else came.decode("utf-8", "replace").strip()
        if one in (b"\r", b"\n"):
            return came.decode("utf-8", "replace").strip()
        came = came[:-1] if one in (b"\x7f", b"\x08") else came + one


BURST = 0.05
"""Seconds within which a scanner sends the next sign, and no hand does."""
