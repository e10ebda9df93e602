"""What a kept life rests on beside its own file: it is good while the other files it was worked out with are as they were."""

from __future__ import annotations

import json
from collections.abc import Mapping

from caskbook.index.claims import claim_stands, claims_in, is_claim, is_untold, untold_need
from caskbook.index.store import Store
from caskbook.model.joins import claimants
from caskbook.model.untold import Untold, untold


class Needs:
    """Whether kept lives are good for files as they are now. `known`: name → version of these; `untold`: number → what nobody can tell of its history."""

    def __init__(self, store: Store, known: Mapping[str, int]) -> None:
        self.store, self.known = store, known
        claims = claims_in(store, known)
        self.untold: Untold = untold(claims)
        self.claimants = claimants(claims)

    def met(self, cask: str, needs: str | None) -> bool:
        """Whether other files that were used are as they were then, and no more is untold of the cask than was, and no less."""
        needed = json.loads(needs) if needs is not None else {}
        if untold_need(cask, self.untold.get(cask, ())) != {name: key for name, key in needed.items() if is_untold(name)}:
            return False
        return all(self._one(name, key) for name, key in needed.items() if not is_untold(name))

    def _one(self, name: str, key: str | None) -> bool:
        if is_claim(name):
            return claim_stands(name, key, self.claimants)
        return key_of(self.store, self.known.get(name)) == key


def key_of(store: Store, version: int | None) -> str | None:
    """The name of the content of a version; None where there is no version."""
    if version is None:
        return None
    return str(store.execute("SELECT key FROM version WHERE id = ?", (version,)).fetchone()[0])
