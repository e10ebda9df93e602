"""How much of a law the default run tries: a third of its examples, and of what is crossed each value once; the slow tests try all."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Any

import pytest

full = False  # set by conftest.py, before any test is collected


def many(examples: int) -> int:
    """The number of examples of this run, of the number that the law wants."""
    return examples if full else examples // 3


def others_thorough(values: Sequence[Any], count: int) -> list[Any]:
    """The values of which a test is tried in the default run, the first so many; the others are thorough."""
    return [value if n < count else pytest.param(value, marks=pytest.mark.thorough) for n, value in enumerate(values)]


def crossed(names: str, *lists: Sequence[Any]) -> pytest.MarkDecorator:
    """Parametrize a test by every combination of the values of these lists, one list for each of the names.

    In the default run each value of each list is there at least once, the first of all lists together, then the second, the shorter
    lists beginning anew; the other combinations are slow tests.
    """
    usual = {tuple(n % len(one) for one in lists) for n in range(max(map(len, lists)))}
    rows = product(*(range(len(one)) for one in lists))
    return pytest.mark.parametrize(names.split(","), [
        pytest.param(*(one[n] for one, n in zip(lists, row, strict=True)), marks=() if row in usual else pytest.mark.slow) for row in rows
    ])  # fmt: skip
