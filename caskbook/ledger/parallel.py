"""Many files on all cores: results in the order asked for, streamed, with a fault of any worker told as one error.

It knows nothing of casks. What every process needs (a ledger, a revision's files) is opened once in each.
"""

from __future__ import annotations

import gc
import os
import signal
import sys
import threading
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:  # What processes need is slow to load, and a few files are done without any.
    from concurrent.futures import Future
    from multiprocessing.context import BaseContext

Opened = TypeVar("Opened")
Item = TypeVar("Item")
Result = TypeVar("Result")

FEW = 2000
"""Below so many items starting processes costs more than it saves."""
_MOST_IN_CHUNK = 256
_AHEAD = 3
_BETWEEN_COLLECTIONS = 20_000

LOST = "a worker process ended before its work was done: out of memory, or killed"

_here: dict[str, Any] = {}


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@dataclass(frozen=True)
class Together(Generic[Opened, Item, Result]):
    """Work on several items in one call, `most` at a time: a processor that does one thing many times over is faster at it."""

    work: Callable[[Opened, Sequence[Item]], list[Result]]
    most: int = 32

    def __call__(self, opened: Opened, item: Item) -> Result:
        """The same for one item."""
        return self.work(opened, [item])[0]


def map_files(
    open_here: Callable[[], Opened],
    items: Sequence[Item],
    work: Callable[[Opened, Item], Result] | Together[Opened, Item, Result],
    *,
    processes: int | None = None,
    progress: Callable[[int], None] | None = None,
    few: int = FEW,
) -> Iterator[Result]:
    """`work(opened, item)` for each item, in their order, on all cores; fewer than `few` are done in this process.

    Where `work` is a `Together`, it is given several items in one call and gives a list.

    `open_here` is called once in each process. Both functions, the items and the results must be picklable (functions of a
    module, or partials of such). `progress` gets the number of items done. The processes start with this call, the results are
    worked out a little ahead of whoever takes them, and never held all at once. The processes end with the iterator, whether
    it is used up, closed, or interrupted by Ctrl-C (KeyboardInterrupt goes on); and they end if this process is killed.
    CaskbookError: whatever a worker raised, told once, with the item it was about.
    """
    count = min(cores() if processes is None else processes, len(items) // 2)
    if count < 2 or len(items) < few:
        return _in_this_process(open_here, items, work, progress)
    return _Crew(count, open_here, work).results(items, progress)


def _in_this_process(
    open_here: Callable[[], Any], items: Sequence[Any], work: Callable[[Any, Any], Any], progress: Callable[[int], None] | None
) -> Iterator[Any]:
    opened = open_here()
    for start in range(0, len(items), _MOST_IN_CHUNK):
        chunk = items[start : start + _MOST_IN_CHUNK]
        with no_collecting():
            found = _done(work, opened, chunk)
        yield from found
        if progress is not None:
            progress(start + len(chunk))


@contextmanager
def no_collecting() -> Iterator[None]:
    """Records hold no cycles, so looking for them time and again finds nothing and takes most of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _done(work: Callable[[Any, Any], Any], opened: Any, chunk: Sequence[Any], stop: Any = None) -> list[Any]:
    """The results of a chunk, or of its beginning where the work is stopped."""
    most = work.most if isinstance(work, Together) else 1
    found: list[Any] = []
    for start in range(0, len(chunk), most):
        if stop is not None and stop.value:
            break
        found += _few_done(work, opened, chunk[start : start + most])
    return found


def _few_done(work: Callable[[Any, Any], Any], opened: Any, items: Sequence[Any]) -> list[Any]:
    if isinstance(work, Together):
        try:
            return work.work(opened, items)
        except Exception:  # The fault is told below, with the item it is about.
            pass
    return [_run_or_explain(work, opened, item) for item in items]


def _run_or_explain(work: Callable[[Opened, Item], Result], opened: Opened, item: Item) -> Result:
    try:
        return work(opened, item)
    except CaskbookError:
        raise
    except Exception as error:
        raise CaskbookError(one_line(f"{item}: {type(error).__name__}: {error}")) from error


def one_line(text: str) -> str:
    """Signs that can be printed, not too many of them."""
    return "".join(sign if sign.isprintable() else " " for sign in text)[:300]


class _Crew:
    """The processes of one call, each with what `open_here` gave it."""

    def __init__(self, count: int, open_here: Callable[[], Any], work: Callable[[Any, Any], Any]) -> None:
        self.count = count
        context = _context()
        self.stop = context.RawValue("b", 0)
        from concurrent.futures import ProcessPoolExecutor

        self.pool = ProcessPoolExecutor(count, context, _begin, (open_here, work, self.stop))

    def results(self, items: Sequence[Any], progress: Callable[[int], None] | None) -> Iterator[Any]:
        """Start at once; the results as they are asked for."""
        size = max(1, min(_MOST_IN_CHUNK, len(items) // (self.count * 8)))
        chunks = (items[start : start + size] for start in range(0, len(items), size))
        ahead: deque[Future[list[Any]]] = deque()
        with _interrupts_wait():
            self._send(ahead, chunks)
        return self._taken(ahead, chunks, progress)

    def _send(self, ahead: deque[Future[list[Any]]], chunks: Iterator[Sequence[Any]]) -> None:
        from concurrent.futures.process import BrokenProcessPool

        while len(ahead) < self.count * _AHEAD:
            chunk = next(chunks, None)
            if chunk is None:
                return
            try:
                ahead.append(self.pool.submit(_do, chunk))
            except BrokenProcessPool as error:
                raise CaskbookError(LOST) from error

    def _taken(self, ahead: deque[Future[list[Any]]], chunks: Iterator[Sequence[Any]], progress: Callable[[int], None] | None) -> Iterator[Any]:
        """The results in the order of the work, one by one, while further chunks are handed out; `progress` hears how many are done."""
        done = 0
        try:
            while ahead:
                found = _result(ahead.popleft())
                self._send(ahead, chunks)
                yield from found
                done += len(found)
                if progress is not None:
                    progress(done)
        finally:
            self.end()

    def end(self) -> None:
        """Each process ends after the item it is at. None is killed: one that dies while it sends could block this one."""
        self.stop.value = 1
        self.pool.shutdown(wait=True, cancel_futures=True)


def _result(future: Future[list[Any]]) -> list[Any]:
    from concurrent.futures.process import BrokenProcessPool

    try:
        return future.result()
    except CaskbookError:
        raise
    except BrokenProcessPool as error:
        raise CaskbookError(LOST) from error
    except Exception as error:  # This is a result that cannot be sent from process to process.
        raise CaskbookError(one_line(f"{type(error).__name__}: {error}")) from error


def _context() -> BaseContext:
    """Forking costs nothing where it is safe: on Linux, as long as there is no second thread."""
    import multiprocessing

    fork = sys.platform == "linux" and threading.active_count() == 1
    return multiprocessing.get_context("fork" if fork else "spawn")


@contextmanager
def _interrupts_wait() -> Iterator[None]:
    """A Ctrl-C while processes start is kept until they are ready for it; they themselves never get one."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin(open_here: Callable[[], Any], work: Callable[[Any, Any], Any], stop: Any) -> None:
    """First thing in each process."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    gc.disable()
    gc.freeze()
    _here.clear()
    _here.update(work=work, stop=stop, since=0)
    try:
        _here["opened"] = open_here()
    except Exception as error:  # The fault is told with the first chunk: raised here, it would only say that the pool is broken.
        _here["failed"] = error


def _end_with_parent() -> None:
    import multiprocessing

    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _do(chunk: Sequence[Any]) -> list[Any]:
    failed = _here.get("failed")
    if failed is not None:
        raise failed if isinstance(failed, CaskbookError) else CaskbookError(one_line(f"{type(failed).__name__}: {failed}"))
    _here["since"] += len(chunk)
    if _here["since"] > _BETWEEN_COLLECTIONS:
        _here["since"] = 0
        gc.collect()
    work, opened, stop = _here["work"], _here["opened"], _here["stop"]
    return _done(work, opened, chunk, stop)
