"""Whose tables lie in an export's folder: whether those under another name are of this same book, which its house called otherwise before."""

from __future__ import annotations

import hashlib
import platform
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Literal

from caskbook.core.finding import CaskbookError
from caskbook.git import Git, open_git

SAME: Final = "same"
OTHER: Final = "other"
KIN: Final = "kin"
UNSURE: Final = "unsure"
Relation = Literal["same", "other", "kin", "unsure"]
_COMMIT = re.compile(r"[0-9a-f]{40}([0-9a-f]{24})?")


@dataclass(frozen=True)
class Origin:
    """Where a book comes from. `roots`: the first commits of its history, none without git, before the first commit or in a shallow clone; `prefix`: its
    folder in the repository; `place`: where it lies on this machine, where no history can tell; `name_at`: what its house was called at a commit."""

    git: Git | None
    commit: str | None
    roots: tuple[str, ...]
    prefix: str
    place: str | None
    name_at: Callable[[str], str | None]

    @property
    def about(self) -> dict[str, Any]:
        """What a manifest says of it."""
        return {"repository": {"roots": list(self.roots), "ledger": self.prefix} if self.roots else None, "place": self.place}

    def relation(self, made: Mapping[str, Any]) -> Relation:
        """What the book of a manifest is to this one: the same, another, one that began with the same commit (`kin`), or nobody can tell (`unsure`)."""
        said, commit = made.get("repository"), str(made.get("commit") or "")
        if isinstance(said, dict) and said.get("ledger") == self.prefix and self._is_of_this_line(commit):
            return SAME
        if "repository" not in made and self._is_of_this_line(commit):  # An earlier version said no more than the commit.
            return SAME if self.name_at(commit) == made["name"] else OTHER
        if isinstance(said, dict) and self.roots:
            return KIN if said.get("ledger") == self.prefix and set(self.roots) & set(said.get("roots", ())) else OTHER
        if self.place is not None and made.get("place") == self.place:
            return SAME
        return OTHER if commit and self.roots else UNSURE

    @property
    def shallow(self) -> bool:
        """Whether older history was left out here."""
        return self.git is not None and self.git.shallow

    def _is_of_this_line(self, commit: str) -> bool:
        """Whether a commit is here, and before or behind the one that is exported."""
        if self.git is None or self.commit is None or not _COMMIT.fullmatch(commit) or not self.git.works("cat-file", "-e", f"{commit}^{{commit}}"):
            return False
        return any(self.git.works("merge-base", "--is-ancestor", *pair) for pair in ((commit, self.commit), (self.commit, commit)))


def origin_of(root: Path, commit: str | None, name_at: Callable[[str], str | None]) -> Origin:
    """Where the book in a folder comes from. `commit`: the one that is exported, None without git or before the first."""
    try:
        git = open_git(root)
        roots = () if commit is None or git.shallow else tuple(sorted(git.text("rev-list", "--max-parents=0", commit).split()))
        prefix = git.prefix
    except CaskbookError:
        git, roots, prefix = None, (), ""
    return Origin(git, commit, roots, prefix, None if roots or (git is not None and git.shallow) else _place(root), name_at)


def _place(root: Path) -> str:
    """A sign of the folder on this machine, which tells nobody where it is."""
    own = root.resolve()
    return hashlib.sha256(f"{platform.node()}\0{own}\0{own.stat().st_ino}".encode("utf-8", "surrogateescape")).hexdigest()[:32]
