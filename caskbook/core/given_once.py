"""An option that takes one value, given twice or with an empty one: what is meant cannot be known."""

from __future__ import annotations

from caskbook.core.finding import CaskbookError

_LONGEST = 40
_WHY = {"--records": "one ledger here; list, due, show, query and most reports take several"}
"""What else there is to say of an option that some commands take more than once."""


def refuse_second(option: str, first: str, second: str) -> None:
    """CaskbookError naming both values where they differ. `option`: as it is typed, with its hyphens."""
    if first != second:
        raise CaskbookError(f"{option} is given twice, as {_shown(first)} and as {_shown(second)}: expected {_WHY.get(option, 'one of them')}")


def refuse_empty(option: str, *texts: str) -> None:
    """CaskbookError where a value is empty, as a variable is that a script forgot to set: it is no option that was left out."""
    if not all(text.strip() for text in texts):
        raise CaskbookError(f"{option} needs a value: the one given is empty")


def _shown(text: str) -> str:
    plain = "".join(sign if sign.isprintable() else "?" for sign in text[:_LONGEST])
    return plain if plain and " " not in plain else f"'{plain}'"
