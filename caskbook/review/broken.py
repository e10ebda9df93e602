"""What a stretch of history did to what had landed: commit by commit, or the work tree against the last commit."""

from __future__ import annotations

from pathlib import Path

from caskbook.git import Git
from caskbook.git.walk import lacking
from caskbook.review.gather import Broken
from caskbook.review.model import Apart
from caskbook.review.span import Stretch
from caskbook.rules.landed import Breach
from caskbook.rules.walk import ends, moved_book, placed, walk
from caskbook.shelf_at import Between

_GONE = ("landed-event-removed", "landed-file-removed")


def broken_in(git: Git, root: Path, span: Stretch, shown: str) -> Broken:
    """Of a range or a commit: every commit against each of its parents; and, where the first end is no ancestor of the last, what
    both hold differently."""
    assert span.new is not None
    walked = walk(git, span.landed, span.new, shown)
    old = span.apart or span.old
    both = ends(git, root, old, span.new, shown, None, layout=False) if old is not None else []
    both += moved_book(git, old, span.new, shown) if old is not None else []
    if span.apart is None:
        return Broken(tuple(placed(walked.breaches, both)), _stray(git, span, walked.stray))
    lost = [one for one in both if one.finding.code in _GONE]
    return Broken(
        tuple(placed(walked.breaches, [one for one in both if one.finding.code == "landed-event-altered"])),
        _stray(git, span, walked.stray),
        _apart(git, span, lost),
    )


def _apart(git: Git, span: Stretch, lost: list[Breach]) -> Apart:
    assert span.apart is not None and span.new is not None
    first, _, last = span.title.partition("..")
    entries = sum(len(one.old) if one.unit[0] == "file" else 1 for one in lost)
    casks = tuple(sorted({one.finding.cask or "" for one in lost}))
    return Apart(first or "HEAD", last or "HEAD", lacking(git, span.apart, span.new), span.old, entries, casks)


def _stray(git: Git, span: Stretch, found: tuple[tuple[str, str], ...]) -> tuple[str, ...]:
    """What still lies among the casks at the end of the stretch."""
    names = list(dict.fromkeys(name for name, _ in found))
    there = {entry.path[len(git.prefix) :] for entry in git.tree(str(span.new), *(git.prefix + name for name in names))} if names else set()
    return tuple(sorted(name for name in names if name in there))


def broken_now(git: Git, root: Path, span: Stretch, differs: Between, shown: str) -> Broken:
    """Of the work tree, and of what the index holds beside it, against the last commit."""
    if span.old is None:
        return Broken(stray=differs.stray)
    return Broken(tuple(ends(git, root, span.old, None, shown, None)), differs.stray)
