"""Names out of git: which of them a work tree can hold, so that they may be put behind the path of a folder.

A tree of git can bear any name; git itself refuses some only where it checks a tree out, and no program may write or read there.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterable

LONGEST_NAME, LONGEST_PATH = 255, 1000
"""Bytes that every usual file system takes in one name, and every system in one path (the least known allows 1024)."""

_SHORT = re.compile(r"gi[t7]?[0-9a-f]*~[0-9]+")
_ATTRIBUTES = ".gitattributes"
_BOOK = re.compile(r"(?:.*/)?(?:casks/[A-Z][A-Z0-9-]*/[A-Z][A-Z0-9-]*\.yaml|house\.yaml)", re.DOTALL)
# Whatever may be wrong with a path; of a large tree nearly every name is passed by with one look.
_SUSPECT = re.compile(r"(?:^|/)\.{0,2}(?:/|$)|\\|~|[gG][iI][tT]|[^ -~]")


def is_git_name(part: str) -> bool:
    """Whether some file system takes this name for `.git`: other case, dots or spaces behind it, a short name of Windows, a stream,
    or signs in it that are not seen."""
    if part.isascii() and part.isprintable():
        bare = part.lower()
    else:
        import unicodedata  # only for names that are out of the way

        seen = "".join(sign for sign in part if unicodedata.category(sign) not in ("Cf", "Mn", "Cc", "Cn", "Co"))
        bare = unicodedata.normalize("NFKC", seen).casefold()
    bare = bare.partition(":")[0].rstrip(". ")
    return bare == ".git" or _SHORT.fullmatch(bare) is not None


def odd_name(path: str) -> str:
    """Why no work tree can hold a path out of git, in a few words; empty where one can."""
    if len(path) <= LONGEST_NAME and _SUSPECT.search(path) is None:
        return ""
    for part in path.split("/"):
        if part in ("", ".", ".."):
            return f'"{part}" in a path'
        if "\\" in part:
            return "a backslash in a name"
        if is_git_name(part):
            return "a name of git's own"
    if any(len(_bytes(part)) > LONGEST_NAME for part in path.split("/")):
        return f"a name of more than {LONGEST_NAME} bytes"
    return f"a path of more than {LONGEST_PATH} bytes" if len(_bytes(path)) > LONGEST_PATH else ""


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogateescape")


def of_system(text: str) -> str:
    """A text of git, whose bytes are UTF-8, as this system names a place or gives a word to a program that has just these bytes: another text
    only where the locale has another encoding."""
    return text if sys.getfilesystemencoding() == "utf-8" else os.fsdecode(_bytes(text))


def is_plain_path(path: str) -> bool:
    """Whether a path out of git may be put behind that of a folder: it leads to no place outside it, nor into git's own."""
    return not odd_name(path)


def odd_names(paths: Iterable[str]) -> dict[str, str]:
    """Those of all files of a tree, in its own order, that no work tree can hold: path → why. A path that is there twice is one of
    them, and so is a file of which another is a folder, and one that stands out of order, which git itself does not find."""
    listed = list(paths)
    found = {path: why for path in listed if (why := odd_name(path))}
    folders = {path.rpartition("/")[0] for path in listed}
    folders |= {folder[:n] for folder in folders for n, sign in enumerate(folder) if sign == "/"}
    last = ""
    for path in listed:
        if path == last or path in folders:
            found.setdefault(path, "two things of one name")
        elif path < last and _bytes(path) < _bytes(last):
            found.setdefault(path, "a name out of order")
        last = path
    return found | {path: why for path, why in _alike(listed).items() if path not in found}


def _alike(listed: list[str]) -> dict[str, str]:
    """Files that take the place of one of a book, or of git's attributes, where capitals count for nothing: path → why."""
    found: dict[str, str] = {}
    folded: dict[str, list[str]] = {}
    for path in listed:
        folded.setdefault(path.casefold(), []).append(path)
        name = path.rpartition("/")[2]
        if len(name) == len(_ATTRIBUTES) and name != _ATTRIBUTES and name.casefold() == _ATTRIBUTES:
            found[path] = f"taken for {_ATTRIBUTES} where capitals do not count"
    for alike in folded.values() if len(folded) < len(listed) else ():
        if len(alike) > 1 and any(_BOOK.fullmatch(path) for path in alike):
            found |= dict.fromkeys(alike, "taken for another file where capitals do not count")
    return found
