"""Work for the tests of bulk reading, in a module of its own so that a new interpreter finds it."""

from __future__ import annotations

import gc
import os
import time
from collections.abc import Callable

from caskbook.core.finding import CaskbookError


def opened(number: int) -> int:
    return number


def added(number: int, item: int) -> int:
    return number + item


def slowest_first(number: int, item: int) -> int:
    time.sleep(0.002 if item % 7 == 0 else 0)
    return item


def fails_at_seven(number: int, item: int) -> int:
    if item == 7:
        raise ValueError("seven\nis wrong")
    return item


def refuses_at_seven(number: int, item: int) -> int:
    if item == 7:
        raise CaskbookError("cannot read seven")
    return item


def dies(number: int, item: int) -> int:
    os._exit(9)


def cannot_open() -> int:
    raise CaskbookError("no house.yaml here")


def cannot_be_pickled(number: int, item: int) -> Callable[[], int]:
    return lambda: item


def collecting(number: int, item: int) -> bool:
    return gc.isenabled()


def all_added(number: int, items: list[int]) -> list[int]:
    assert len(items) <= 5
    return [number + item for item in items]


def all_fail_at_seven(number: int, items: list[int]) -> list[int]:
    return [fails_at_seven(number, item) for item in items]
