"""The bench at a terminal: what was written stands large, who and when stays at the foot, and the cask being typed is shown before Enter.

prompt_toolkit holds the prompt; it is loaded here and nowhere else, and where a terminal cannot bear it lines are read plainly.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from caskbook.cli.common import say, screen, tell, write
from caskbook.cli.entering import ask
from caskbook.cli.entering.bench_status import status_of
from caskbook.core import outcome

if TYPE_CHECKING:
    from pathlib import Path

    from prompt_toolkit import PromptSession

    from caskbook.cli.entering.bench_lines import BenchLines
    from caskbook.render.console import Output

_HISTORY_BYTES = 200_000
_REDRAWN = 20.0
"""Seconds after which the foot is drawn anew, so that a shift that ends is seen."""


def sit_at(bench: BenchLines) -> None:
    """Take lines at a terminal until somebody ends the bench."""
    plain = os.environ.get("TERM", "dumb") == "dumb" or not sys.stdout.isatty() or find_spec("prompt_toolkit") is None
    seat: _Plain | _Screen = _Plain(bench) if plain else _Screen(bench)
    bench.answer = seat.show
    say("help lists what can be typed; end, or Ctrl-D, ends")
    say(bench.shift_words())
    ask.front = seat if isinstance(seat, _Screen) else None
    try:
        while True:
            line = bench.ahead.pop(0) if bench.ahead else seat.line()
            if line is None or not bench.take(line):
                return
    finally:
        ask.front = None


class _Plain:
    """A terminal that bears nothing but lines: the state stands in the prompt."""

    def __init__(self, bench: BenchLines) -> None:
        self.bench = bench

    def line(self) -> str | None:
        """One line; None at the end."""
        tell(f"[{status_of(self.bench)}]\n{self.bench.jobs or 'bench'}> ")
        line = sys.stdin.readline()
        return line.rstrip("\n") if line else None

    def show(self, head: str, rest: Sequence[str], bad: bool) -> None:
        """The answer; a bell where something was refused."""
        say(head)
        for text in rest:
            say(f"  {text}")
        if bad:
            tell("\a")


class _Screen:
    """A terminal with the state at its foot."""

    def __init__(self, bench: BenchLines) -> None:
        """One prompt for lines, with what was typed before and what may follow, and one for questions."""
        from prompt_toolkit import PromptSession

        from caskbook.cli.entering.bench_words import completer_of

        self.bench = bench
        self.out = screen()
        self._lines: PromptSession[str] = PromptSession(
            history=_history(bench),
            completer=completer_of(bench),
            complete_while_typing=True,
            reserve_space_for_menu=4,
            refresh_interval=_REDRAWN,
            **self._foot(),
        )
        self._question: PromptSession[str] = PromptSession(**self._foot())

    def _foot(self) -> dict[str, Any]:
        from prompt_toolkit.output import ColorDepth

        depth = ColorDepth.DEPTH_1_BIT if os.environ.get("NO_COLOR") else None
        return {"bottom_toolbar": self._state, "color_depth": depth}

    def _state(self) -> str:
        from prompt_toolkit.application import get_app

        from caskbook.cli.entering.bench_status import echo_of_line

        text = get_app().current_buffer.text if get_app().current_buffer is self._lines.default_buffer else ""
        return "\n".join([status_of(self.bench), *echo_of_line(self.bench, text)])

    def line(self) -> str | None:
        """One line; None at the end. Ctrl-C empties the line."""
        while True:
            try:
                return self._lines.prompt(f"{self.bench.jobs or 'bench'}> ")
            except EOFError:
                return None
            except KeyboardInterrupt:
                if outcome.came():
                    raise
                say("the line is dropped; end, or Ctrl-D, ends the bench")

    def answer(self, prompt: str) -> str | None:
        """An answer to a question, the state still at the foot; None where there is none."""
        try:
            return self._question.prompt(prompt) + "\n"
        except (EOFError, KeyboardInterrupt):
            if outcome.came():
                raise KeyboardInterrupt from None
            return None

    def key(self, prompt: str, keys: str) -> str:
        """One key of those without Enter, or the line that came in its place."""
        from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent

        bindings = KeyBindings()

        def pressed(event: KeyPressEvent) -> None:
            """The key alone is the answer, once nothing follows it at once."""
            buffer, app = event.current_buffer, event.app
            buffer.insert_text(event.data)

            def settle() -> None:
                if buffer.text.casefold() in tuple(keys) and app.is_running and not app.is_done:
                    app.exit(result=buffer.text)

            if app.loop is not None:
                app.loop.call_later(ask.BURST, settle)

        for one in keys:
            bindings.add(one)(pressed)
            bindings.add(one.upper())(pressed)
        from prompt_toolkit import PromptSession

        try:
            said: str = PromptSession[str](key_bindings=bindings, **self._foot()).prompt(prompt)
        except (EOFError, KeyboardInterrupt):
            if outcome.came():
                raise KeyboardInterrupt from None
            raise ask.DeclinedError("not written: no answer") from None
        text = said.strip()
        return text.casefold() if text.casefold() in tuple(keys) else text

    def show(self, head: str, rest: Sequence[str], bad: bool) -> None:
        """The answer, large and first; a bell where something was refused."""
        show_large(self.out, head, rest, bad)


def show_large(out: Output, head: str, rest: Sequence[str], bad: bool) -> None:
    """An answer at a terminal, large and first, what is said besides below it; a bell where it is bad."""
    from caskbook.render.console import folded, safe

    wide = screen().width or 80
    lines = folded(safe(head), wide - 2, 6)
    style, plain = (("\x1b[1;97;41m" if bad else "\x1b[1;97;42m"), "\x1b[0m") if out.styled else ("", "")
    write("\n" + "\n".join(f"{style} {text:<{wide - 2}} {plain}".rstrip() if style else f"  {text}" for text in lines))
    for text in rest:
        say(f"  {safe(text)}")
    if bad:
        tell("\a")


def _history(bench: BenchLines) -> Any:
    """The lines typed before at this ledger; kept beside what else this machine knows, or for this bench alone where nothing can be."""
    from prompt_toolkit.history import FileHistory, InMemoryHistory

    from caskbook.core.finding import CaskbookError
    from caskbook.ledger.machine import state_folder

    try:
        path = state_folder() / _history_name(bench.book.root)
        if path.is_symlink() or (path.exists() and path.stat().st_size > _HISTORY_BYTES):
            path.unlink()
        path.touch(mode=0o600)
    except (CaskbookError, OSError):
        return InMemoryHistory()
    return FileHistory(str(path))


def _history_name(root: Path) -> str:
    """Under which name the lines typed at this ledger are kept."""
    from hashlib import sha256

    return f"bench-{sha256(str(root.resolve()).encode('utf-8', 'surrogateescape')).hexdigest()[:32]}"
