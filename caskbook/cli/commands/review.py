"""`review`: what commits, or the work tree, did to the book, in words."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

from caskbook.cli.common import Book, one_of, open_book, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.core.finding import CaskbookError
from caskbook.entry.casks import looks_like_casks
from caskbook.git import Git, open_git
from caskbook.ledger.files import Ledger, find_ledger
from caskbook.ledger.parallel import no_collecting
from caskbook.ledger.revisions import RevisionStore, between
from caskbook.ledger.revisions.between import both_sides, changed_somewhere
from caskbook.model.joins import BOND_WORDS
from caskbook.render.review import review_json, review_markdown, review_text
from caskbook.review import Limit, Review, Stretch, joint, limit_to, review, stretch
from caskbook.review.broken import broken_in, broken_now
from caskbook.review.copies import copies_in
from caskbook.review.filtered import without_filtered

FORMATS = ("text", "json", "markdown")


def run_words(words: Sequence[str], records: str | None, as_of: str | None, form: str) -> int:
    """The review that a command line asks for: of a range, of casks, or of casks in a range."""
    from caskbook.cli.commands.review_casks import range_and_casks

    one_of("--format", form, FORMATS)
    if len(words) < 2 and not looks_like_casks("".join(words)):
        return run(words[0] if words else None, records, as_of, form)
    book = open_book(records, as_of, joins=True)
    range_text, casks = range_and_casks(open_git(book.root), book, words)
    return run(range_text, records, as_of, form, casks, book.ledger.joins() if casks else {})


def run(
    range_text: str | None,
    records: str | None = None,
    as_of: str | None = None,
    form: str = "text",
    casks: Sequence[str] = (),
    joins: Mapping[str, str] = MappingProxyType({}),
) -> int:
    """Print the review, of some casks alone where any are named; 1 where something that had landed was altered, moved or removed.

    `joins`: number that was joined → number that goes on; a cask named is told under all its numbers.
    """
    one_of("--format", form, FORMATS)
    root = find_ledger(Path.cwd(), records, os.environ.get("CASKBOOK_RECORDS"))
    git = open_git(root)
    span = stretch(git, range_text)
    book = open_book(records, as_of)
    with no_collecting():
        found = _review(git, root, span, book, _limit(git, span, casks, book, joins) if casks else None)
    if form == "text":
        output = screen()
        write_text(review_text(found, output), output)
    else:
        write_data(review_json(found) if form == "json" else review_markdown(found))
    return 0 if found.clean else 1


def _limit(git: Git, span: Stretch, casks: Sequence[str], book: Book, joins: Mapping[str, str]) -> Limit:
    """The limit to these casks, under all their numbers; a number that is nowhere in the stretch, nor in the book, may be an old mark."""
    from caskbook.cli.numbers import known_by_mark
    from caskbook.review.limit import other_numbers, unknown_casks

    files = book.ledger.file_store
    unknown = unknown_casks(git, span, casks, files)
    named = known_by_mark(book, casks, absent=unknown) if unknown else casks
    others = other_numbers(named, joins)
    lacking = unknown_casks(git, span, others, files) if others else []
    return limit_to(git, span, [*named, *(number for number in others if number not in lacking)], files)


def _review(git: Git, root: Path, span: Stretch, book: Book, limit: Limit | None = None) -> Review:
    """The review of a stretch, of all casks or of some."""
    shown, names = book.ledger.file_store.shown, None if limit is None else limit.names
    ledger = book.ledger if span.new is None else _ledger_at(git, span.new)
    if span.new is not None:
        differs, broken = without_filtered(git, between(git, root, span.old, span.new, shown, names), broken_in(git, root, span, shown, names), span.new)
        found = review(span, differs, broken, ledger, book.day, joint(git, span, ledger.house, names), limit)
        return replace(found, copies=copies_in(git, span.old, differs.casks, ledger))
    work, index = both_sides(git, root, span.old, shown, names)
    differs, broken = without_filtered(git, changed_somewhere(work, index), broken_now(git, root, span, work, index, ledger, names), span.old)
    return replace(review(span, differs, broken, ledger, book.day, limit=limit), copies=copies_in(git, span.old, differs.casks, ledger))


def _ledger_at(git: Git, commit: str) -> Ledger:
    store = RevisionStore(git, commit, git.prefix, f"{commit}:{git.prefix}", commit)
    try:
        ledger = Ledger(store)
    except CaskbookError as error:
        raise CaskbookError(f"the ledger is not in that commit: {error}") from None
    ledger.claims_known = lambda: ledger.claims_of(store.holding(*(word.decode() for word in BOND_WORDS)))  # Git finds them without our reading the book.
    return ledger
