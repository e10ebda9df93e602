"""`review`: what commits, or the work tree, did to the book, in words."""

from __future__ import annotations

import os
from pathlib import Path

from caskbook.cli.common import Book, one_of, open_book, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.core.finding import CaskbookError
from caskbook.git import Git, open_git
from caskbook.ledger.files import Ledger, find_ledger
from caskbook.ledger.revisions import RevisionStore, between
from caskbook.ledger.revisions.between import both_sides, changed_somewhere
from caskbook.render.review import review_json, review_markdown, review_text
from caskbook.review import Review, Stretch, joint, review, stretch
from caskbook.review.broken import broken_in, broken_now
from caskbook.yaml.escapes import ESCAPE

FORMATS = ("text", "json", "markdown")


def run(range_text: str | None, records: str | None = None, as_of: str | None = None, form: str = "text") -> int:
    """Print the review; 1 where something that had landed was altered, moved or removed."""
    one_of("--format", form, FORMATS)
    root = find_ledger(Path.cwd(), records, os.environ.get("CASKBOOK_RECORDS"))
    git = open_git(root)
    span = stretch(git, range_text)
    found = _review(git, root, span, open_book(records, as_of))
    if form == "text":
        output = screen()
        write_text(review_text(found, output), output)
    else:
        write_data(review_json(found) if form == "json" else review_markdown(found))
    return 0 if found.clean else 1


def _review(git: Git, root: Path, span: Stretch, book: Book) -> Review:
    shown = book.ledger.file_store.shown
    ledger = book.ledger if span.new is None else _ledger_at(git, span.new)
    if span.new is not None:
        differs = between(git, root, span.old, span.new, shown)
        return review(span, differs, broken_in(git, root, span, shown), ledger, book.day, joint(git, span, ledger.house))
    work, index = both_sides(git, root, span.old, shown)
    return review(span, changed_somewhere(work, index), broken_now(git, root, span, work, index, ledger), ledger, book.day)


def _ledger_at(git: Git, commit: str) -> Ledger:
    store = RevisionStore(git, commit, git.prefix, f"{commit}:{git.prefix}", commit)
    try:
        ledger = Ledger(store)
    except CaskbookError as error:
        raise CaskbookError(f"the ledger is not in that commit: {error}") from None
    ledger.claims_known = lambda: ledger.claims_of(_speaking_of_joins(git, store))
    return ledger


def _speaking_of_joins(git: Git, store: RevisionStore) -> list[str]:
    """The cask files of a revision that speak of `same-as`, which git finds without our reading the book."""
    found = {path[len(store.prefix) :] for path in git.holding(store.commit, ("same-as", ESCAPE.decode()), f"{store.prefix}casks/")}
    names = sorted(found & store.entries.keys())
    store.keep(names)
    return names
