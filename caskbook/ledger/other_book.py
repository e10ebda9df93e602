"""A folder of casks with a `.git` of its own: another book's, unless this book's git tracks casks in it. One rule for every command."""

from __future__ import annotations

import os
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.git import Git

OTHER = "lies in another git repository, whose files are not of this book"


def has_own_git(root: Path, folder: str) -> bool:
    """Whether a `.git` of any kind lies in a folder of the ledger (`folder`: its path there). One look, no git."""
    return os.path.lexists(root / folder / ".git")


def is_other_book(root: Path, folder: str) -> bool:
    """Whether the files of a folder are not this book's: a `.git` lies in it, and the book's own git tracks no file there.

    Git is asked only where a `.git` lies there.
    """
    if not has_own_git(root, folder):
        return False
    try:
        rows = Git(root).run("ls-files", "-z", "-s", "--", f":(literal){folder}").split(b"\0")
    except CaskbookError:
        return True  # The book has no repository of its own that could hold them.
    return not any(row.startswith(b"100") for row in rows)
