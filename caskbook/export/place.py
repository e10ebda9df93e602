"""The folder that an export goes to: what may be there, and what never is written to."""

from __future__ import annotations

import re
import stat
import unicodedata
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.export.schema import TABLES

KEPT = ".caskbook-export"
"""The folder within, which holds all that is written; what lies beside it are links into it."""
CURRENT, BEFORE, STATES, LOCK, MANIFEST, SQLITE = "current", "before", "states", "lock", "manifest", "sqlite"
LINKS = (*(one.name for one in TABLES), MANIFEST, SQLITE)
_STATE = re.compile(rf"{STATES}/[0-9a-f]{{16}}")
_MOST_NAMED = 3
_NOT_PLAIN = re.compile(r"[^A-Za-z0-9_.-]+")


def plain_ledger(name: str) -> str:
    """A ledger's name as a path bears it: letters of ASCII, figures, and - where anything else stood. CaskbookError where nothing is left of it."""
    spelled = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    plain = _NOT_PLAIN.sub("-", spelled).strip("-.")[:80]
    if not plain:
        raise CaskbookError(f"{name[:40]!r} has no letter a path can bear: give the house another `name` in house.yaml")
    return plain


def check_place(folder: Path, ledger: Path) -> None:
    """CaskbookError where an export must not be written into a folder: it is a link, is within the casks or git's own files, or holds what is none of ours."""
    if folder.is_symlink():
        raise CaskbookError(f"{folder} is a link: name the folder itself")
    if not folder.parent.is_dir():
        raise CaskbookError(f"there is no folder {folder.parent}")
    if folder.exists() and not folder.is_dir():
        raise CaskbookError(f"{folder} is a file: name a folder")
    whole = folder.resolve()
    if ".git" in whole.parts or any((above / "HEAD").is_file() and (above / "objects").is_dir() for above in (whole, *whole.parents)):
        raise CaskbookError(f"{folder} is among git's own files: name another folder")
    own = ledger.resolve()
    if any(whole.is_relative_to(own / name) for name in ("casks", ".caskbook", ".pending")):
        raise CaskbookError(f"{folder} is among the files of the ledger: name another folder")
    if folder.exists():
        _check_holds(folder)


def _check_holds(folder: Path) -> None:
    """CaskbookError where the folder holds anything and no export of ours, or something else has the name of a part of it."""
    kept = folder / KEPT
    if not _there(kept):
        others = sorted(one.name for one in folder.iterdir())
        if others:
            named = ", ".join(others[:_MOST_NAMED]) + (" …" if len(others) > _MOST_NAMED else "")
            raise CaskbookError(f"{folder} holds other things than an export ({named}): name an empty folder, or a new one")
        return
    if not all(_is_folder(one) for one in (kept, kept / STATES)):
        raise CaskbookError(f"{kept} is not as an export makes it: name another folder")
    for current in (kept / CURRENT, kept / BEFORE):
        if _there(current) and not (current.is_symlink() and _STATE.fullmatch(str(current.readlink())) and _is_folder(kept / current.readlink())):
            raise CaskbookError(f"{current} leads elsewhere: name another folder")
    for name in LINKS:
        link = folder / name
        if _there(link) and not (link.is_symlink() and link.readlink() == leads_to(name)):
            raise CaskbookError(f"{link} is none of an export's: move it away first, or name another folder")


def _there(path: Path) -> bool:
    """Whether anything has that name, a link that leads nowhere too."""
    return path.is_symlink() or path.exists()


def _is_folder(path: Path) -> bool:
    """Whether it is a folder, and no link to one; what is not there yet may become one."""
    try:
        return stat.S_ISDIR(path.lstat().st_mode)
    except FileNotFoundError:
        return True


def leads_to(name: str) -> Path:
    """Where the link of a table, of the manifests or of the SQLite files leads, from its folder on."""
    return Path(KEPT, CURRENT, name)
