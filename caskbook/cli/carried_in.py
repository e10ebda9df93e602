"""What lies beside the casks and is not believed, told in a line each; the answer then comes from the files alone."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.core.typed_word import typed_word
from caskbook.ledger.links_above import leads_outside
from caskbook.ledger.machine import state_folder
from caskbook.ledger.tracked import all_left_out, begin_tracked, is_sparse, links_in
from caskbook.words.plural import number_of

_HOOK = ("GIT_DIR", "GIT_INDEX_FILE", "GIT_WORK_TREE", "GIT_QUARANTINE_PATH")


def files_alone() -> bool:
    """Whether this runs where others rely on it, in CI or in one of git's hooks: then no index is asked."""
    return os.environ.get("CI", "").lower() not in ("", "0", "false", "no") or any(os.environ.get(name) for name in _HOOK)


def begin_carried(root: Path) -> Callable[[], list[str]]:
    """Begin to look, git at work beside; gives what waits for the lines to tell, none where all is well."""
    tracked = begin_tracked(root)

    def wait() -> list[str]:
        """One line for each thing beside the book that is not believed, once git has answered."""
        found = tracked()
        lines = [f"{_seen(path)}: a link or no file of ours, so nothing in it is believed; take it away" for path in links_in(root)]
        lines += [
            f"{_seen(path)}: a link out of the repository that holds it: answered from the files, and nothing is written there"
            for path in [leads_outside(root)]
            if path
        ]
        if not found:
            return lines
        forget(root)
        folders = sorted({name.rstrip("/").partition("/")[0] for name in found})
        given = " ".join(typed_word(_seen(root / folder)) for folder in folders)
        return [
            *lines,
            f"git tracks {_printable(_seen(root / found[0]))}, which is never believed: answered from the files; git rm -r --cached {_printable(given)}",
        ]

    return wait


def no_state() -> str:
    """Why this machine can note nothing outside the repository; empty where it can."""
    try:
        state_folder()
    except CaskbookError as error:
        return str(error)
    return ""


def forget(root: Path) -> None:
    """Whatever index lies there now, another is made when git tracks none any more."""
    from caskbook.index.index import Index

    Index.forget(root)


def _seen(path: Path) -> str:
    try:
        return os.path.relpath(path).replace(os.sep, "/")
    except ValueError:
        return str(path)


def _printable(text: str) -> str:
    return "".join(sign if sign.isprintable() else "?" for sign in text)


def left_out_line(root: Path) -> str:
    """That casks are left out of this work tree, so that no list has them; empty where none is. Git is asked only where a sparse
    checkout was set."""
    count = len(all_left_out(root, "casks")) if is_sparse(root) else 0
    return (
        f"{number_of(count, 'cask')} {'is' if count == 1 else 'are'} left out of this work tree by a sparse checkout: git sparse-checkout disable"
        if count
        else ""
    )
