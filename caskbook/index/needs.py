"""What a kept life rests on beside its own file: it is good while the other files it was worked out with are as they were."""

from __future__ import annotations

import json
from collections.abc import Mapping

from caskbook.index.claims import claim_stands, is_claim
from caskbook.index.store import Store


def needs_met(store: Store, needs: str, known: Mapping[str, int]) -> bool:
    """Whether other files that were used are as they were then; `known`: name → version of the files as they are now."""
    return all(claim_stands(store, name, key, known) if is_claim(name) else key_of(store, known.get(name)) == key for name, key in json.loads(needs).items())


def key_of(store: Store, version: int | None) -> str | None:
    """The name of the content of a version; None where there is no version."""
    if version is None:
        return None
    return str(store.execute("SELECT key FROM version WHERE id = ?", (version,)).fetchone()[0])
