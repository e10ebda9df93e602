"""The hooks that caskbook puts into a repository: written, found again and taken away; hooks that stand there run first."""

from __future__ import annotations

import os
import shlex
import stat
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from caskbook.cli.common import say
from caskbook.core import outcome
from caskbook.core.finding import CaskbookError
from caskbook.git import Git
from caskbook.ledger.atomic_write import write_synced

GONE = "caskbook is not where git expects it: run `caskbook git install` again"
_KEPT = ".before-caskbook"
_LOOK = 'import sys; from importlib.util import find_spec; getattr(find_spec("caskbook"), "origin", None) or sys.exit(127); '


@dataclass(frozen=True)
class Hook:
    """One of git's hooks: its name, the line it is known by, whether git gives it lines to read, and what follows where the
    program is gone."""

    name: str
    mark: str
    fed: bool
    gone: str
    refuses: bool = False


BENCH = (
    Hook("pre-commit", "# caskbook: the casks of a commit are checked before it is made", False, "the casks of this commit are not checked"),
    Hook("pre-merge-commit", "# caskbook: the casks of a merge are checked before it is made", False, "the casks of this merge are not checked"),
    Hook("pre-push", "# caskbook: the casks of a push are checked before it goes", True, "the casks of this push are not checked"),
)
SERVER = (Hook("pre-receive", "# caskbook: the casks of a push are checked before it is taken", True, "so nothing of this push is taken", True),)


def guarded_code(call: str) -> str:
    """A line of Python that ends with 127 where caskbook is not there."""
    return _LOOK + call


def hook_text(python: str, hook: Hook) -> str:
    """The hook as a script: what was there before runs first; without its program it says one sentence."""
    code = shlex.quote(guarded_code(f"from caskbook.cli.hooks.start import main; sys.exit(main({hook.name!r}, sys.argv[1:]))"))
    feed = "printf '%s' \"${given:+$given\n}\" | " if hook.fed else ""
    gone = f"{GONE.replace('git install', 'git install --server') if hook.refuses else GONE}; {hook.gone}"
    return (
        f"#!/bin/sh\n{hook.mark}\n" + ("given=$(cat)\n" if hook.fed else "") + f'before="$(dirname "$0")/{hook.name}{_KEPT}"\n'
        f'if test -x "$before"; then {feed}"$before" "$@" || exit $?; fi\n'
        f"python={shlex.quote(python)}\n"
        'if test -x "$python"; then\n'
        f'  {feed}"$python" -P -c {code} "$@"\n'
        "  s=$?\n  if test $s -ne 127; then exit $s; fi\nfi\n"
        f"echo {shlex.quote(gone)} >&2\n"
        f"exit {int(hook.refuses)}\n"
    )


def hooks_folder(git: Git) -> Path | None:
    """The folder of this repository's hooks; None where it is one that other repositories use as well."""
    folder = git.git_path("hooks").resolve()
    own = (git.common_dir.resolve(), git.top.resolve())
    return folder if any(place == folder or place in folder.parents for place in own) else None


def is_tracked(git: Git, folder: Path) -> bool:
    """Whether git tracks files of a folder, so that what is written there goes to everybody."""
    top = git.top.resolve()
    if git.bare or top not in folder.parents:
        return False
    return bool(git.index(folder.relative_to(top).as_posix() + "/"))


def add_hooks(folder: Path, hooks: Iterable[Hook], python: str = sys.executable) -> None:
    """Put hooks into a folder; doing it again changes nothing. CaskbookError, with nothing written, where one would be lost."""
    found = list(hooks)
    for hook in found:
        path, kept = folder / hook.name, folder / (hook.name + _KEPT)
        if os.path.lexists(path) and not _is_ours(path, hook) and os.path.lexists(kept):
            raise CaskbookError(f"{path} is a hook that caskbook does not know, and {kept.name} stands beside it: put one of them away")
    folder.mkdir(parents=True, exist_ok=True)
    for hook in found:
        _add(folder / hook.name, hook, python)


def _add(path: Path, hook: Hook, python: str) -> None:
    if os.path.lexists(path) and not _is_ours(path, hook):
        path.rename(path.with_name(hook.name + _KEPT))
    text = hook_text(python, hook)
    if not path.exists() or path.read_text(encoding="utf-8") != text:
        path.unlink(missing_ok=True)
        write_synced(path, text.encode("utf-8"))  # made anew: it never follows a link
        outcome.note([hook.name])
    path.chmod(path.stat().st_mode | stat.S_IXUSR | stat.S_IXGRP | stat.S_IXOTH)


def take_hooks(folder: Path, hooks: Iterable[Hook]) -> None:
    """Take them away again; what stood there before stands there again."""
    for hook in hooks:
        path, kept = folder / hook.name, folder / (hook.name + _KEPT)
        if path.exists() and _is_ours(path, hook):
            path.unlink()
            if kept.exists():
                kept.rename(path)


def _is_ours(path: Path, hook: Hook) -> bool:
    """A link is none of ours: what it leads to is somebody else's."""
    if path.is_symlink():
        return False
    return hook.mark in path.read_text(encoding="utf-8", errors="replace").splitlines()[:3]


def may_write(git: Git, folder: Path, wanted: bool | None) -> bool:
    """Whether hooks go into a folder: asked on a terminal where git tracks it, unless `wanted` says. CaskbookError elsewhere."""
    if wanted is not None or not is_tracked(git, folder):
        return wanted is not False
    shown = folder.relative_to(git.top.resolve()).as_posix()
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        raise CaskbookError(
            f"core.hooksPath names {shown}, which git tracks, so hooks put there go to everybody: say --tracked-hooks, or --no-tracked-hooks to leave them out"
        )
    say(f"core.hooksPath names {shown}, which git tracks: hooks put there go to everybody who has this repository")
    print("Put them there? [y/N] ", end="", file=sys.stderr, flush=True)
    return sys.stdin.readline().strip().lower() in ("y", "yes")
