"""Which two states of the book a review compares: a range of commits, one commit, or the work tree with the last commit."""

from __future__ import annotations

from dataclasses import dataclass

from caskbook.core.finding import CaskbookError
from caskbook.git import Git
from caskbook.git.walk import lacking

_SHORT = 10


@dataclass(frozen=True, slots=True)
class Stretch:
    """`old` is a commit, None for an empty book; `new` a commit, None for the work tree; `commits` None where it is no range.

    `landed`: what had landed before; every commit of `new` that these have not is looked at. `apart`: the first end of the range, where
    it is no ancestor of `new`; then `old` is the commit they have in common, if there is one.
    """

    title: str
    old: str | None
    new: str | None
    commits: int | None
    landed: tuple[str, ...] = ()
    apart: str | None = None


def stretch(git: Git, text: str | None) -> Stretch:
    """The states that a range means. `A..B`: what B has since it parted from A, and whether A is in it; `A...B`: from the commit they
    have in common; one revision: what that commit did.

    Nothing: the work tree against the last commit. CaskbookError where a revision is not known, or a shallow clone lacks it.
    """
    if text is None:
        return _work_tree(git)
    if not text.strip():
        raise CaskbookError("review of an empty range: name one, as main..bench, or leave it out for the work tree")
    if ".." in text:
        return _range(git, text)
    commit = git.resolve(text)
    parents = git.parents(commit)
    name = text if commit.startswith(text) or len(text) > _SHORT else f"{text} ({commit[:_SHORT]})"
    return Stretch(name, parents[0] if parents else None, commit, 1, tuple(parents))


def _work_tree(git: Git) -> Stretch:
    if git.bare:
        raise CaskbookError("a bare repository has no work tree: name a range, as main..bench")
    head = git.head()
    where = (git.branch() or f"detached at {head[:_SHORT]}") if head else "nothing committed yet"
    return Stretch(f"work tree against the last commit ({where})", head, None, None)


def _range(git: Git, text: str) -> Stretch:
    """A range as typed, A..B or A...B, an end left out being HEAD. CaskbookError where it names nothing, or history parts."""
    dots = "..." if "..." in text else ".."
    first, _, last = text.partition(dots)
    if not first and not last:
        raise CaskbookError(f"{text} names no revision: name a range, as main..bench, or nothing for the work tree")
    old, new = git.resolve(first or "HEAD"), git.resolve(last or "HEAD")
    base = git.merge_base(old, new)
    if base is None and (git.shallow or dots == "..."):
        reason = "fetch the rest with `git fetch --unshallow`" if git.shallow else "they share no history"
        raise CaskbookError(f"{text}: no commit in common; {reason}")
    apart = old if base != old and dots == ".." else None
    return Stretch(text, base, new, lacking(git, new, old), (base or old,) if dots == "..." else (old,), apart)
