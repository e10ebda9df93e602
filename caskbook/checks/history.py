"""The append-only law over a ledger's history: what is asked by commands, whatever the law itself is made of."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from caskbook.checks.docs.landed import CODES
from caskbook.checks.landed import append_only, look_alike, value_text
from caskbook.checks.walk import broken_since
from caskbook.core.finding import Finding

__all__ = ["CODES", "append_only", "append_only_since", "look_alike", "value_text"]


def append_only_since(
    root: Path,
    since: str,
    at: str | None = None,
    shown_as: str = "",
    names: Sequence[str] | None = None,
    *,
    ends_only: bool = False,
    landed: Sequence[str] = (),
) -> list[Finding]:
    """What breaks the append-only law in the ledger in `root` from a revision on, commit by commit.

    The work tree is judged, with what the index holds beside it; `at`: another revision instead, and then git's objects are all
    that is needed. `names`: only these files (paths in the ledger) are read. `ends_only`: the two ends are compared and nothing
    between them. `landed`: further commits whose history is not judged. CaskbookError without git, a repository or the revision.
    """
    return broken_since(root, since, at, shown_as, names, ends_only=ends_only, landed=landed)
