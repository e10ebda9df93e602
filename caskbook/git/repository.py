"""The only caller of git: a clean environment, an explicit folder, NUL-separated answers, blobs read in bulk.

It knows nothing of casks. Whatever git cannot do here is one CaskbookError of one line.
"""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.git.names import of_system
from caskbook.git.own_filters import without_filters
from caskbook.git.planted import PlantedRepositoryError, bare_repository, named_repository
from caskbook.git.rows import (
    Change,
    Commit,
    Entry,
    Joined,
    KeptBlobs,
    batched,
    decoded,
    index_entry,
    joined_files,
    of_an_object,
    raw_changes,
    rows_of,
    tree_entry,
    whole_comparison,
)
from caskbook.git.said import said
from caskbook.git.surroundings import bare_above, clean_environment, elsewhere, no_repository, pipe_above
from caskbook.git.unborn import refuse_broken_head

_UTF8 = ("-c", "i18n.logOutputEncoding=UTF-8")  # It stands before the one that commits are written in, too.
# Git from 2.38 on does not take a bare repository that it only finds on its way (`bare_repository` is the same for older ones).
_PLAIN = ("-c", "safe.bareRepository=explicit", "-c", "core.quotePath=false", "-c", "core.fsmonitor=false", "-c", "diff.renames=true", *_UTF8)
# Every change of a file's times, inode or size counts, whatever the repository's settings say.
TRUSTING = ("-c", "core.trustctime=true", "-c", "core.checkStat=default", "-c", "core.ignoreStat=false", "-c", "core.untrackedCache=false")
_MOST_KEPT = 1 << 16
_KNOWN: dict[tuple[str, bool, tuple[str, ...]] | None, bytes] = {}
"""What git said of objects by their full names: bytes of one answer, and answers, up to `_MOST_KEPT`."""
_BLOBS = KeptBlobs()


def _start_failed(error: OSError, folder: Path) -> CaskbookError:
    if isinstance(error, FileNotFoundError) and folder.is_dir():
        return CaskbookError("git is not installed, or not on the PATH: history needs it")
    return CaskbookError(f"git cannot be started in {folder}: {(error.strerror or str(error)).lower()}")


