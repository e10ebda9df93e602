"""`check`: findings of casks, files or the whole book, in the format asked for."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from caskbook import __version__
from caskbook.checks import Report, check_ledger, exit_code
from caskbook.cli.carried_in import files_alone
from caskbook.cli.checked_on import checked_on
from caskbook.cli.commands.check_revisions import bare_book, new_report
from caskbook.cli.common import Book, index_of, one_of, open_book, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.cli.numbers import known_by_mark, named
from caskbook.cli.progress import progress
from caskbook.core.finding import CaskbookError, Finding, in_file_order
from caskbook.entry.casks import looks_like_casks
from caskbook.git import in_push
from caskbook.ledger.files import HOUSE_FILE, Folder, Ledger, file_of, is_cask_id
from caskbook.ledger.tracked import LeftOut, is_sparse
from caskbook.model.cask_file import name_of
from caskbook.model.joins import one_cask

_FORMATS = ("text", "concise", "json", "jsonl", "github", "sarif")


def run(
    what: list[str],
    records: str | None,
    as_of: str | None,
    at: str | None,
    since: str | None,
    form: str,
    *,
    strict: bool,
    notes: bool,
    new_since: str | None = None,
    ends_only: bool = False,
) -> int:
    """Print the findings; 1 on an error, or on a warning when strict.

    `new_since`: only those that the revision had not; before a push is taken, git being told by `since` what landed, that is the
    usual way.
    """
    one_of("--format", form, _FORMATS)
    new_since = new_since or (since if in_push() else None)
    since = since or new_since
    book = bare_book(records, as_of, at) or open_book(records, as_of, at, start=_folder_of(what))
    if since or files_alone():
        book = replace(book, files_alone=True)
    named_files = _names(book, what, at)
    file_store = book.ledger.file_store
    if isinstance(file_store, Folder) and is_sparse(book.root):  # Its casks are not looked at, but others may name them.
        book = replace(book, files_alone=True)
        file_store.kept = LeftOut(book.root)
    names = None if named_files is None else _with_joined(book, named_files, served=not at and not book.files_alone)
    gc.disable()  # Nothing here is cyclic, and the collector would take most of the time of a bulk read.
    on = book.day if as_of else book.today
    report = new_report(book, new_since, at, names, on) if new_since else _report(book, at, names, as_of is not None)
    if since:
        report = _with_history(book, report, since, at, names, ends_only=ends_only)
    gc.enable()
    _print(book.ledger, report, form, notes=notes)
    return exit_code(report.findings, strict)


def _folder_of(what: Sequence[str]) -> Path | None:
    """Where to look for the ledger when files are named: beside the first of them."""
    first = next((word for word in what if not is_cask_id(word.upper())), None)
    return Path(first).resolve().parent if first is not None and Path(first).exists() else None


def _names(book: Book, what: Sequence[str], at: str | None) -> dict[str, bool] | None:
    """The files, relative to the ledger, of what is to be checked, each once: casks as they are named everywhere (True), and paths; None where nothing is named."""
    words = [word for word in what if is_cask_id(word.upper()) or (looks_like_casks(word) and (word == ".." or not Path(word).exists()))]
    alone = all(is_cask_id(word.upper()) for word in words)
    casks = [word.upper() for word in words] if alone else named(book, words, at, with_gone=True)
    if any(not _is_there(book.ledger, file_of(cask)) for cask in casks):
        casks = known_by_mark(book, casks, at)
    found = [*((cask, file_of(cask)) for cask in casks), *((word, _path_name(book, word)) for word in what if word not in words)]
    for word, name in found:
        if name != HOUSE_FILE and not (name.startswith("casks/") and _is_there(book.ledger, name)):
            raise CaskbookError(book.ledger.absent(word) if is_cask_id(word) else f"{word} is not in the book")
    by_number = {file_of(cask) for cask in casks}
    return {name: name in by_number for _, name in found} if what else None


def _with_joined(book: Book, named_files: dict[str, bool], *, served: bool) -> list[str]:
    """The files named; with one that is named as a cask all files of that cask, under whichever of its numbers. `served`: the index may tell of other files."""
    if served and os.environ.get("CASKBOOK_INDEX") != "off":
        index_of(book).serve(book.ledger, now=True)
    numbers = one_cask(book.ledger.claimants()) if any(named_files.values()) else {}
    files = {name: [file_of(one) for one in numbers.get(name_of(name), ())] if by_number else [] for name, by_number in named_files.items()}
    return list(dict.fromkeys(file for name, others in files.items() for file in (name, *(one for one in others if _is_there(book.ledger, one)))))


def _path_name(book: Book, word: str) -> str:
    """The file, relative to the ledger, of a path."""
    path = _plain_path(word)
    root = _plain_path(book.root)
    if root not in path.parents:
        raise CaskbookError(f"{word} is neither a cask id nor a file of this ledger")
    return path.relative_to(root).as_posix()


def _plain_path(path: str | Path) -> Path:
    """Absolute, without `..`, links not followed: a link is no way into the ledger."""
    return Path(os.path.normpath(Path(path).absolute()))


def _is_there(ledger: Ledger, name: str) -> bool:
    try:
        return ledger.file_store.read(name) is not None
    except CaskbookError:
        return True


def _report(book: Book, at: str | None, names: list[str] | None, past: bool) -> Report:
    """The check on the day asked for; what lies in the future is always told by the real day."""
    if names is not None and HOUSE_FILE in names:
        whole = _on(book, at, None, past)
        shown = {book.ledger.file_store.shown + name for name in names}
        return Report(tuple(finding for finding in whole.findings if finding.path in shown), len(names) - 1)
    return _on(book, at, names, past)


def _on(book: Book, at: str | None, names: list[str] | None, past: bool) -> Report:
    if not past:
        return _checked(book, at, book.today, names)
    return checked_on(book, lambda day, some: _checked(book, at, day, some), names)


def _checked(book: Book, at: str | None, day: date, names: Sequence[str] | None) -> Report:
    ledger = book.ledger
    if names is not None:
        return _with_copies(book, at, check_ledger(ledger, day, names), names)
    with progress("casks") as advance:
        return index_of(book, at).check(ledger, day, advance)


def _with_copies(book: Book, at: str | None, report: Report, names: Sequence[str]) -> Report:
    """The report on some files of the work tree, and which of them have a copy among the others; not where a push or a commit is checked, whose check
    of what came in tells it."""
    if at or book.files_alone or not isinstance(book.ledger.file_store, Folder):
        return report
    from caskbook.checks.copied import copies_of

    told = {finding.cask for finding in report.findings if finding.code == "copied-cask"}
    numbers = [number for name in names if is_cask_id(number := name_of(name)) and file_of(number) == name]
    found = []
    for number, fault in copies_of(book.ledger, numbers, index_of(book).may_be_copies):
        record = book.ledger.find(number)
        found += record.placed([fault]) if record is not None and number not in told else []
    return Report(tuple(in_file_order([*report.findings, *found])), report.casks)


def _with_history(book: Book, report: Report, since: str, at: str | None, names: list[str] | None, *, ends_only: bool) -> Report:
    from caskbook.checks.history import append_only_since

    found = append_only_since(book.root, since, at, book.ledger.file_store.shown, names, ends_only=ends_only)
    return Report(tuple(in_file_order([*report.findings, *found])), report.casks)


def _texts(ledger: Ledger) -> Callable[[str], bytes | None]:
    """The bytes of a file by its path as shown."""

    def text(path: str) -> bytes | None:
        try:
            return ledger.file_store.read(path.removeprefix(ledger.file_store.shown))
        except CaskbookError:
            return None

    return text


def _print(ledger: Ledger, report: Report, form: str, *, notes: bool) -> None:
    """The report goes out in the format asked for; `notes` shows the findings of the lowest severity too, where a person reads them."""
    from caskbook.render import finding_formats, findings

    found: Sequence[Finding] = report.findings
    if form == "text":
        write_text(findings.findings_text(found, report.casks, _texts(ledger), notes=notes), screen())
    elif form == "concise":
        write_text(findings.concise_text(found, notes=notes), screen())
    elif form in ("json", "jsonl"):
        write_data(finding_formats.findings_json(found, report.casks, form))
    elif form == "github":
        write_data(finding_formats.github_text(found))
    else:
        from caskbook.render.sarif import sarif_json

        write_data(sarif_json(found, __version__))
