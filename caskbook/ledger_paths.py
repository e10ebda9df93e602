"""Which paths a write may have: house.yaml and the files of casks, nothing else, and `.git` in no spelling."""

from __future__ import annotations

import re
import unicodedata

from caskbook.finding import CaskbookError
from caskbook.folder import CASK_ID, HOUSE_FILE

_CASK_FILE = re.compile(r"casks/([^/]+)/([^/]+)\.yaml")
_ID = re.compile(CASK_ID)
_SHORT = re.compile(r"gi[t7]?[0-9a-f]*~[0-9]+")


def is_git_name(part: str) -> bool:
    """Whether some file system takes this name for `.git`: other case, dots or spaces behind it, a short name of Windows, a stream,
    or signs in it that are not seen."""
    seen = "".join(sign for sign in part if unicodedata.category(sign) not in ("Cf", "Mn", "Cc", "Cn", "Co"))
    bare = unicodedata.normalize("NFKC", seen).casefold().partition(":")[0].rstrip(". ")
    return bare == ".git" or _SHORT.fullmatch(bare) is not None


def check_written_path(name: str) -> None:
    """CaskbookError for a path that no write of this program has: only house.yaml and casks/FOLDER/ID.yaml."""
    if any(is_git_name(part) for part in re.split(r"[/\\]", name)):
        raise CaskbookError(f"{_shown(name)}: a path of git's own, never written")
    found = _CASK_FILE.fullmatch(name)
    right = found is not None and len(found[2]) <= 24 and _ID.fullmatch(found[2]) is not None and found[1] == found[2][:-3]
    if name != HOUSE_FILE and not right:
        raise CaskbookError(f"{_shown(name)}: expected {HOUSE_FILE} or casks/FOLDER/ID.yaml")


def _shown(name: str) -> str:
    return ascii(name[:80])
