"""One bracketing root finder, because every inverse here is of a monotone function with known ends."""

from __future__ import annotations

from collections.abc import Callable

MOST_STEPS = 200


def root(f: Callable[[float], float], low: float, high: float, tolerance: float = 1e-15) -> float:
    """The x in [low, high] with f(x) = 0, where f(low) and f(high) do not have the same sign.

    Chandrupatla, Advances in Engineering Software 28 (1997) 145: inverse quadratic interpolation where it is safe, else
    bisection, so it never leaves the bracket and always converges. `tolerance` is relative to the width of the bracket.
    """
    a, b = low, high
    fa, fb = f(a), f(b)
    if fa == 0.0 or fb == 0.0:
        return a if fa == 0.0 else b
    if (fa > 0.0) == (fb > 0.0):
        raise ValueError("the root is not bracketed")
    least, share, best = tolerance * (high - low), 0.5, a
    for _ in range(MOST_STEPS):
        x = a + share * (b - a)
        fx = f(x)
        c, fc = (a, fa) if (fx > 0.0) == (fa > 0.0) else (b, fb)
        if c == b:
            b, fb = a, fa
        a, fa = x, fx
        best = a if abs(fa) < abs(fb) else b
        limit = (0.5 * least + 2e-16 * abs(best)) / abs(b - a) if a != b else 1.0
        if limit > 0.5 or fa == 0.0:
            break
        share = min(1.0 - limit, max(limit, _share((a, b, c), (fa, fb, fc))))
    return best


def _share(xs: tuple[float, float, float], fs: tuple[float, float, float]) -> float:
    """How far from a towards b to look next: by the inverse parabola through all three points where that is safe."""
    (a, b, c), (fa, fb, fc) = xs, fs
    xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
    if not (phi**2 < xi and (1.0 - phi) ** 2 < 1.0 - xi):
        return 0.5
    return fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
