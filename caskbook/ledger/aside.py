"""One piece of work done beside this process, at the same time, on another core.

The process that will do it is forked before this one opens an index, for SQLite forbids to carry an open file over into another process; it waits until it is told
to begin, and ends unasked where it never is. Where none can be had the work is done here, when its outcome is wanted.
"""

from __future__ import annotations

import os
import pickle
import signal
import sys
import threading
from collections.abc import Callable
from types import TracebackType
from typing import Any, Generic, TypeVar

from caskbook.core.finding import CaskbookError
from caskbook.ledger.parallel import LOST, cores, one_line

Result = TypeVar("Result")
_LOOKS_AFTER_SECONDS = 1.0


class Aside(Generic[Result]):
    """`work` done beside this process, from `begin` on; a context manager, with whose end that process is gone. The work and its result must not need what this
    process opened after it was made; the result is pickled."""

    def __init__(self, work: Callable[[], Result]) -> None:
        self._work, self._child, self._begun = work, 0, False
        self._out = self._in = -1
        if sys.platform == "linux" and threading.active_count() == 1 and cores() > 1:
            self._fork()

    def _fork(self) -> None:
        """The other process waits for a sign to begin, and ends with it or where there comes none; nothing of what it does comes back but by the pipe."""
        parent, (told, self._out), (self._in, answer) = os.getpid(), os.pipe(), os.pipe()
        self._child = os.fork()
        if self._child:
            os.close(told)
            os.close(answer)
            return
        status = 1
        try:
            os.close(self._out)
            os.close(self._in)
            signal.signal(signal.SIGINT, signal.SIG_IGN)
            if os.read(told, 1):
                _end_with(parent)
                _send(answer, _outcome(self._work))
            status = 0
        finally:
            os._exit(status)

    def begin(self) -> None:
        """The other process begins, if there is one."""
        if self._child and not self._begun:
            os.write(self._out, b"!")
            self._begun = True

    def __call__(self) -> Result:
        """What came of the work, waited for. What it raised is raised here; CaskbookError where it was lost."""
        if not self._begun:
            return self._work()
        self._begun = False  # Asked again it would be done here.
        with os.fdopen(self._in, "rb", closefd=False) as file:
            told = file.read()
        try:
            well, found = pickle.loads(told)
        except (EOFError, pickle.UnpicklingError):
            raise CaskbookError(LOST) from None
        if not well:
            raise CaskbookError(found)
        return found  # type: ignore[no-any-return]

    def __enter__(self) -> Aside[Result]:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        if self._child:
            os.close(self._out)
            os.close(self._in)
            if self._begun:  # Its outcome is not wanted any more; whatever it keeps it keeps whole.
                os.kill(self._child, signal.SIGTERM)
            os.waitpid(self._child, 0)
            self._child, self._begun = 0, False


def _end_with(parent: int) -> None:
    """This process ends soon after the one that it works for, if that is killed: looked at time and again, for a thread would forbid to fork."""

    def look(*_: object) -> None:
        if os.getppid() != parent:
            os._exit(1)

    signal.signal(signal.SIGALRM, look)
    signal.setitimer(signal.ITIMER_REAL, _LOOKS_AFTER_SECONDS, _LOOKS_AFTER_SECONDS)


def _outcome(work: Callable[[], Any]) -> tuple[bool, Any]:
    """(whether it went well, the result or what is to be said)."""
    try:
        return True, work()
    except CaskbookError as error:
        return False, str(error)
    except Exception as error:
        return False, one_line(f"{type(error).__name__}: {error}")


def _send(answer: int, told: tuple[bool, Any]) -> None:
    with os.fdopen(answer, "wb") as file:
        file.write(pickle.dumps(told, pickle.HIGHEST_PROTOCOL))
