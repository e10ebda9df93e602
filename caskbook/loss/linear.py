"""The little linear algebra that a model of a few gauges needs: too little for a library that takes longer to load than to count."""

from __future__ import annotations

import math
from collections.abc import Sequence
from operator import mul

Vector = list[float]


def cholesky(matrix: Sequence[Sequence[float]]) -> list[Vector]:
    """The lower triangle L with L L' = matrix, of a symmetric positive definite one of which the lower triangle is given, row by row."""
    lower: list[Vector] = []
    for k, given in enumerate(matrix):
        row: Vector = []
        for m in range(k):
            row.append((given[m] - dot(row, lower[m][:m])) / lower[m][m])
        row.append(math.sqrt(max(1e-18, given[k] - dot(row, row))))
        lower.append(row)
    return lower


def forward(lower: Sequence[Sequence[float]], right: Sequence[float]) -> Vector:
    """x with L x = right, L a lower triangle."""
    found: Vector = []
    for row, value in zip(lower, right, strict=False):
        found.append((value - dot(found, row)) / row[len(found)])
    return found


def dot(one: Sequence[float], other: Sequence[float]) -> float:
    """The sum of products, as far as the shorter goes."""
    found: float = sum(map(mul, one, other))
    return found
