"""`--commit`: what this run wrote is committed with a sentence, and nothing else; else it is said why not, and stays written."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, say
from caskbook.core import outcome, run_files
from caskbook.core.finding import CaskbookError
from caskbook.core.run_files import RunFile
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from caskbook.git import Git
    from caskbook.git.commit_files import Made

WELL, NOT_COMMITTED = 0, 1
_MOST_NAMED = 5
_MOST_SAID = 40
_MOST_READ = 2000
"""Of more files than these the sentence counts, and does not tell cask by cask."""


def refuse_dry(*, dry: bool, commit: bool) -> None:
    """CaskbookError where both are wanted: a trial leaves nothing to be committed."""
    if dry and commit:
        raise CaskbookError("--dry-run writes nothing, so there is nothing for --commit; take one of them out")


def commit_run(book: Book, subject: str | None = None) -> int:
    """Commit what this run wrote. `subject`: the sentence, where the caller knows a better one. 0; 1 where it is written and not committed."""
    files = run_files.run_files(book.root)
    if not files:
        return WELL
    try:
        with outcome.whole():
            return _committed(book, files, subject)
    except CaskbookError as error:
        return not_committed(str(error))


def not_committed(why: str) -> int:
    """Say that what is written is not committed, and why."""
    say(f"written, not committed: {why}")
    return NOT_COMMITTED


def _committed(book: Book, files: Mapping[str, RunFile], subject: str | None) -> int:
    """Commit the files of this run. CaskbookError, in one sentence, where that may not be."""
    from caskbook.git import open_git
    from caskbook.git.commit_files import RefusedCommit, commit_files, entries_at, hindrance

    git = open_git(book.root)
    if why := hindrance(git):
        raise CaskbookError(why)
    paths = {git.prefix + name: one for name, one in files.items()}
    head = entries_at(git, git.head(), paths) if git.head() else {}
    landed = git.blobs(one.oid for one in head.values())
    texts = {path: landed[one.oid] for path, one in head.items()}
    paths = {path: one for path, one in paths.items() if not _same(texts.get(path), one.after)}
    if not paths:
        say("nothing to commit: the last commit has it so already")
        return WELL
    gone = _already_so(book, git, paths, texts)
    if not paths:
        say("nothing else is uncommitted" if gone else "nothing to commit: the last commit has it so already")
        return NOT_COMMITTED if gone else WELL
    _refuse_others(book, git, paths, texts)
    paths = {
        path: replace(one, before=texts[path]) if one.left(texts.get(path)) else one for path, one in paths.items()
    }  # Earlier lines are committed already.
    index = entries_at(git, None, paths)
    staged = git.blobs(one.oid for path, one in index.items() if path not in head or head[path].oid != one.oid)
    odd = [path for path in paths if (path in index) != (path in head) or (path in head and index[path].oid != head[path].oid)]
    odd = [path for path in odd if path not in index or not _same(staged.get(index[path].oid), paths[path].after)]
    if odd:
        raise CaskbookError(f"{_named(odd)}: git has another version staged; look at git status, then git add and git commit")
    message = f"{subject}\n" if subject else _sentence(book, paths, git.prefix)
    fresh = [path for path, one in paths.items() if path not in index and one.after is not None]
    try:
        made = commit_files(git, list(paths), fresh, message)
    except RefusedCommit as refused:
        _tell(refused.said)
        return not_committed("git refused the commit (above is why); what is written stays, put it right and commit it")
    _tell(made.said)
    return max(_told(git, made, message, paths), NOT_COMMITTED if gone else WELL)


def _already_so(book: Book, git: Git, paths: dict[str, RunFile], texts: Mapping[str, bytes]) -> bool:
    """Take out the files of which nothing is uncommitted, though this run left them otherwise, and say of which what it left is gone. Whether there are such."""
    from caskbook.entry.undo import ids_in
    from caskbook.ledger.atomic_write import present_bytes

    now = {path: present_bytes(book.root, book.root / path.removeprefix(git.prefix)) for path in paths}
    settled = {path: paths.pop(path) for path in [path for path in paths if _same(texts.get(path), now[path])]}
    lost = [
        path for path, one in settled.items() if (ids_in(path, one.after) or set()) - (ids_in(path, one.before) or set()) - (ids_in(path, now[path]) or set())
    ]
    if lost:
        say(
            f"{_named(lost)}: what this run left there is no longer in it (another bench, a checkout or a stash took it out), and the last commit has it as it is"
        )
    return bool(lost)


def _same(one: bytes | None, other: bytes | None) -> bool:
    """Whether two texts are one; git may keep another ending of lines than the disk."""
    if one is None or other is None:
        return one is other
    return one == other or one.replace(b"\r\n", b"\n") == other.replace(b"\r\n", b"\n")


def _refuse_others(book: Book, git: Git, paths: Mapping[str, RunFile], texts: Mapping[str, bytes]) -> None:
    """CaskbookError where a file holds what this run did not write."""
    from caskbook.ledger.atomic_write import present_bytes

    now = {path: present_bytes(book.root, book.root / path.removeprefix(git.prefix)) for path in paths}
    edited = [path for path, one in paths.items() if one.broken_in or now[path] != one.after]
    if edited:
        raise CaskbookError(f"{_named(edited)}: somebody else changed it meanwhile (an editor?); look at git diff, then git add and git commit")
    before = [path for path, one in paths.items() if not (_same(texts.get(path), one.before) or one.left(texts.get(path)))]
    if before:
        raise CaskbookError(
            f"{_named(before)}: the last commit is not what stood there before this run (there is work of before, or of another run); see caskbook review, then git add and git commit"
        )


def _named(paths: list[str]) -> str:
    more = f" and {len(paths) - _MOST_NAMED} more" if len(paths) > _MOST_NAMED else ""
    return ", ".join(sorted(paths)[:_MOST_NAMED]) + more


def _sentence(book: Book, paths: Mapping[str, RunFile], prefix: str) -> str:
    """What a review would say of these files."""
    if len(paths) > _MOST_READ:
        return f"{number_of(len(paths), 'cask')} written\n"
    from pathlib import Path

    from caskbook.ledger.files import open_folder
    from caskbook.ledger.revisions.between import cask_changes
    from caskbook.review.sentence import commit_sentence

    changes = cask_changes({path.removeprefix(prefix): (one.before, one.after) for path, one in paths.items()}, "")
    ledger = open_folder(book.root, Path.cwd())
    ledger.claims_known, ledger.near = book.ledger.claims_known, book.ledger.near
    ledger.forget_claims()
    return commit_sentence(changes, ledger)


def _tell(lines: tuple[str, ...]) -> None:
    for line in lines[:_MOST_SAID]:
        say(f"  {line}")
    if len(lines) > _MOST_SAID:
        say(f"  … and {len(lines) - _MOST_SAID} lines more")


def _told(git: Git, made: Made, message: str, paths: Mapping[str, RunFile]) -> int:
    """Say what was committed; 1 where that is not just what this run wrote, for a hook, an editor or another run changed it on the way."""
    from caskbook.git.commit_files import changed_paths, entries_at

    say(f"committed {made.commit[:10]}: {message.partition(chr(10))[0]}")
    held = entries_at(git, made.commit, paths)
    blobs = git.blobs(one.oid for one in held.values())
    other = [path for path, one in paths.items() if not _same(blobs[held[path].oid] if path in held else None, one.after)]
    other += sorted(changed_paths(git, made.commit) - set(paths))
    if other:
        say(f"the commit is not just what was written here: {_named(other)}; a hook, an editor or another run changed it on the way: git show")
        return NOT_COMMITTED
    return WELL
