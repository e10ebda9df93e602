"""What a stretch of history did to what had landed: commit by commit, or the work tree against the last commit."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from caskbook.checks.landed import Breach
from caskbook.checks.new_ids import under_way
from caskbook.checks.walk import ends, moved_book, placed, walk
from caskbook.git import Git
from caskbook.git.walk import lacking
from caskbook.ledger.files import Ledger
from caskbook.ledger.revisions import Between
from caskbook.review.carried import came_in, carried, carried_now, still_there
from caskbook.review.commits import told_of
from caskbook.review.gather import Broken
from caskbook.review.model import Apart, Told
from caskbook.review.span import Stretch

_GONE = ("landed-event-removed", "landed-file-removed")


def broken_in(git: Git, root: Path, span: Stretch, shown: str, names: Sequence[str] | None = None) -> Broken:
    """Of a range or a commit: every commit against each of its parents; and, where the first end is no ancestor of the last, what
    both hold differently. `names`: only of these files, and nothing of what lies beside them."""
    assert span.new is not None
    walked = walk(git, span.landed, span.new, shown, names)
    old = span.apart or span.old
    both = ends(git, root, old, span.new, shown, names, layout=False, known=walked.new_ids) if old is not None else []
    both += moved_book(git, old, span.new, shown, names) if old is not None else []
    came = came_in(git, walked.steps) if names is None else []
    told = told_of(git, walked, span.commits if names is None else None)
    beside = (still_there(git, span.new, came), carried(git, span, came, shown) if names is None else (), told)
    if span.apart is None:
        return Broken(tuple(placed(walked.breaches, both)), *beside, new_ids=walked.new_ids)
    lost = [one for one in both if one.finding.code in _GONE]
    return Broken(
        tuple(placed(walked.breaches, [one for one in both if one.finding.code == "landed-event-altered"])),
        *beside,
        _apart(git, span, lost),
        walked.new_ids,
    )


def _apart(git: Git, span: Stretch, lost: list[Breach]) -> Apart:
    assert span.apart is not None and span.new is not None
    first, _, last = span.title.partition("..")
    entries = sum(len(one.old) if one.unit[0] == "file" else 1 for one in lost)
    casks = tuple(sorted({one.finding.cask or "" for one in lost}))
    return Apart(first or "HEAD", last or "HEAD", lacking(git, span.apart, span.new), span.old, entries, casks)


def broken_now(git: Git, root: Path, span: Stretch, work: Between, index: Between, ledger: Ledger, names: Sequence[str] | None = None) -> Broken:
    """Of the work tree, and of what the index holds beside it, against the last commit. `names` as of `broken_in`."""
    beside = carried_now(git, span.old, ledger.file_store) if names is None else ()
    if span.old is None:
        return Broken(stray=work.stray, beside=beside)
    shown = ledger.file_store.shown
    new_ids = tuple(one for change in work.casks for one in under_way(git, change, shown)[1])
    told = tuple(Told("entry-renumbered", one.text) for one in new_ids)
    return Broken(tuple(ends(git, root, span.old, None, shown, names, differs=(work, index))), work.stray, beside, told, new_ids=new_ids)
