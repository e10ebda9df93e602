"""Files that came in and have the very entries of another file: a cask copied under another number."""

from __future__ import annotations

from collections.abc import Sequence

from caskbook.checks.copied import begun_in, copies_among, may_begin_so, words_for
from caskbook.git import Git
from caskbook.ledger.changes import CaskChange
from caskbook.ledger.files import Ledger
from caskbook.ledger.paths import is_cask_path
from caskbook.model.cask_file import name_of
from caskbook.review.model import Copy


def copies_in(git: Git, old: str | None, changes: Sequence[CaskChange], ledger: Ledger) -> tuple[Copy, ...]:
    """Those among the files that changed since the commit `old` (None: an empty book); `ledger` is the book as it stands now. What the older file holds is
    asked of git, so that the book is not read for it."""
    begun = begun_in(changes)
    if not begun:
        return ()
    paths = [path for path in git.holding(old, words_for(begun), f"{git.prefix}casks/") if is_cask_path(path[len(git.prefix) :])] if old is not None else []
    entries = {entry.path: entry.oid for entry in git.tree(old, *paths)} if old is not None and paths else {}
    blobs = git.blobs(entries.values())
    others = {name_of(path) for path, oid in entries.items() if may_begin_so(blobs.get(oid, b""), begun)}
    mine = {change.name for change in changes if change.new is not None}
    came = {change.name for change in changes if change.old is None}
    return tuple(Copy(number, fault.message, fault.help) for number, fault in copies_among(ledger, sorted(mine | others), came) if number in mine)
