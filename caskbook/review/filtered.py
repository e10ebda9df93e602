"""Cask files between which and the commits a filter of git stands (`filter` of an attribute, as one that ciphers): the commits hold what no cask can be read of,
so nothing that landed in them can be compared."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from caskbook.checks.landed import Breach
from caskbook.core.finding import CaskbookError
from caskbook.git import Git
from caskbook.ledger.changes import CaskChange
from caskbook.ledger.paths import is_cask_path, known_as
from caskbook.ledger.revisions import Between
from caskbook.model.cask_file import Record, read_record
from caskbook.review.gather import Broken
from caskbook.review.model import Told
from caskbook.words.plural import number_of

_OF_CONTENT = frozenset(("landed-head-changed", "landed-layout-changed", "landed-text-mended", "landed-file-unreadable"))
"""Breaches that a text which nobody can read seems to have; where entries were read, a cask was."""
_NO_FILTER = frozenset(("unspecified", "unset", "set"))


def without_filtered(git: Git, differs: Between, broken: Broken, tip: str | None) -> tuple[Between, Broken]:
    """Both without the files of which nobody can tell what landed, and with a line that tells them. What was readable when it landed, and is no more, stays: that is an alteration.

    `tip`: a commit of the stretch that has them."""
    doubtful = {_file_of(change): change.new is not None and not _is_read(change.old or change.new) for change in differs.casks}
    told = {name for one in broken.breaches if (name := _name(one)) and name not in doubtful}
    suspects = {name for name, unread in doubtful.items() if unread} | set(_unread_at(git, tip, told))
    behind = _filters(git, sorted(suspects)) if suspects else {}
    if not behind:
        return differs, broken
    kept = replace(differs, casks=tuple(change for change in differs.casks if _file_of(change) not in behind))
    breaches = tuple(one for one in broken.breaches if one.finding.code not in _OF_CONTENT or _name(one) not in behind)
    return kept, replace(broken, breaches=breaches, told=(*broken.told, Told("filtered", _line(behind))))


def _line(behind: dict[str, str]) -> str:
    """That a filter stands there, and what was compared."""
    names, filters = sorted(behind), sorted(set(behind.values()))
    casks = known_as(names[0]) if len(names) == 1 else f"{number_of(len(names), 'cask')}, from {known_as(names[0])} on"
    return (
        f"git's filter {' and '.join(filters)} stands between files and commits of {casks}: what the commits hold cannot be read, so whether anything that landed there was altered, "
        "and what was entered, nobody can tell here; all else was compared"
    )


def _is_read(record: Record | None) -> bool:
    """Whether a file says a cask, the one of its name."""
    if record is not None and record.entrywise and record.cask is not None:
        return record.cask.id == record.name
    return record is not None and record.cask is not None and (record.content or {}).get("cask") == record.name


def _file_of(change: CaskChange) -> str:
    """The file of a change, by its name in the ledger."""
    record = change.new or change.old
    return _in_ledger(record.path) if record is not None else ""


def _name(one: Breach) -> str:
    """The file that a breach of its content is told of, by its name in the ledger; empty for any other breach."""
    return _in_ledger(one.finding.path) if one.finding.code in _OF_CONTENT else ""


def _in_ledger(path: str) -> str:
    """The path of a cask's file as it is shown, from the ledger on: it has two folders in it, whatever stands before; empty for another one."""
    name = "/".join(path.split("/")[-3:])
    return name if is_cask_path(name) else ""


def _unread_at(git: Git, commit: str | None, names: Iterable[str]) -> Iterator[str]:
    """Those of these files of which a commit holds what cannot be read."""
    for name in names if commit is not None else ():
        entry = git.entry(str(commit), git.prefix + name)
        if entry is not None and not _is_read(read_record(name, git.blobs([entry.oid])[entry.oid])):
            yield name


def _filters(git: Git, names: list[str]) -> dict[str, str]:
    """Name → the filter that git would run over the file; it is named, and not run."""
    asked = "".join(f"{name}\0" for name in names).encode("utf-8", "surrogateescape")
    try:
        rows = git.run("check-attr", "-z", "--stdin", "filter", data=asked).decode("utf-8", "replace").split("\0")
    except CaskbookError:
        return {}
    return {name: value for name, value in zip(rows[0::3], rows[2::3], strict=False) if value not in _NO_FILTER}
