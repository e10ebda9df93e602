"""`git install` and `git uninstall`: merge driver, attributes, hunk headings and a check before each commit; undone as they were done."""

from __future__ import annotations

import os
import shlex
import shutil
import stat
import sys
from pathlib import Path

from caskbook import outcome
from caskbook.cli.common import say, write
from caskbook.finding import CaskbookError
from caskbook.git import Git, open_git
from caskbook.ledger import find_ledger

NAME = "caskbook"
_SETTINGS = "git's settings"
_HEADING = "^(cask: .*)$"
_RULES = ("casks/**/*.yaml merge=caskbook diff=caskbook", "house.yaml merge=caskbook")
_REMARK = "# caskbook: files are merged by event, and a hunk is headed by its cask"
_JOINED = _REMARK + " (put behind a line without newline)"
_HOOK_MARK = "# caskbook: the casks of a commit are checked before it is made"
_KEPT_HOOK = "pre-commit.before-caskbook"
_HOOK_CODE = "import sys; from caskbook.cli.pre_commit import main; sys.exit(main())"
_DRIVER_CODE = "import sys; from caskbook.cli.driver import main; sys.exit(main(sys.argv[1:]))"


def driver_line(python: str, store: Path) -> str:
    """The merge driver as a line of shell; below `store` results may lie that were made ahead for all files of one merge.

    Only a result that is there, of a run that ended well or with conflicts, is taken; one made ahead only where all three
    versions are the same. Whatever else happens (no such program, killed, failed), git's own text merge does the work with
    markers, for git by itself would keep one side in silence.
    """
    program = f"{shlex.quote(python)} -P -c {shlex.quote(_DRIVER_CODE)}".replace("%", "%%")
    place = shlex.quote(str(store)).replace("%", "%%")
    return (
        f'd={place}/$PPID; f="$d"/%P; '
        'if test -f "$f.B" && cmp -s "$f.B" %B && cmp -s "$f.A" %A && cmp -s "$f.O" %O && test -f "$f.M"; then '
        'if test -f "$f.N"; then cat "$f.N" >&2; fi; if test -f "$f.C"; then s=1; else s=0; fi; mv -f "$f.M" %A && exit $s; fi; '
        f'rm -f %A.merged; {program} %O %A %B %L %P "$d"; s=$?; '
        "if test -f %A.merged && test $s -le 1; then mv -f %A.merged %A && exit $s; fi; rm -f %A.merged %A.merged.tmp; "
        "echo 'caskbook could not merge this file by event; merged as plain text:' %P >&2; "
        "git merge-file -q --marker-size=%L -L ours -L base -L theirs %A %O %B; s=$?; "
        "if test $s -gt 127; then exit 129; fi; if test $s -gt 0; then exit 1; fi; exit 0"
    )


def ahead_folder(git: Git) -> Path:
    """Where files merged ahead lie: in the repository's own folder."""
    return git.common_dir / "caskbook-merge"


def install(records: str | None = None) -> int:
    """Set git up for the ledger; doing it again changes nothing. CaskbookError without a repository that has a work tree."""
    git, root = _place(records)
    with outcome.whole():
        _set_up(git, root)
    write(f"git knows the casks of {records or root.name}: merged by event, hunks headed by the cask, checked before a commit")
    say("commit .gitattributes, and run `caskbook git install` once on each machine")
    return 0


def _set_up(git: Git, root: Path) -> None:
    git.set(f"merge.{NAME}.name", "caskbook: events united by id")
    outcome.note([_SETTINGS])
    git.set(f"merge.{NAME}.driver", driver_line(sys.executable, ahead_folder(git)))
    git.set(f"diff.{NAME}.xfuncname", _HEADING)
    if git.prefix not in ledgers(git):
        git.run("config", "--local", "--add", f"{NAME}.ledger", git.prefix or ".")
    _add_attributes(root / ".gitattributes")
    _add_hook(git)


def uninstall(records: str | None = None) -> int:
    """Undo what `install` did for this ledger; other ledgers of the repository keep theirs."""
    git, root = _place(records)
    with outcome.whole():
        _take_down(git, root)
    write(f"git treats {records or root.name} as any other folder again")
    return 0


