"""A bar on standard error while much is worked out, if that is a terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

_WORTH_SHOWING = 2000


@contextmanager
def progress(what: str) -> Iterator[Callable[[int, int], None] | None]:
    """Gives a function (of how many, how many done), or None where nobody would see it. Nothing is loaded before it is called."""
    if not sys.stderr.isatty():
        yield None
        return
    shown: list[Any] = []

    def advance(total: int, done: int) -> None:
        if total < _WORTH_SHOWING:
            return
        if not shown:
            shown.extend(_begin(what, total))
        bar, task = shown
        bar.update(task, completed=done, total=total)

    try:
        yield advance
    finally:
        if shown:
            shown[0].stop()


def _begin(what: str, total: int) -> tuple[Any, Any]:
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn(what), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    bar = Progress(*columns, console=Console(stderr=True), transient=True, auto_refresh=False)
    bar.start()
    return bar, bar.add_task(what, total=total)
