"""A review limited to some casks: what of the stretch it leaves out, and whether these casks are in it at all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from caskbook.core.finding import CaskbookError
from caskbook.git import Git
from caskbook.git.walk import steps, tree_changes
from caskbook.ledger.files import HOUSE_FILE, FileStore, file_of
from caskbook.ledger.paths import is_cask_path
from caskbook.review.span import Stretch

_MOST_NAMED = 6


@dataclass(frozen=True, slots=True)
class Limit:
    """The casks that a review was limited to; how many others differ between the ends of its stretch, and whether house.yaml does."""

    casks: tuple[str, ...]
    others: int = 0
    house: bool = False

    @property
    def names(self) -> tuple[str, ...]:
        """Their files, by their paths in the ledger."""
        return tuple(map(file_of, self.casks))


def limit_to(git: Git, span: Stretch, casks: Sequence[str], file_store: FileStore) -> Limit:
    """The limit of a review to these casks. No file of another cask is read: git tells which differ by their names alone.

    `file_store`: the files on disk. CaskbookError for a cask that is nowhere in the stretch, nor in the book.
    """
    names = [file_of(cask) for cask in casks]
    unknown = unknown_casks(git, span, casks, file_store)
    if unknown:
        listed = ", ".join(unknown[:_MOST_NAMED])
        more = f" and {len(unknown) - _MOST_NAMED} more" if len(unknown) > _MOST_NAMED else ""
        raise CaskbookError(f"{listed}{more}: in none of these commits, and not in the book")
    differing = {path[len(git.prefix) :] for path in _differing(git, span)}
    others = sum(is_cask_path(name) for name in differing - set(names))
    return Limit(tuple(casks), others, HOUSE_FILE in differing)


def other_numbers(casks: Sequence[str], joins: Mapping[str, str]) -> list[str]:
    """The other numbers that are one cask with one of these. `joins`: number that was joined → number that goes on."""
    going = {joins.get(number, number) for number in casks}
    return sorted({*going, *(number for number, by in joins.items() if by in going)} - {*casks})


def unknown_casks(git: Git, span: Stretch, casks: Sequence[str], file_store: FileStore) -> list[str]:
    """Those of these casks that are nowhere in the stretch, nor in the book."""
    unknown = set(_unknown(git, span, [file_of(cask) for cask in casks], file_store))
    return [cask for cask in casks if file_of(cask) in unknown]


def _unknown(git: Git, span: Stretch, names: Sequence[str], file_store: FileStore) -> list[str]:
    """Those of these files that no end of the stretch has, none of its commits, nor the disk."""
    left = [name for name in names if file_store.read(name) is None]
    for rev in (span.old, span.new):
        if left and rev is not None:
            there = {entry.path for entry in git.tree(rev, *(git.prefix + name for name in left))}
            left = [name for name in left if git.prefix + name not in there]
    if left and span.new is not None:
        made = steps(git, span.landed, span.new, *(git.prefix + name for name in left))
        touched = {change.path for step in made for of in step.changes for change in of}
        left = [name for name in left if git.prefix + name not in touched]
    return left


def _differing(git: Git, span: Stretch) -> set[str]:
    """Files of the book, by their paths in the repository, that differ between the ends; of the work tree also what git does not know yet."""
    under = (f"{git.prefix}casks", f"{git.prefix}{HOUSE_FILE}")
    if span.new is not None:
        return {change.path for change in tree_changes(git, span.old, span.new, *under)}
    staged = git.changes(span.old or git.empty_tree, None, *under, renames=False)
    return {*(change.path for change in staged), *git.touched(*under), *git.untracked(*under)}
