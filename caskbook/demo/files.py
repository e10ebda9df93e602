"""A demo ledger on disk: written beside its place by several processes, and put there only when it is whole."""

from __future__ import annotations

import gc
import os
import shutil
import signal
from collections.abc import Iterator, Mapping
from contextlib import suppress
from functools import partial
from multiprocessing import get_context
from pathlib import Path

from caskbook.core import outcome
from caskbook.core.finding import CaskbookError
from caskbook.demo.block import Demo, tell
from caskbook.demo.house import house_text
from caskbook.demo.text import cask_text

MOST_CASKS = 9_999_999


def write_ledger(root: Path, demo: Demo, others: Mapping[str, str], processes: int) -> Iterator[int]:
    """Write the ledger into `root`, which must not exist or be empty; yields the casks of each block once written.

    `others`: further files of a ledger by name. Interrupted or failing, it leaves nothing behind. CaskbookError where
    `root` cannot be written to.
    """
    refuse_full(root)
    part = root.parent / f".{root.name}.part-{os.getpid()}"
    try:
        (part / "casks").mkdir(parents=True)
        for name, text in {**others, "house.yaml": house_text(demo.until)}.items():
            (part / name).write_text(text, encoding="utf-8", newline="\n")
        yield from _blocks(part, demo, processes)
        with outcome.whole():
            if root.exists():
                root.rmdir()
            part.rename(root)
            outcome.note([str(root)])
    except OSError as error:
        raise CaskbookError(f"cannot make a ledger in {root}: {error.strerror or error}") from None
    finally:
        shutil.rmtree(part, ignore_errors=True)


def refuse_full(root: Path) -> None:
    """CaskbookError where there is something already."""
    if root.is_symlink() or (root.exists() and not root.is_dir()):
        raise CaskbookError(f"{root} is no folder")
    if root.is_dir() and next(root.iterdir(), None) is not None:
        raise CaskbookError(f"{root} is not empty: name a folder that is not there yet")


def _blocks(part: Path, demo: Demo, processes: int) -> Iterator[int]:
    work = partial(write_block, part, demo)
    if processes < 2 or demo.blocks < 2:
        yield from map(work, range(demo.blocks))
        return
    with get_context().Pool(min(processes, demo.blocks), initializer=_quiet_worker) as pool:
        yield from pool.imap_unordered(work, range(demo.blocks))


def _quiet_worker() -> None:
    """The parent answers Ctrl-C for all; what a worker makes is dropped block by block, so no collecting is needed."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.disable()


def write_block(root: Path, demo: Demo, number: int) -> int:
    """Write the files of one block; how many."""
    pages = tell(demo, number).pages
    for page in pages:
        folder = f"{root}/casks/{page.number[:-3]}"
        data = cask_text(page.head, page.in_order()).encode("utf-8")
        try:
            _write(f"{folder}/{page.number}.yaml", data)
        except FileNotFoundError:
            with suppress(FileExistsError):
                Path(folder).mkdir()
            _write(f"{folder}/{page.number}.yaml", data)
    return len(pages)


def _write(path: str, data: bytes) -> None:
    with open(path, "xb", buffering=0) as file:  # noqa: PTH123 (Path.open costs a tenth of the whole run)
        file.write(data)