def _take_down(git: Git, root: Path) -> None:
    outcome.note([_SETTINGS])
    _take_attributes(root / ".gitattributes")
    left = [one for one in ledgers(git) if one != git.prefix]
    git.unset_section(NAME)
    for one in left:
        git.run("config", "--local", "--add", f"{NAME}.ledger", one or ".")
    if not left:
        git.unset_section(f"merge.{NAME}")
        git.unset_section(f"diff.{NAME}")
        _take_hook(git)
        shutil.rmtree(ahead_folder(git), ignore_errors=True)


def _place(records: str | None) -> tuple[Git, Path]:
    root = find_ledger(Path.cwd(), records, os.environ.get("CASKBOOK_RECORDS"))
    git = open_git(root)
    if git.bare:
        raise CaskbookError(f"{root}: a bare repository has no work tree to set up")
    return git, root


def ledgers(git: Git) -> list[str]:
    """The ledgers of a repository that were set up: their folders, empty or ending in `/`."""
    found = git.text("config", "--local", "--get-all", f"{NAME}.ledger", good=(0, 1)).splitlines()
    return ["" if line == "." else line for line in found]


# Attributes


def _add_attributes(path: Path) -> None:
    text = _text(path) if path.exists() else ""
    if all(rule in text.splitlines() for rule in _RULES):
        return
    _take_attributes(path)
    text = _text(path) if path.exists() else ""
    joined = bool(text) and not text.endswith("\n")
    block = "".join(f"{line}\n" for line in (_JOINED if joined else _REMARK, *_RULES))
    _put(path, text + ("\n" if joined else "") + block)


def _take_attributes(path: Path) -> None:
    if not path.exists():
        return
    text = _text(path)
    lines = text.splitlines(keepends=True)
    own = {_REMARK, _JOINED, *_RULES}
    kept = "".join(line for line in lines if line.rstrip("\r\n") not in own)
    if any(line.rstrip("\r\n") == _JOINED for line in lines):
        kept = kept.removesuffix("\n")
    if kept == text:
        return
    if kept:
        _put(path, kept)
    else:
        path.unlink()


def _text(path: Path) -> str:
    return path.read_bytes().decode("utf-8", "surrogateescape")


def _put(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", errors="surrogateescape", newline="")
    outcome.note([path.name])


# The check before a commit


def _hooks(git: Git) -> Path | None:
    """The folder of this repository's hooks; None where it is one that other repositories use as well."""
    folder = git.git_path("hooks").resolve()
    own = (git.common_dir.resolve(), git.top.resolve())
    return folder if any(place == folder or place in folder.parents for place in own) else None


def hook_text(python: str) -> str:
    """The hook: what was there before runs first; without its program it lets the commit pass, and says so."""
    return (
        f"#!/bin/sh\n{_HOOK_MARK}\n"
        f'before="$(dirname "$0")/{_KEPT_HOOK}"\n'
        'if test -x "$before"; then "$before" "$@" || exit $?; fi\n'
        f"python={shlex.quote(python)}\n"
        'if test -x "$python"; then\n'
        f'  exec "$python" -P -c {shlex.quote(_HOOK_CODE)}\n'
        "fi\n"
        'echo "caskbook is not where it was installed; the casks of this commit are not checked" >&2\n'
    )


def _add_hook(git: Git) -> None:
    folder = _hooks(git)
    if folder is None:
        say("core.hooksPath names a folder outside this repository: it is left alone, so commits are not checked")
        return
    folder.mkdir(parents=True, exist_ok=True)
    hook, kept = folder / "pre-commit", folder / _KEPT_HOOK
    if hook.exists() and not _is_ours(hook):
        if kept.exists():
            raise CaskbookError(f"{hook} is a hook that caskbook does not know, and {kept.name} stands beside it: put one of them away")
        hook.rename(kept)
    text = hook_text(sys.executable)
    if not hook.exists() or hook.read_text(encoding="utf-8") != text:
        _put(hook, text)
    hook.chmod(hook.stat().st_mode | stat.S_IXUSR | stat.S_IXGRP | stat.S_IXOTH)


def _take_hook(git: Git) -> None:
    folder = _hooks(git)
    if folder is None:
        return
    hook, kept = folder / "pre-commit", folder / _KEPT_HOOK
    if hook.exists() and _is_ours(hook):
        hook.unlink()
        if kept.exists():
            kept.rename(hook)


def _is_ours(hook: Path) -> bool:
    return _HOOK_MARK in hook.read_text(encoding="utf-8", errors="replace").splitlines()[:3]
