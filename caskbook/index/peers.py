"""What the fills of an answer lose by kind: the middle of a group is worked out when it is first wanted, and kept until one of
its fills changes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from caskbook.index.store import Store
from caskbook.loss.expected import Expected
from caskbook.loss.figures import FillFigure
from caskbook.loss.peers import Group, Key, Middle, PeerTable
from caskbook.model.house import Settings

NO_STORE = ""
_MINE = "EXISTS (SELECT 1 FROM answer_life a WHERE a.answer = ? AND a.life = p.life)"


class KeptPeers(PeerTable):
    """The peers of an answer; casks in `joined` count under their other number. `wide`: whether, since it was last set to False,
    some fill had too few peers of its own kind. `keep`: whether middles may be written down."""

    def __init__(self, store: Store, answer: int, joined: Iterable[str], *, keep: bool) -> None:
        super().__init__()
        self._store, self._answer, self._joined, self._keep = store, answer, frozenset(joined), keep
        self.wide = False

    def of_group(self, key: Key, figure: FillFigure, settings: Settings) -> Expected | None:
        """As the table does, with a note of a fill that has not enough peers of its own kind."""
        found = super().of_group(key, figure, settings)
        self.wide |= found is None
        return found

    def middle(self, key: Key) -> Middle | None:
        """The middle of a group, None for one without fills."""
        if key not in self._middles:
            self._middles[key] = self._known(key) or self._worked_out(key)
        found = self._middles[key]
        return found if found.count else None

    def _known(self, key: Key) -> Middle | None:
        row = self._store.execute(
            "SELECT count, rate, spread, drift, drift_spread, noise, few FROM middle WHERE answer = ? AND type = ? AND store = ? AND band = ?",
            (self._answer, *_named(key)),
        ).fetchone()
        return Middle.from_row((*key, *row)) if row else None

    def _worked_out(self, key: Key) -> Middle:
        """The middle of one group of peers out of their rates in the index, kept for the next time where that is wanted."""
        kind, store, band = key
        parts = ["p.store = ?"] + ["p.band = ?"] * (band is not None) + ["p.type = ?"] * (kind is not None)
        values = [store or NO_STORE, *([band] if band is not None else []), *([kind] if kind is not None else [])]
        rows = self._store.execute(
            f"SELECT p.rate, p.sigma, p.drift, p.cask FROM peer p WHERE {' AND '.join(parts)} AND p.rate IS NOT NULL AND {_MINE}", (*values, self._answer)
        )
        group = Group()
        for rate, sigma, drift, cask in rows:
            if cask not in self._joined:
                group.add(rate, sigma, drift)
        found = group.middle(key) if group.rates else Middle(key, 0, 0.0, 0.0, None, 0.0)
        if self._keep:
            self._store.execute("INSERT OR REPLACE INTO middle VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", (self._answer, *_named(key), *found.as_row()[3:]))
        return found


def _named(key: Key) -> tuple[str, str, str]:
    """As it is kept: "*" for every type or band."""
    kind, store, band = key
    return "*" if kind is None else kind, store or NO_STORE, "*" if band is None else band


def lives_concerned(store: Store, answer: int, was: list[int], now: list[int]) -> set[int]:
    """Lives of an answer whose peers are others, since these lives went and those came; the middles concerned are forgotten."""
    changed = _peers(store, was)
    changed.subtract(_peers(store, now))
    groups = {row[:3] for row, count in changed.items() if count}
    found: set[int] = set()
    for house_store, kind, band in groups:
        store.execute("DELETE FROM middle WHERE answer = ? AND store = ? AND type IN (?, '*') AND band IN (?, '*')", (answer, house_store, kind, band))
        rows = store.execute(f"SELECT p.life FROM peer p WHERE p.store = ? AND p.band = ? AND p.type = ? AND {_MINE}", (house_store, band, kind, answer))
        found.update(row[0] for row in rows)
    for house_store in {group[0] for group in groups}:
        rows = store.execute(
            "SELECT w.life FROM wide w WHERE w.answer = ? AND EXISTS (SELECT 1 FROM peer p WHERE p.life = w.life AND p.store = ?)", (answer, house_store)
        )
        found.update(row[0] for row in rows)
    return found - set(was) - set(now)


def _peers(store: Store, lives: list[int]) -> Counter[tuple[object, ...]]:
    rows = (store.execute("SELECT store, type, band, rate, sigma, drift FROM peer WHERE life = ? AND rate IS NOT NULL", (life,)).fetchall() for life in lives)
    return Counter(row for found in rows for row in found)
