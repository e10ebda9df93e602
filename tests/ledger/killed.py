"""A process that ends without a word in the middle of its acts on the disk."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from caskbook.ledger import atomic_write


def killed_at(root: Path, number: int, work: Callable[[Path], object]) -> bool:
    """Runs `work` in a child that ends without a word after its `number`-th act on the disk; whether it got that far."""
    child = os.fork()
    if child == 0:
        left = [number]

        def step(name: str) -> None:
            left[0] -= 1
            if left[0] == 0:
                os._exit(9)

        atomic_write.step = step  # type: ignore[assignment]
        try:
            work(root)
        finally:
            os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
