"""Which files claim a number by `same-as`, or tell of a move, as the index knows it: a life that rests on it is good while nobody else says so, or the contrary."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence

from caskbook.index.store import Store
from caskbook.model.joins import Claimants
from caskbook.model.untold import Gap

_MARK, _UNTOLD = "same-as ", "untold "
_ROWS = "SELECT v.id, v.name, v.joins FROM version v INDEXED BY version_joins WHERE v.joins IS NOT NULL"


def claims_in(store: Store, known: Mapping[str, int]) -> dict[str, list[str]]:
    """Cask → what its file claims, over the files of a state (`known`: name → version)."""
    return _claims(store.execute(_ROWS), known)


def needs_of(leaned: Mapping[str, set[str]]) -> dict[str, str | None]:
    """What a life rests on, in the form of its other needs."""
    return {f"{_MARK}{number}": _text(files) for number, files in leaned.items()}


def untold_need(cask: str, gaps: Sequence[Gap]) -> dict[str, str | None]:
    """What nobody can tell of the history of a cask, in the form of the other needs of its life: such a life is good while just this is untold."""
    return {f"{_UNTOLD}{cask}": "; ".join(gap.words for gap in gaps)} if gaps else {}


def is_untold(need: str) -> bool:
    """Whether a need is about what nobody can tell."""
    return need.startswith(_UNTOLD)


def is_claim(need: str) -> bool:
    """Whether a need is about a claim, not about a file."""
    return need.startswith(_MARK)


def claim_stands(need: str, files: str | None, claimed: Claimants) -> bool:
    """Whether the same files claim the number as then. `claimed`: number → files that claim it now."""
    return _text(claimed.get(need.removeprefix(_MARK), ())) == files


def _text(files: Iterable[str]) -> str:
    return " ".join(sorted(files))


def _claims(rows: Iterable[tuple[int, str, str]], known: Mapping[str, int]) -> dict[str, list[str]]:
    joined = (json.loads(joins) for version, name, joins in rows if known.get(name) == version)
    return {one[0]: one[1:] for one in joined if one}
