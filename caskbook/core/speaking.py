"""Of which ledger is spoken, while several are asked one after the other: what is said of one is said in its name."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

_names: list[Callable[[str], str]] = []


@contextmanager
def speaking(told: Callable[[str], str]) -> Iterator[None]:
    """Inside, each remark is put as `told` puts it."""
    _names.append(told)
    try:
        yield
    finally:
        _names.pop()


def in_name(text: str) -> str:
    """A remark in the name of the ledger that is spoken of; as it is where only one is asked."""
    for told in _names:
        text = told(text)
    return text
