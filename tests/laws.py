"""How many examples a law is tried on: a third of its number in the default run, all of them in that of the slow tests."""

from __future__ import annotations

full = False  # set by conftest.py, before any test is collected


def many(examples: int) -> int:
    """The number of examples of this run, of the number that the law wants."""
    return examples if full else examples // 3
