"""A commit of named files and of nothing else: what is staged besides stays staged. Git itself makes it (`commit --only`), with its hooks,
its author and its signature as they are set."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from caskbook.core.finding import CaskbookError
from caskbook.git.names import of_system
from caskbook.git.repository import Git
from caskbook.git.rows import Entry

_UNDER_WAY = {
    "rebase-merge": ("a rebase", "git rebase --continue, or --abort"),
    "rebase-apply": ("a rebase", "git rebase --continue, or --abort"),
    "MERGE_HEAD": ("a merge", "git commit, or git merge --abort"),
    "CHERRY_PICK_HEAD": ("a cherry-pick", "git cherry-pick --continue, or --abort"),
    "REVERT_HEAD": ("a revert", "git revert --continue, or --abort"),
}
"""What lies in git's folder while git waits for somebody → what that is, and how it is ended."""
_WHO = ("GIT_AUTHOR_", "GIT_COMMITTER_", "GIT_CONFIG")
_FEW = 200
"""Up to so many files git is asked of each by its name; of more, of all that lie in their folder."""


@dataclass(frozen=True, slots=True)
class Made:
    """A commit that was made: its name, and what hooks said beside."""

    commit: str
    said: tuple[str, ...]


class RefusedCommit(CaskbookError):  # noqa: N818 - named for what it is
    """Git made no commit. `said`: what git and its hooks printed."""

    def __init__(self, said: Sequence[str]) -> None:
        super().__init__(said[-1] if said else "git gave no reason")
        self.said = tuple(said)


def hindrance(git: Git) -> str:
    """Why no commit may be made here now, in one sentence that says the way out; empty where nothing is against it."""
    if git.bare:
        return "the book lies in a bare repository, which has no files"
    folder = Path(of_system(git.text("rev-parse", "--absolute-git-dir")))
    for name, (what, way) in _UNDER_WAY.items():
        if (folder / name).exists():
            return f"{what} is under way; end it first ({way}), then commit"
    if git.index(unmerged=True):
        return "files are unmerged; settle them first (caskbook settle, git status), then commit"
    if git.branch() is None:
        return "no branch is checked out (a detached HEAD), and a commit there is easily lost; git switch BRANCH, then commit"
    done = git._process(["-c", "user.useConfigOnly=true", "var", "GIT_AUTHOR_IDENT"], None, _who())
    if done.returncode:
        return 'git does not know who commits; say it once: git config --global user.name "Ann Bell", and user.email ann@example.org, then commit'
    return ""


def _who() -> dict[str, str]:
    """Who commits, where the environment says so, else git's settings do; and the language of the hooks."""
    return {"LC_ALL": os.environ.get("LC_ALL", ""), **{key: value for key, value in os.environ.items() if key.startswith(_WHO)}}


def entries_at(git: Git, rev: str | None, paths: Collection[str]) -> dict[str, Entry]:
    """What a revision, or the index where `rev` is None, holds of these files: path → entry, of what it has."""
    under = tuple(paths) if len(paths) <= _FEW else tuple({f"{PurePosixPath(path).parent}/" for path in paths})
    found = git.index(*under) if rev is None else git.tree(rev, *under)
    wanted = set(paths)
    return {one.path: one for one in found if one.path in wanted}


def changed_paths(git: Git, commit: str) -> set[str]:
    """Files that a commit holds otherwise than its first parent."""
    out = git.run("diff-tree", "-r", "-z", "--root", "--name-only", "--no-commit-id", "--no-renames", commit)
    return {row for row in out.decode("utf-8", "surrogateescape").split("\0") if row}


def commit_files(git: Git, paths: Collection[str], fresh: Collection[str], message: str) -> Made:
    """Commit these files as they stand in the work tree. `fresh`: those that git does not know yet. RefusedCommit where git or a hook
    refuses; then its index is as it was."""
    before = git.head()
    changed = _changed(git) if len(paths) > _FEW else set()
    try:
        if fresh:
            _spoken(git, ["add", "--intent-to-add"], _named(fresh, changed))
        subject, _, body = message.partition("\n")
        text = [f"--message={subject}", *([f"--message={body.strip()}"] if body.strip() else [])]
        said = _spoken(git, ["commit", "--quiet", "--only", "--cleanup=whitespace", *text], _named(paths, changed))
    except RefusedCommit as refused:
        if (now := git.head()) != before and now is not None:
            return Made(now, refused.said)  # It is made; what came after it failed.
        if fresh:
            git._process(["update-index", "-z", "--force-remove", "--stdin"], "\0".join(path.removeprefix(git.prefix) for path in fresh).encode())
        raise
    return Made(git.head() or "", tuple(said))


def _changed(git: Git) -> set[str]:
    """All files of the book that differ from the last commit in any way."""
    head = git.head()
    under = git.prefix
    staged = {one.path for one in git.changes(head or git.empty_tree, None, under, renames=False)}
    return {*git.touched(under), *git.untracked(under), *staged}


def _named(paths: Collection[str], changed: Collection[str]) -> bytes:
    """These files as git is told of them. Of many, a folder in which nothing else differs is named alone: git compares each file that it
    knows with each name."""
    ours, folders = set(paths), set[str]()
    others = {str(PurePosixPath(path).parent) for path in changed if path not in ours}
    if changed:
        folders = {str(PurePosixPath(path).parent) for path in ours} - others
    names = [*(f"{folder}/" for folder in sorted(folders)), *(path for path in sorted(ours) if str(PurePosixPath(path).parent) not in folders)]
    return "\0".join(f":(top,literal){name}" for name in names).encode("utf-8", "surrogateescape")


def _spoken(git: Git, args: Iterable[str], named: bytes) -> list[str]:
    """The lines that a command printed. RefusedCommit, with them, where it failed."""
    done = git._process(
        ["-c", "advice.graftFileDeprecated=false", "-c", "i18n.commitEncoding=UTF-8", *args, "--pathspec-from-file=-", "--pathspec-file-nul"], named, _who()
    )
    text = (done.stdout + done.stderr).decode("utf-8", "replace")
    lines = ["".join(sign if sign.isprintable() else " " for sign in line).rstrip() for line in text.splitlines() if line.strip()]
    if done.returncode:
        raise RefusedCommit(lines)
    return lines
