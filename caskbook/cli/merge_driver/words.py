"""What a person has to know of a merge. It loads next to nothing until two sides may have done what does not go together."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.merge.lines import Merged

if TYPE_CHECKING:
    from caskbook.model.house import House


def merge_notices(found: Merged, path: str, base: bytes, ours: bytes, theirs: bytes, house: House | None = None) -> list[str]:
    """What a person has to know of a merge: conflicts, notes, and what both sides did that does not go together."""
    return [f"{path}: to decide: {text}" for text in found.conflicts] + beside(found, path, base, ours, theirs, house)


def beside(found: Merged, path: str, base: bytes, ours: bytes, theirs: bytes, house: House | None = None) -> list[str]:
    """The same without what is to be decided."""
    return [f"{path}: {text}" for text in found.notes] + [
        f"{path}: united, but it does not go together: {text}" for text in _clashes(found, path, base, ours, theirs, house)
    ]


def _clashes(found: Merged, path: str, base: bytes, ours: bytes, theirs: bytes, house: House | None) -> list[str]:
    from caskbook.merge.likely import may_clash

    if not found.clean or path.endswith("house.yaml") or not may_clash(base, ours, theirs):
        return []
    from caskbook.merge.clash import clashes  # To load it takes longer than a merge.

    return clashes(found, ours, theirs, house or house_above(path))


def house_above(path: str) -> House:
    """The settings of the ledger that a file of the work tree lies in; the usual ones where there is no house.yaml above it."""
    from caskbook.model.house import House
    from caskbook.model.house_file import read_house

    for folder in Path(path).parents:
        with contextlib.suppress(OSError):
            return read_house("house.yaml", (folder / "house.yaml").read_bytes()).house
    return House()
