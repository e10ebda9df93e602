"""What this run has put on disk, so that its last sentence is true whatever ends it; and acts that no signal may cut in two."""

from __future__ import annotations

import contextlib
import os
import signal
from collections.abc import Iterable, Iterator, Mapping
from types import FrameType
from typing import Any

_MOST_NAMED = 10
_SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP")

_written: dict[str, str] = {}
_waiting: list[int] = []
_came: list[int] = []
_depth = 0


def note(names: Iterable[str], what: str = "written") -> None:
    """Keep in mind what was done to these casks or files: `what` is `written` or `taken back`. Called where it is true on disk."""
    for name in names:
        _written.pop(name, None)
        _written[name] = what


def so_far() -> dict[str, str]:
    """What was done up to now: `name` → `written` or `taken back`."""
    return dict(_written)


def back_to(before: Mapping[str, str]) -> None:
    """All holds again what it held when that much was done (`so_far`)."""
    _written.clear()
    _written.update(before)


def noted() -> bool:
    """Whether this run has changed anything yet."""
    return bool(_written)


def begin() -> None:
    """Forget what an earlier run in the same process did."""
    _written.clear()
    _came.clear()


def sentence() -> str:
    """`nothing written`, or what was: the casks by their numbers, the first ten of them."""
    parts = []
    for what in dict.fromkeys(_written.values()):
        names = [name for name, done in _written.items() if done == what]
        more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
        parts.append(f"{what}: {', '.join(names[:_MOST_NAMED])}{more}")
    return "; ".join(parts) or "nothing written"


@contextlib.contextmanager
def whole() -> Iterator[None]:
    """What is done inside is not cut in two by Ctrl-C or a termination: such a signal takes effect when it is done.

    An error ends it as any other block.
    """
    global _depth
    _depth += 1
    try:
        yield
    finally:
        _depth -= 1
        if not _depth and _waiting:
            _raise(_waiting.pop(0))


def _raise(number: int) -> None:
    _waiting.clear()
    _came.append(number)
    raise KeyboardInterrupt


def _arrived(number: int, _frame: FrameType | None) -> None:
    if _depth:
        _waiting.append(number)
    else:
        _raise(number)


def listen() -> None:
    """Take the signals that end a command; those that the caller has set aside stay so. Processes made by forking get the usual ways back."""
    before = {}
    for name in _SIGNALS:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) not in (signal.SIG_IGN, None):
            before[number] = signal.signal(number, _arrived)
    if hasattr(os, "register_at_fork"):
        os.register_at_fork(after_in_child=lambda: _give_back(before))


def _give_back(before: Mapping[int, Any]) -> None:
    for number, handler in before.items():
        signal.signal(number, handler)


def came() -> bool:
    """Whether a signal has come that ends the command."""
    return bool(_came)


def deaf() -> None:
    """From here on the run only tells how it ended: no signal comes between."""
    for name in _SIGNALS:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) == _arrived:
            signal.signal(number, signal.SIG_IGN)


def stopped_by() -> tuple[str, int]:
    """(how the run was ended, the exit code that says so): Ctrl-C, unless another signal came."""
    number = _came[-1] if _came else int(signal.SIGINT)
    return ("interrupted" if number == signal.SIGINT else "terminated"), 128 + number