@dataclass(frozen=True)
class Git:
    """Git in one folder. Paths given and returned are relative to the top of the repository, with `/`.

    `under`: a folder of the repository, empty or ending in `/`, that stands for this one, as it need not be on disk;
    `named`: `folder` is the repository itself, a bare one.
    """

    folder: Path
    under: str | None = None
    named: bool = False

    def run(self, *args: str, data: bytes | None = None, good: Sequence[int] = (0,)) -> bytes:
        """The output of one command; CaskbookError with git's own reason where its exit code is not in `good`.

        What is asked of an object by its full name is asked once: an object never changes.
        """
        asked = (str(self.folder), self.named, args) if data is None and of_an_object(args) else None
        if asked in _KNOWN:
            return _KNOWN[asked]
        done = self._process(args, data)
        if done.returncode not in good:
            raise CaskbookError(f"git {args[0]}: {said(done.stderr)}")
        if asked and not done.returncode and len(done.stdout) <= _MOST_KEPT and len(_KNOWN) < _MOST_KEPT:
            _KNOWN[asked] = done.stdout
        return done.stdout

    def works(self, *args: str) -> bool:
        """Whether a command succeeds."""
        return self._process(args, None).returncode == 0

    def text(self, *args: str, good: Sequence[int] = (0,)) -> str:
        """The output as one text without its last newline; with another exit code than 0, an empty one."""
        return decoded(self.run(*args, good=good)).removesuffix("\n")

    def _process(self, args: Sequence[str], data: bytes | None, who: Mapping[str, str] | None = None) -> subprocess.CompletedProcess[bytes]:
        """One run of git with a clean environment in an explicit folder; `data` is its input, `who` says who commits. CaskbookError where it cannot be started."""
        if not self.named and (planted := bare_repository(self.folder)) is not None:
            raise PlantedRepositoryError(f"{planted}: a bare repository, which is not taken for the book's history; take it away")
        if (pipe := pipe_above(self.folder)) is not None:
            raise CaskbookError(f"{pipe}: not an ordinary file, and git would wait on it for ever; take it away")
        where = ["--git-dir", str(self.folder.absolute())] if self.named else named_repository(self.folder)
        command = ["git", "-C", str(self.folder), *where, "--no-pager", *_PLAIN, *map(of_system, whole_comparison(args))]
        given: dict[str, object] = {"input": data} if data is not None else {"stdin": subprocess.DEVNULL}
        env = {**clean_environment(fetching=who is not None), **without_filters(args, self.folder), **(who or {})}  # A hook of a commit may push.
        try:
            return subprocess.run(command, capture_output=True, env=env, check=False, **given)  # type: ignore[call-overload,no-any-return]
        except OSError as error:
            raise _start_failed(error, self.folder) from None

    @cached_property
    def top(self) -> Path:
        """The top folder of the work tree; of a bare repository, its own folder."""
        if self.bare:
            return Path(of_system(self.text("rev-parse", "--absolute-git-dir")))
        return Path(of_system(self.text("rev-parse", "--show-toplevel")))

    @cached_property
    def prefix(self) -> str:
        """This folder, relative to the top of the repository: empty, or ending in `/`."""
        if self.under is not None:
            return self.under
        return "" if self.bare else self.text("rev-parse", "--show-prefix")

    @cached_property
    def bare(self) -> bool:
        """Whether there is no work tree."""
        return self.named or self.text("rev-parse", "--is-inside-work-tree") != "true"

    @cached_property
    def shallow(self) -> bool:
        """Whether older history was left out when this repository was cloned."""
        return self.text("rev-parse", "--is-shallow-repository") == "true"

    @cached_property
    def common_dir(self) -> Path:
        """The repository's own folder, shared by all its worktrees."""
        return Path(of_system(self.text("rev-parse", "--path-format=absolute", "--git-common-dir")))

    def git_path(self, name: str) -> Path:
        """Where git keeps one of its own files for this worktree, `hooks` after core.hooksPath."""
        return self.folder / of_system(self.text("rev-parse", "--git-path", name))

    def branch(self) -> str | None:
        """The branch that is checked out; None on a detached head."""
        ref = self.text("symbolic-ref", "--quiet", "HEAD", good=(0, 1))
        return ref.removeprefix("refs/heads/") or None  # Git's own short name is longer where a tag has it too.

    @cached_property
    def empty_tree(self) -> str:
        """The name of a tree with nothing in it, which depends on how this repository names its objects."""
        return decoded(self.run("hash-object", "-t", "tree", "--stdin", data=b"")).strip()

    def head(self) -> str | None:
        """The full name of the commit checked out; None where nothing is committed yet. CaskbookError where there is one that git cannot read."""
        found = self.text("rev-parse", "--verify", "--quiet", "HEAD^{commit}", good=(0, 1, 128))
        if not found:
            refuse_broken_head(self.text)
        return found or None

    def resolve(self, rev: str) -> str:
        """The full name of the commit that a revision means. CaskbookError for what is none, or lies beyond a shallow clone."""
        shown = "".join(sign if sign.isprintable() else "?" for sign in rev)[:60]
        if not rev or rev.startswith(("-", "^")) or "\0" in rev:
            raise CaskbookError(f"{shown!r} is no revision: name a branch, a tag or a commit")
        from caskbook.git.ambiguous import refuse_ambiguous  # only what names a revision loads it

        refuse_ambiguous(self.text, rev, shown)
        sought = self.text("rev-parse", "--verify", "--quiet", "--end-of-options", rev, good=(0, 1, 128)) if rev.startswith(":/") else rev
        found = self.text("rev-parse", "--verify", "--quiet", "--end-of-options", f"{sought}^{{commit}}", good=(0, 1, 128)) if sought else ""
        if found and "\n" not in found:  # several are a range
            return found
        if self.head() is None:
            raise CaskbookError(f"{shown}: no such revision; nothing has been committed here yet")
        if self.shallow:
            raise CaskbookError(f"{shown}: not in this shallow clone; fetch the rest with `git fetch --unshallow`")
        raise CaskbookError(f"{shown}: no such revision here; name a branch, a tag or a commit")

    def parents(self, commit: str) -> list[str]:
        """The parents of a commit that are here. CaskbookError where a shallow clone has cut them off."""
        named = re.findall(rb"^parent ([0-9a-f]+)$", self.run("cat-file", "commit", commit).split(b"\n\n")[0], re.MULTILINE)
        known = self.text("rev-list", "--parents", "-n", "1", commit).split()[1:]
        if named and not known:
            raise CaskbookError(f"{commit[:12]}: its parent is not in this shallow clone; fetch the rest with `git fetch --unshallow`")
        return known

    def merge_base(self, one: str, other: str) -> str | None:
        """The commit two lines of history have in common, None where they have none."""
        return self.text("merge-base", one, other, good=(0, 1)) or None

    def log(self, old: str | None, new: str, under: str = "") -> list[Commit]:
        """Commits of `new` that `old` has not, oldest first, that touch files below a folder."""
        span = [new] if old is None else [f"{old}..{new}"]
        out = self.run("log", "-z", "--reverse", "--no-show-signature", "--format=%H%x1f%as%x1f%s", *span, "--", *self._below(under))
        return [Commit(*row.split("\x1f", 2)) for row in rows_of(out)]

    def joined(self, old: str | None, new: str, *under: str) -> list[Joined]:
        """Files below these paths that a merge among the commits of `new` that `old` has not brought together, oldest merge first."""
        merges = self.text("rev-list", "--merges", "--reverse", new, *([f"^{old}"] if old else []))
        if not merges:
            return []
        how = ("--stdin", "-r", "-c", "-z", "--raw", "--no-abbrev", "--no-renames")
        out = self.run("diff-tree", *how, "--", *self._below(*under), data=f"{merges}\n".encode())
        return list(joined_files(rows_of(out)))

    def _below(self, *under: str) -> list[str]:
        """Pathspecs from the top of the repository, wherever the command runs."""
        return [f":(top,literal){path}" if path else ":(top)" for path in under]

    def tree(self, rev: str, *under: str) -> list[Entry]:
        """Files of a revision, only those below or at these paths; nothing else of the tree is opened."""
        paths = self._below(*(path.rstrip("/") for path in under)) if all(under) else []  # Taken as they are written: `:x` is a name.
        out = self.run("ls-tree", "-r", "-z", "--full-tree", rev, "--", *paths)
        return [tree_entry(row) for row in rows_of(out)]

    def folder_of(self, rev: str, folder: str) -> dict[str, str]:
        """What lies in a folder of a revision (empty, or ending in `/`), nothing below it: name → git's mode."""
        rows = (row.partition("\t") for row in rows_of(self.run("ls-tree", "-z", "--full-tree", f"{rev}:{folder}" if folder else rev)))
        return {name: about.partition(" ")[0] for about, _, name in rows}

    def entry(self, rev: str, path: str) -> Entry | None:
        """One file of a revision."""
        found = self.tree(rev, path)
        return found[0] if found and found[0].path == path else None

    def index(self, *under: str, unmerged: bool = False) -> list[Entry]:
        """Files of the index with their stages, only those below these paths."""
        out = self.run("ls-files", "-z", "--full-name", "--unmerged" if unmerged else "--stage", "--", *self._below(*under))
        return [index_entry(row) for row in rows_of(out)]

    def index_marked(self, *under: str) -> list[tuple[str, Entry]]:
        """Files of the index below these paths, each behind the letter that `git ls-files -v` has for it."""
        out = rows_of(self.run("ls-files", "-z", "--full-name", "--stage", "-v", "--", *self._below(*under)))
        return [(row[0], index_entry(row[2:])) for row in out]

    def untracked(self, *under: str, ignored: bool = False) -> list[str]:
        """Files of the work tree that git does not know, and does not ignore; with `ignored` also those that it does."""
        only = () if ignored else ("--exclude-standard",)
        return rows_of(self.run(*TRUSTING, "ls-files", "-z", "--full-name", "--others", *only, "--", *self._below(*under)))

    def touched(self, *under: str) -> list[str]:
        """Files whose work tree copy differs from the index, deleted ones included."""
        return rows_of(self.run(*TRUSTING, "diff-files", "-z", "--name-only", "--", *self._below(*under)))

    def changes(self, old: str, new: str | None, *under: str, renames: bool = True) -> list[Change]:
        """Files that differ between two revisions (`new` None: between `old` and the index), below these paths."""
        which = [old, new] if new is not None else ["--cached", old]
        command = "diff-tree" if new is not None else "diff-index"
        flags = ["-r", "-z", "--raw", "--no-abbrev", "-M50%" if renames else "--no-renames"]
        out = self.run(command, *flags, *(["-l2000"] if renames else []), *which, "--", *self._below(*under))
        return list(raw_changes(rows_of(out)))

    def blobs(self, oids: Iterable[str]) -> dict[str, bytes]:
        """The content of many blobs in one go, by name, few of them fetched once in a run. CaskbookError where one is missing."""
        return _BLOBS.of(str(self.folder), list(dict.fromkeys(oids)), self._fetched)

    def _fetched(self, wanted: list[str]) -> dict[str, bytes]:
        return dict(batched(wanted, self.run("cat-file", "--batch", data="".join(f"{oid}\n" for oid in wanted).encode())))

    def holding(self, rev: str, words: Iterable[str], *under: str) -> list[str]:
        """Files of a revision below these paths that hold one of these words, as bytes."""
        sought = "".join(f"{word}\n" for word in sorted(words)).encode()
        how = ("-l", "-a", "-z", "-F", "--full-name", "--no-color", "--no-recurse-submodules", "-f", "-")
        out = self.run("grep", *how, rev, "--", *self._below(*under), data=sought, good=(0, 1))
        return [row.removeprefix(f"{rev}:") for row in rows_of(out)]

    def set(self, key: str, value: str) -> None:
        """Writes a value into the repository's own configuration."""
        self.run("config", "--local", key, value)

    def unset_section(self, section: str) -> None:
        """Takes a whole section out of the repository's own configuration, if it is there."""
        if self.works("config", "--local", "--get-regexp", f"^{re.escape(section)}\\."):
            self.run("config", "--local", "--remove-section", section)


