"""Another order of what is due than that of what matters first: by cask, along the berths as one walks, by day."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar

from caskbook.entry.berths import walking_order
from caskbook.render.verdict import Judged

V = TypeVar("V", bound=Judged)


_KEYS: dict[str, Callable[[Any], Any]] = {
    "cask": lambda verdict: verdict.cask,
    "type": lambda verdict: verdict.type or None,
    "berth": lambda verdict: walking_order(verdict.berth, "") if verdict.berth else None,
    "rule": lambda verdict: verdict.rule,
    "verdict": lambda verdict: verdict.verdict,
    "since": lambda verdict: verdict.since,
    "ledger": lambda verdict: verdict.ledger,
}
SORTS = tuple(name for name in _KEYS if name != "ledger")
"""By what a list of verdicts can be sorted."""
SORTS_OF_SEVERAL = tuple(_KEYS)
"""The same where several ledgers are asked at once."""


def ordered(verdicts: Iterable[V], keys: Sequence[tuple[str, bool]]) -> list[V]:
    """The verdicts by (one of SORTS, of several ledgers `ledger` too, whether the last comes first), the first key before the second; those alike in all stay as they
    are, and those without what is sorted by come last either way."""
    found = list(verdicts)
    for name, backwards in reversed(keys):
        key = _KEYS[name]
        known = [verdict for verdict in found if key(verdict) is not None]
        unknown = [verdict for verdict in found if key(verdict) is None]
        found = [*sorted(known, key=key, reverse=backwards), *unknown]
    return found
