"""Links that a repository carries in on the way to its ledger: the folder `records` itself, or one above it inside the work tree."""

from __future__ import annotations

import os
from pathlib import Path

from caskbook.core.finding import CaskbookError


def link_above(root: Path) -> Path | None:
    """The first folder on the way up from a ledger that is a link which git tracks; None where there is none.

    A link of the user's own, which no repository holds, is a way to the ledger like any other. Git is asked only where there is a link.
    """
    whole = Path(os.path.normpath(root.absolute()))
    return next((at for at in (whole, *whole.parents) if at.is_symlink() and _is_tracked(at)), None)


def links_above(root: Path) -> list[Path]:
    """The same for a reader: seen from the folder he is in; empty where there is none."""
    return [Path(os.path.relpath(link)) for link in [link_above(root)] if link]


def leads_outside(root: Path) -> Path | None:
    """Such a link, where it leads out of the repository that holds it."""
    link = link_above(root)
    return link if link is not None and _top_of(link) not in link.resolve().parents else None


def refuse_outside(root: Path) -> None:
    """CaskbookError where what is written into a ledger would go through such a link."""
    if (link := leads_outside(root)) is not None:
        raise CaskbookError(
            f"{link}: a symbolic link out of the repository that holds it: nothing is written where it leads; put the folder itself in its place"
        )


def _top_of(link: Path) -> Path | None:
    """The top of the work tree that a link lies in, with no link on the way to it; None where it lies in none."""
    folder = link.parent.resolve()
    return next((at for at in (folder, *folder.parents) if (at / ".git").exists()), None)


def _is_tracked(link: Path) -> bool:
    from caskbook.git import Git

    if _top_of(link) is None:
        return False
    try:
        return Git(link.parent).run("ls-files", "-s", "--", f":(literal){link.name}").startswith(b"120000 ")
    except CaskbookError:
        return False
