"""Names and paths in a ledger: a cask's number and its file, what a copy is, and which paths a write may have."""

from __future__ import annotations

import re

from caskbook.core.finding import CaskbookError
from caskbook.git.names import is_git_name
from caskbook.ledger.folder import HOUSE_FILE
from caskbook.model.ids import CASK_ID
from caskbook.model.ids import is_cask_id as is_cask_id

_ID = re.compile(CASK_ID)
_PLAIN = re.compile(rf"casks/[A-Z0-9-]+/{CASK_ID.strip('^$')}\.yaml")


def file_of(cask_id: str) -> str:
    """The cask's file, relative to the ledger; CaskbookError for what is no id."""
    if not is_cask_id(cask_id):
        shown = "".join(sign if sign.isprintable() else "?" for sign in cask_id[:40])
        raise CaskbookError(f'"{shown}" is no cask id: write capitals, then 4 to 9 digits, as TH-004217')
    return f"casks/{cask_id[:-3]}/{cask_id}.yaml"


def check_written_path(name: str) -> None:
    """CaskbookError for a path that no write of this program has: only house.yaml and casks/FOLDER/ID.yaml."""
    if any(is_git_name(part) for part in re.split(r"[/\\]", name)):
        raise CaskbookError(f"{_shown(name)}: a path of git's own, never written")
    cask = name.rpartition("/")[2].removesuffix(".yaml")
    if name != HOUSE_FILE and not (is_cask_id(cask) and name == file_of(cask)):
        raise CaskbookError(f"{_shown(name)}: expected {HOUSE_FILE} or casks/FOLDER/ID.yaml")


def _shown(name: str) -> str:
    return ascii(name[:80])


_COPY = re.compile(r"[A-Z][A-Z0-9]*(?:-[A-Z0-9]+)*-[0-9]{4,9}[^0-9]")

_BEARING = r"([A-Z][A-Z0-9]*(?:-[A-Z0-9]+)*-[0-9]{4,9})(?:[^0-9].*)?\.ya?ml"


def is_cask_path(name: str) -> bool:
    """Whether a path in the ledger has the form casks/FOLDER/FILE.yaml, in UTF-8, is no copy that a sync program made, and no
    house.yaml."""
    if _PLAIN.fullmatch(name):  # as nearly all are
        return True
    if name.count("/") != 2 or not name.startswith("casks/") or not name.endswith(".yaml") or name.endswith("/house.yaml"):
        return False
    if name.startswith(("casks//", "casks/./", "casks/../")):  # git can bear such names, and no work tree can
        return False
    return is_utf8(name) and not is_copy(name.rpartition("/")[2])


def is_copy(file: str) -> bool:
    """Whether a file's name is a cask's number and more behind it: what sync programs and editors make of two versions."""
    stem = file.removesuffix(".yaml")
    return file.endswith(".yaml") and _COPY.match(stem) is not None and _ID.fullmatch(stem) is None


def strayed_number(name: str) -> str:
    """The number that the name of a file within casks/ bears, where a file of that name and place is not read as a cask's; empty where it bears none, or is read."""
    if is_cask_path(name) or not name.startswith("casks/") or "/." in name:
        return ""
    found = re.fullmatch(_BEARING, name.rpartition("/")[2], re.IGNORECASE | re.ASCII | re.DOTALL)
    number = found[1].upper() if found else ""
    return number if is_cask_id(number) else ""


def may_be_casks(name: str) -> bool:
    """Whether a cask's file, or the folder of some, or of all, could bear this name in the ledger."""
    return name == "casks" or is_cask_path(name) or is_cask_path(f"{name}/{name.rpartition('/')[2]}000.yaml")


def is_utf8(name: str) -> bool:
    """Whether every byte of a name is UTF-8; one that is not has been read as half a sign."""
    return name.isascii() or not any("\ud800" <= sign <= "\udfff" for sign in name)


def plain_name(name: str) -> str:
    """A name as it may be shown and stored anywhere: a byte that is no UTF-8 as \\xNN."""
    return name if is_utf8(name) else name.encode("utf-8", "surrogateescape").decode("utf-8", "backslashreplace")


def known_as(name: str) -> str:
    """What a person calls a file of the ledger: a cask by its number, another by its name."""
    last = name.rpartition("/")[2]
    return last if last == "house.yaml" else last.removesuffix(".yaml")
