"""Chance that falls alike on every machine: only Random.random() and plain arithmetic, no functions of the C library."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from typing import TypeVar

T = TypeVar("T")


class Dice:
    """A stream of chance of its own, named by text: the same name gives the same falls."""

    __slots__ = ("roll",)

    def __init__(self, name: str) -> None:
        self.roll = Random(name).random

    def chance(self, share: float) -> bool:
        """True in `share` of the falls, 0 to 1."""
        return self.roll() < share

    def whole(self, low: int, high: int) -> int:
        """A whole number, both ends included."""
        return low + int(self.roll() * (high - low + 1))

    def real(self, low: float, high: float) -> float:
        """An evenly spread figure."""
        return low + self.roll() * (high - low)

    def bell(self, middle: float, spread: float) -> float:
        """A figure about `middle`: the sum of four even ones, so never further off than 3.5 times `spread`."""
        roll = self.roll
        return middle + (roll() + roll() + roll() + roll() - 2.0) * 1.7320508 * spread

    def pick(self, items: Sequence[T]) -> T:
        """One of them."""
        return items[int(self.roll() * len(items))]

    def weigh(self, items: Sequence[tuple[T, float]]) -> T:
        """One of (item, weight); the weights need not add up to one."""
        left = self.roll() * sum(weight for _, weight in items)
        for item, weight in items:
            left -= weight
            if left < 0:
                return item
        return items[-1][0]

    def bits(self, count: int) -> int:
        """So many random bits."""
        return int(self.roll() * (1 << count))
