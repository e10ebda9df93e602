"""Names that mean two commits: git takes a tag before a branch, and either before a commit's beginning, with a warning that nobody sees; and
tags come along with any clone."""

from __future__ import annotations

import re
from collections.abc import Callable

from caskbook.core.finding import CaskbookError

_NAME = re.compile(r"[^~^:@]+(?:@(?!\{)[^~^:@]*)*")
_ABBREVIATED = re.compile(r"[0-9a-f]{4,63}", re.IGNORECASE)
_WHOLE = re.compile(r"[0-9a-f]{40}|[0-9a-f]{64}", re.IGNORECASE)
_PLACES = ("refs", "refs/tags", "refs/heads", "refs/remotes")


def refuse_ambiguous(text: Callable[..., str], rev: str, shown: str) -> None:
    """`text` runs git and gives what it prints. CaskbookError where the name that a revision begins with means several commits: which one is meant, nobody but the user can tell."""
    match = _NAME.match(rev)
    name = match[0] if match else ""
    if not name or name == "HEAD" or name.startswith("refs/") or _WHOLE.fullmatch(name):
        return
    listed = text("for-each-ref", "--format=%(refname) %(objectname) %(*objectname)", *(f"{place}/{name}" for place in _PLACES))
    rows = [line.split() for line in listed.splitlines()]
    found = {row[0]: row[-1] for row in rows if row[0] in [f"{place}/{name}" for place in _PLACES]}
    if found and _ABBREVIATED.fullmatch(name):
        of = text("rev-parse", f"--disambiguate={name}", good=(0, 128)).split()
        found |= {commit: commit for commit in of if commit not in found.values()}
    if len(set(found.values())) > 1:
        *others, last = sorted(found)
        raise CaskbookError(f"{shown} means {', '.join(others)} and {last}, which differ: write the one that is meant in full")
