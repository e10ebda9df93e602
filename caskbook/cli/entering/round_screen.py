"""A round at a terminal: each cask is answered at once, large and first; how far one is, and who comes next, stays at the foot."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from importlib.util import find_spec
from typing import Any

from caskbook.cli.common import say, screen, tell
from caskbook.cli.entering.bench_screen import show_large
from caskbook.cli.entering.bench_status import echo_of_number
from caskbook.cli.entering.round_lines import ENDS, HELP, Answer, RoundLines
from caskbook.core import outcome
from caskbook.entry.round import Known
from caskbook.render.console import safe
from caskbook.words.plural import number_of

_MOST_LEFT = 12


def walk(walked: RoundLines, keep: Callable[[str], None]) -> None:
    """Take lines at a terminal until somebody ends the round, or puts it off (`later`). `keep` puts each line on the disk before it is answered."""
    plain = os.environ.get("TERM", "dumb") == "dumb" or not sys.stdout.isatty() or find_spec("prompt_toolkit") is None
    ask = _plain_line(walked) if plain else _screen_line(walked)
    out = screen()
    say("scan or type each cask along the row; help lists what can be typed; end, or Ctrl-D, ends")
    while (line := ask()) is not None and (word := line.strip().casefold()) not in ENDS:
        if word == "later":
            walked.later = True
            return
        if word in ("help", "?"):
            say(HELP)
        elif word == "left":
            _say_left(walked.left())
        elif line.strip():
            keep(line.strip())
            show = take(walked, line.strip())
            if show.head:
                for n, head in enumerate(show.head.split("\n")):
                    last = n == show.head.count("\n")
                    show_large(out, head, show.rest if last else (), show.strange and last)


def take(walked: RoundLines, line: str) -> Answer:
    """One line that counts: casks, or `undo`."""
    return walked.undo() if line.casefold() == "undo" else walked.take(line)


def status_of(walked: RoundLines) -> str:
    """ "W1/05 · 5 seen · 3 left, next TH-003381 at W1/05/4"."""
    coming, seen = walked.next_left(), walked.seen
    rest = f"{len(walked.left())} left" + (f", next {coming.cask} at {coming.berth}" if coming is not None else "")
    unread = f" · {number_of(len(walked.unread), 'line')} not read" if walked.unread else ""
    return safe(f"{walked.row} · {seen} seen · {rest}{unread}")


def _say_left(left: Sequence[Known]) -> None:
    for one in left[:_MOST_LEFT]:
        say(f"  {one.cask}  {one.berth}  {one.type}, {one.state}")
    say(f"  … {len(left) - _MOST_LEFT} more" if len(left) > _MOST_LEFT else "" if left else "  none is left")


def _plain_line(walked: RoundLines) -> Callable[[], str | None]:
    """Lines from a terminal that bears nothing else: the state stands in the prompt."""

    def line() -> str | None:
        """One line; None at the end."""
        tell(f"[{status_of(walked)}]\nround> ")
        said = sys.stdin.readline()
        return said.rstrip("\n") if said else None

    return line


def _screen_line(walked: RoundLines) -> Callable[[], str | None]:
    """Lines from a terminal with the state at its foot, and the cask being typed."""
    from prompt_toolkit import PromptSession
    from prompt_toolkit.application import get_app
    from prompt_toolkit.output import ColorDepth

    def foot() -> str:
        """The state, and what the number being typed is."""
        words = get_app().current_buffer.text.split()
        return "\n".join([status_of(walked), *(echo_of_number(walked.book, words[0], len(walked.lines)) if words else ())])

    depth: Any = ColorDepth.DEPTH_1_BIT if os.environ.get("NO_COLOR") else None
    session: PromptSession[str] = PromptSession(bottom_toolbar=foot, color_depth=depth)

    def line() -> str | None:
        """One line; None at the end. Ctrl-C empties the line."""
        while True:
            try:
                return session.prompt("round> ")
            except EOFError:
                return None
            except KeyboardInterrupt:
                if outcome.came():
                    raise
                say("the line is dropped; end, or Ctrl-D, ends the round; later keeps it for another time")

    return line
