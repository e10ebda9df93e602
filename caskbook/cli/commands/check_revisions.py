"""What a check is about beside files on disk: the book of a bare repository, and what came into the book since a revision."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path, PurePosixPath

from caskbook.checks import Report, check_ledger
from caskbook.checks.brought import brought
from caskbook.cli import common
from caskbook.core.finding import CaskbookError
from caskbook.git import Git, bare_above, open_git
from caskbook.ledger.files import HOUSE_FILE, Ledger, find_ledger
from caskbook.ledger.revisions import RevisionStore, between

_USUAL = ("", "records/")


def bare_book(records: str | None, as_of: str | None, at: str | None) -> common.Book | None:
    """The book that a bare repository holds at a revision; None where this folder is in no bare repository.

    `records` names a folder of the revision. Nothing is written. CaskbookError where there is no book in it.
    """
    bare = bare_above(Path.cwd())
    if bare is None:
        return None
    if not at and _on_disk(records):
        return None
    if not at:
        raise CaskbookError("a bare repository has no files of its own: name the revision with --at")
    git = open_git(bare)
    under = _folder_in(git, git.resolve(at), records)
    file_store = RevisionStore(replace(git, under=under), at, under)
    ledger = Ledger(file_store)
    common.warn_of_house(ledger)
    now = common.clock()
    today = common.house_today(ledger, now)
    return common.Book(ledger, bare / under, today, common.day_or_today(as_of, today), now)


def _on_disk(records: str | None) -> bool:
    """Whether files of a ledger are found from here, as the commands find them that list it."""
    try:
        find_ledger(Path.cwd(), records, os.environ.get("CASKBOOK_RECORDS"))
    except CaskbookError:
        return False
    return True


def _folder_in(git: Git, commit: str, records: str | None) -> str:
    """Where in a revision the book lies: as named, else at the top or in records/."""
    if records is None:
        places: tuple[str, ...] = _USUAL
    else:
        path = PurePosixPath(records.replace("\\", "/"))
        if path.is_absolute() or ".." in path.parts:
            raise CaskbookError(f"--records {records}: in a bare repository it names a folder of the revision, as `records`")
        places = ("" if path == PurePosixPath() else f"{path}/",)
    if records is None and all(git.entry(commit, place + HOUSE_FILE) is not None for place in places):
        raise CaskbookError("two ledgers, house.yaml and records/house.yaml: name the one that is meant with --records")
    for place in places:
        if git.entry(commit, place + HOUSE_FILE) is not None:
            return place
    looked = " or ".join(f"{place}{HOUSE_FILE}" for place in places)
    raise CaskbookError(f"no {looked} in {commit[:12]}: name the ledger's folder with --records")


def new_report(book: common.Book, since: str, at: str | None, names: list[str] | None, day: date) -> Report:
    """The report on a book, of its findings those that a revision had not; `names`: only about these files."""
    git = open_git(book.root)
    old, new = git.resolve(since), git.resolve(at) if at else None
    report = brought_between(git, book.root, old, new, book.ledger, day)
    if names is None:
        return report
    shown = {book.ledger.file_store.shown + name for name in names}
    return Report(tuple(finding for finding in report.findings if finding.path in shown), sum(name != HOUSE_FILE for name in names))


def brought_between(git: Git, root: Path, old: str, new: str | None, after: Ledger, day: date, landed: Sequence[str] = ()) -> Report:
    """What came from the commit `old` on to `new`, or to the files on disk (None), in which the book is `after`; what stood in the
    book of one of the commits `landed` did not come either."""
    changes = between(git, root, old, new or "work tree", after.file_store.shown)
    return brought(git, ledgers_at(git, [old, *landed]), after, changes, day, lambda ledger: whole_report(git, root, ledger, day))


def ledgers_at(git: Git, commits: list[str]) -> list[Ledger]:
    """The book as it was in each of these commits that had one."""
    return [Ledger(RevisionStore.of_tree(git, one, git.prefix)) for one in commits if git.entry(one, git.prefix + HOUSE_FILE) is not None]


def whole_report(git: Git, root: Path, ledger: Ledger, day: date) -> Report:
    """The report on all of a book, on disk or in a revision, from its files alone."""
    from caskbook.index.index import Index

    tree = ledger.file_store.commit if isinstance(ledger.file_store, RevisionStore) else None
    if tree is not None and not git.works("cat-file", "-e", f"{tree}^{{commit}}"):
        return check_ledger(ledger, day)  # the index before a commit: other processes find a book by a commit's name alone
    return Index(root, Path.cwd(), common.clock(), tree, disk=False).check(ledger, day)


def real_day(ledger: Ledger) -> date:
    """The day it is in the house of a book."""
    return common.house_today(ledger, common.clock())