def open_git(folder: Path) -> Git:
    """Git in a folder. CaskbookError, in one line, where git is not installed or the folder is in no repository.

    A folder that is not on disk may have been in a revision; in a bare repository all are of that kind.
    """
    git = _git_for(folder)
    done = git._process(["rev-parse", "--is-shallow-repository", "--is-bare-repository", "--is-inside-work-tree", "--show-prefix"], None)
    if done.returncode:
        raise CaskbookError(no_repository(folder, said(done.stderr)))
    shallow, _, told = decoded(done.stdout).partition("\n")
    if not git.named and (why := elsewhere(git.folder, told)):
        raise CaskbookError(why)
    inside, _, prefix = told.partition("\n")[2].partition("\n")
    vars(git).update(shallow=shallow == "true", bare=git.named or inside != "true", prefix=prefix.removesuffix("\n") if git.under is None else git.under)
    return git


def _git_for(folder: Path) -> Git:
    bare = bare_above(folder)
    if bare is not None:
        return Git(bare, _below_top(folder, bare), named=True)
    there = next((place for place in (folder, *folder.absolute().parents) if place.is_dir()), folder)
    return Git(there) if there == folder else Git(there, _below_top(folder, Git(there).top))


def _below_top(folder: Path, top: Path) -> str:
    inside = os.path.relpath(folder.absolute(), top).replace(os.sep, "/")
    return "" if inside == "." else inside + "/"
