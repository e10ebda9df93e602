"""An option that takes one value, given twice: which of the two is meant cannot be known."""

from __future__ import annotations

from caskbook.core.finding import CaskbookError

_LONGEST = 40


def refuse_second(option: str, first: str, second: str) -> None:
    """CaskbookError naming both values where they differ. `option`: as it is typed, with its hyphens."""
    if first != second:
        raise CaskbookError(f"{option} is given twice, as {_shown(first)} and as {_shown(second)}: expected one of them")


def _shown(text: str) -> str:
    plain = "".join(sign if sign.isprintable() else "?" for sign in text[:_LONGEST])
    return plain if plain and " " not in plain else f"'{plain}'"
