"""CRLF that git put there: a machine set up so that git turns newlines on their way to the disk has done nothing wrong."""

from __future__ import annotations

from collections.abc import Iterable

from caskbook.core.finding import CaskbookError, Finding
from caskbook.git import Git
from caskbook.ledger.files import FileStore, Folder

_CODE = "crlf-newlines"


def without_converted(file_store: FileStore, findings: Iterable[Finding]) -> list[Finding]:
    """The findings without those on CRLF in files that git keeps with LF and turns by itself; one committed with CRLF stays."""
    found = list(findings)
    if not isinstance(file_store, Folder) or not any(one.code == _CODE for one in found):
        return found
    turned = {file_store.shown + name for name in _converted(Git(file_store.root))}
    return [one for one in found if one.code != _CODE or one.path not in turned]


def _converted(git: Git) -> set[str]:
    """Files with LF in git's index and CRLF on disk, which git takes for the same or will turn back itself."""
    try:
        rows = git.run("ls-files", "-z", "--eol", "--", "casks", "house.yaml").decode("utf-8", "surrogateescape").split("\0")
        turned = {name for about, _, name in (row.partition("\t") for row in rows) if about.split()[:2] == ["i/lf", "w/crlf"]}
        if turned and git.text("config", "--type=bool-or-str", "--get", "core.autocrlf", good=(0, 1, 129)) not in ("true", "input"):
            turned -= set(git.run("diff-files", "-z", "--name-only", "--relative", "--", "casks", "house.yaml").decode("utf-8", "surrogateescape").split("\0"))
    except CaskbookError:
        return set()
    return turned
