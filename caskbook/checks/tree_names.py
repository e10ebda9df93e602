"""Names in a tree of git that no work tree can hold.

name-for-no-folder: a tree of git has a path that no work tree can hold: `..`, `.git` in some spelling, too long, or twice.
    A name is told as well that takes the place of another one of the book on systems where capitals do not count.

Why: nobody could clone the book any more; and a program that follows such a name reads and writes outside of it.
Wrong:
    # a tree of git
    records/casks/../../../elsewhere/.gitattributes
Right:
    # a tree of git
    records/casks/.gitattributes
"""

from __future__ import annotations

from collections.abc import Iterator

from caskbook.core.finding import Finding, Severity
from caskbook.git import Git
from caskbook.git.names import odd_names
from caskbook.ledger.paths import plain_name

CODES: dict[str, Severity] = {"name-for-no-folder": "error"}
_LONGEST = 120


def files_in(git: Git, tree: str) -> list[str]:
    """The paths of all files of a tree, from its top."""
    return [name for name in git.run("ls-tree", "-r", "-z", "--name-only", "--full-tree", tree).decode("utf-8", "surrogateescape").split("\0") if name]


def unheld_names(names: list[str], outer: str = "") -> Iterator[Finding]:
    """A finding for each of all files of a tree that no work tree can hold. `outer` is put before their paths."""
    for name, why in odd_names(names).items():
        path = outer + plain_name(name)
        yield Finding(
            "name-for-no-folder",
            "error",
            why if "taken for" in why else f"{why}: no work tree can hold this file",
            path if len(path) <= _LONGEST else f"{path[:_LONGEST]}…",
            help="take it out of every commit that is not pushed yet",
        )
