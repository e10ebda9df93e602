"""What one tree of git has beside the casks of its books, and an earlier one had not."""

from __future__ import annotations

from collections.abc import Iterator

from caskbook.checks.beside import beside
from caskbook.core.finding import Finding
from caskbook.git import Git
from caskbook.ledger.folder import HOUSE_FILE
from caskbook.ledger.revisions import RevisionStore


def carried_between(git: Git, old: str | None, new: str) -> list[Finding]:
    """Errors beside the casks of all books of the tree `new` that the tree `old` (None: nothing) had not, each once."""
    known = {(one.code, one.path) for one in errors_in(git, old)} if old else set()
    return list({(one.code, one.path): one for one in errors_in(git, new) if (one.code, one.path) not in known}.values())


def errors_in(git: Git, tree: str) -> Iterator[Finding]:
    """Errors beside the casks of all books of a tree."""
    names = git.run("ls-tree", "-r", "-z", "--name-only", "--full-tree", tree).decode("utf-8", "surrogateescape").split("\0")
    for name in names:
        if name.rpartition("/")[2] == HOUSE_FILE:
            file_store = RevisionStore.of_tree(git, tree, name.removesuffix(HOUSE_FILE))
            yield from (one for one in beside(file_store) if one.severity == "error")
