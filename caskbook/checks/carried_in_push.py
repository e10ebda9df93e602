"""What the commits of a push carried in beside the casks, each commit held, so that what was taken away again is told as well."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from caskbook.checks.carried_between import errors_in
from caskbook.checks.walk import origin_of, with_origin
from caskbook.core.finding import Finding
from caskbook.git import Git
from caskbook.git.names import odd_name
from caskbook.git.walk import LINK, FileChange, Step
from caskbook.ledger.folder import HOUSE_FILE
from caskbook.ledger.paths import is_cask_path

_BARE = frozenset({"head", "objects", "refs"})
_GONE, _PLAIN = "000000", ("100644", "100755")
_Key = tuple[str, str]


def carried_in_push(git: Git, steps: Sequence[Step], *ends: str) -> Iterator[Finding]:
    """Errors beside the casks that a commit has and none of its parents had, each once, with the commit, its author and its day.

    Whole trees are listed only for the commits that put something else than plain files of casks into a book; which folders hold
    one is asked of the `ends` of the push, and only if there is such a commit.
    """
    if not any(_may_carry(change, [""]) for step in steps for changes in step.changes for change in changes):
        return
    books = sorted({place for end in ends for place in books_of(git, end)})
    told: set[_Key] = set()
    known: dict[str, dict[_Key, Finding]] = {}
    for step in steps:
        if not any(_may_carry(change, books) for changes in step.changes for change in changes):
            continue
        had = {key for parent in step.parents if parent is not None for key in _errors(git, known, parent)}
        for key, finding in _errors(git, known, step.commit).items():
            if key not in had and key not in told:
                told.add(key)
                yield with_origin(replace(finding, origin=origin_of(step)))


def books_of(git: Git, tree: str) -> list[str]:
    """Folders of the books of a tree: empty, or ending in `/`."""
    return [entry.path.removesuffix(HOUSE_FILE) for entry in git.tree(tree) if entry.path.rpartition("/")[2] == HOUSE_FILE]


def _errors(git: Git, known: dict[str, dict[_Key, Finding]], commit: str) -> dict[_Key, Finding]:
    if commit not in known:
        if len(known) > 1:
            known.pop(next(iter(known)))
        known[commit] = {(one.code, one.path): one for one in errors_in(git, commit)}
    return known[commit]


def _may_carry(change: FileChange, books: Sequence[str]) -> bool:
    """Whether a change can put something beside the casks of a book: a plain file that was there, or goes, does not."""
    if change.new_mode == LINK or (change.new_mode != _GONE and odd_name(change.path)):
        return True
    if change.new_mode == _GONE or (change.new_mode in _PLAIN and change.old_mode in _PLAIN):
        return False
    parts = change.path.split("/")
    if parts[-1] == HOUSE_FILE or any(part.lower() in _BARE for part in parts):
        return True
    if change.new_mode in _PLAIN and is_cask_path("/".join(parts[-3:])):
        return False
    return any(change.path.startswith(book) for book in books)
