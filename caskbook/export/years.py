"""Which years have entries that say something else than at the last export: only their parts of the table event are written anew."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any, Protocol

Years = set[str]
"""Of four figures; empty the one of entries whose day cannot be read."""


class Entries(Protocol):
    """What tells of the entries of all files (`WholeBook` of the index)."""

    @property
    def day(self) -> date: ...

    def basis(self) -> str: ...

    def files(self) -> Mapping[str, tuple[str, int]]: ...

    def digests(self, versions: Iterable[int]) -> Mapping[int, Mapping[str, str]]: ...

    def years_between(self, first: date, last: date) -> set[str]: ...


def seen_of(whole: Entries, old: Mapping[str, Any] | None) -> tuple[dict[str, Any], Years | None]:
    """({basis, day, files: name → [content, {year: digest}]}, the years that say something else than `old`, the same of the last export; None: any may)."""
    same = old is not None and old["basis"] == whole.basis()
    known = old["files"] if old is not None and same else {}
    files = whole.files()
    new = {name: version for name, (key, version) in files.items() if name not in known or known[name][0] != key}
    digests = whole.digests(new.values())
    told: dict[str, Any] = {name: [key, dict(digests[version])] if name in new else known[name] for name, (key, version) in files.items()}
    seen = {"basis": whole.basis(), "day": whole.day.isoformat(), "files": told}
    if old is None or not same:
        return seen, None
    changed: Years = set()
    for name in {*new, *(known.keys() - files.keys())}:
        before: dict[str, str] = known[name][1] if name in known else {}
        after: dict[str, str] = told[name][1] if name in told else {}
        changed |= {year for year in before.keys() | after.keys() if before.get(year) != after.get(year)}
    first, last = sorted((date.fromisoformat(old["day"]), whole.day))
    return seen, changed | whole.years_between(first, last)


def all_years(seen: Mapping[str, Any]) -> list[str]:
    """Every year with an entry, in order; of a book without one that of no day, so that there is a part to read."""
    return sorted({year for _, years in seen["files"].values() for year in years}) or [""]
