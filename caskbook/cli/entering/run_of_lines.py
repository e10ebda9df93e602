"""What the lines of one run wrote, taken together: in figures, and as the one run that `caskbook undo` takes back."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from caskbook.words.plural import number_of

Files = list[dict[str, Any]]
"""What one line wrote: for each file its cask, path, ids and lines (`as_run` of `entry/undo.py`)."""


def as_one_run(lines: Collection[Files]) -> Files:
    """Each file once, with all that the lines wrote to it."""
    merged: dict[str, dict[str, Any]] = {}
    for one in (one for files in lines for one in files):
        if one["path"] in merged:
            merged[one["path"]]["ids"] += one["ids"]
            merged[one["path"]]["lines"].update(one["lines"])
            merged[one["path"]]["steps"] += one["steps"]
        else:
            merged[one["path"]] = {**one, "ids": list(one["ids"]), "lines": dict(one["lines"]), "steps": list(one["steps"])}
    return list(merged.values())


def account(lines: Collection[Files]) -> str:
    """ "2 casks" for lines that were a cask each, "3 entries on 2 casks" where one came again."""
    casks = {one["path"] for files in lines for one in files}
    again = f"{number_of(sum(len(one['ids']) for files in lines for one in files), 'entry')} on " if len(casks) < len(lines) else ""
    return again + number_of(len(casks), "cask")
