"""The common versions of a file that git merges: where there are several, git's own base is made up of them and may hold conflicts."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path

from caskbook.git import Git, open_git


@dataclass(frozen=True)
class CommonVersions:
    """The commits that two heads have in common, and those that these have in common in turn, where there are several."""

    git: Git
    commits: tuple[str, ...] = ()
    before: tuple[str, ...] = field(default=())

    def texts(self, path: str) -> tuple[list[bytes], bytes]:
        """(the versions of a file, by its path in the repository; what they grew from, empty where there is none)."""
        found, earlier = _blobs(self.git, self.commits, path), _blobs(self.git, self.before, path)
        return found, earlier[0] if len(earlier) == 1 else b""


def _blobs(git: Git, commits: tuple[str, ...], path: str) -> list[bytes]:
    oids = [entry.oid for commit in commits if (entry := git.entry(commit, path)) is not None]
    blobs = git.blobs(oids)
    return [blobs[oid] for oid in dict.fromkeys(oids)]


def common_versions(git: Git, one: str, other: str) -> CommonVersions:
    """Those of two heads; nothing where they have one common commit, or none, which git hands over as it is."""
    commits = tuple(git.text("merge-base", "--all", one, other, good=(0, 1)).split())
    if len(commits) < 2:
        return CommonVersions(git)
    return CommonVersions(git, commits, tuple(git.text("merge-base", "--all", "--octopus", *commits, good=(0, 1)).split()))


def of_merge_under_way(git: Git) -> CommonVersions:
    """Those of the merge that waits to be settled. A rebase and a cherry-pick have one base, the picked commit's parent."""
    path = git.git_path("MERGE_HEAD")
    heads = path.read_text(encoding="ascii", errors="replace").split() if path.is_file() else []
    return common_versions(git, "HEAD", heads[0]) if len(heads) == 1 else CommonVersions(git)


def of_driven_merge(path: str, ours: bytes, theirs: bytes) -> tuple[list[bytes], bytes]:
    """As `texts`, for the merge that git is making, if these are the two sides of a file in it; else nothing."""
    heads = [key.removeprefix("GITHEAD_") for key in os.environ if key.startswith("GITHEAD_")]
    if len(heads) != 1:
        return [], b""
    git = open_git(Path.cwd())
    sides = [_blobs(git, (head,), path) for head in ("HEAD", heads[0])]
    if sides != [[ours], [theirs]]:
        return [], b""  # Git is making up its own base of earlier versions.
    return common_versions(git, "HEAD", heads[0]).texts(path)
