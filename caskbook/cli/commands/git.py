"""`git install` and `git uninstall`: merge driver, attributes, hunk headings and hooks, or the gate of a server; undone as they were done."""

from __future__ import annotations

import os
import shlex
import shutil
import sys
from pathlib import Path

from caskbook.cli.commands.git_marks import is_committed, not_committed, on_disk, say_all
from caskbook.cli.common import say, write
from caskbook.cli.hooks.install import (
    BENCH,
    GONE,
    SERVER,
    add_hooks,
    guarded_code,
    hooks_folder,
    may_write,
    take_hooks,
)
from caskbook.cli.merge_driver import END
from caskbook.cli.which_ledger import which_line
from caskbook.core import outcome
from caskbook.core.finding import CaskbookError
from caskbook.git import Git, bare_above, open_git
from caskbook.git.rows import rows_of
from caskbook.ledger.atomic_write import check_plain, put_file, read_bytes
from caskbook.ledger.files import MAX_FILE, find_ledger

NAME = "caskbook"
_SETTINGS = "git's settings"
_FSCK, _FSCK_BEFORE = "receive.fsckObjects", f"{NAME}.fsckBefore"
_FETCH, _FETCH_BEFORE = "fetch.fsckObjects", f"{NAME}.fetchBefore"
_HOOKS_PATH, _HOOKS_BEFORE = "core.hooksPath", f"{NAME}.hooksBefore"
_HEADING = "^(cask: .*)$"
# `eol=lf` keeps machines that turn newlines from doing so here; `text=auto` leaves alone a file that was committed with CRLF.
_RULES = ("casks/**/*.yaml text=auto eol=lf merge=caskbook diff=caskbook", "house.yaml text=auto eol=lf merge=caskbook")
_FORMER = ("casks/**/*.yaml merge=caskbook diff=caskbook", "house.yaml merge=caskbook")
_REMARK = "# caskbook: files are merged by event, and a hunk is headed by its cask"
_JOINED = _REMARK + " (put behind a line without newline)"
_DRIVER_CODE = guarded_code("from caskbook.cli.merge_driver.driver import main; sys.exit(main(sys.argv[1:]))")


def driver_line(python: str, store: Path) -> str:
    """The merge driver as a line of shell; below `store` results may lie that were made ahead for all files of one merge.

    Only a result that is there, of a run that ended well or with conflicts, is taken; one made ahead only where all three
    versions are the same, and where it cannot be written (a full disk, on which git cannot go on either) git is told that the driver failed. Whatever else happens (no such program, killed, failed), git's own text merge does the work with
    markers, for git by itself would keep one side in silence.
    """
    program = f"{shlex.quote(python)} -P -c {shlex.quote(_DRIVER_CODE)}".replace("%", "%%")
    place = shlex.quote(str(store)).replace("%", "%%")
    return (
        f'd={place}/$PPID; f="$d"/%P.sh; e="$d/{END}"; '
        'if test -f "$f" && command . "$f" && test "$(cat %O "$e" %A "$e" %B "$e")" = "$k"; then '
        'printf %%s "$n" >&2; printf %%s "$m" >%A && exit $c; exit 129; fi; '
        f"rm -f %A.merged; if test -x {shlex.quote(python).replace('%', '%%')}; then "
        f'{program} %O %A %B %L %P "$d"; s=$?; else s=127; fi; '
        "if test -f %A.merged && test $s -le 1; then mv -f %A.merged %A && exit $s; fi; rm -f %A.merged %A.merged.tmp; "
        f"if test $s -eq 127; then echo '{GONE}; merged as plain text, run `caskbook settle`:' %P >&2; "
        "else echo 'caskbook could not merge this file by event; merged as plain text:' %P >&2; fi; "
        "git merge-file -q --marker-size=%L -L ours -L base -L theirs %A %O %B; s=$?; "
        "if test $s -gt 127; then exit 129; fi; if test $s -gt 0; then exit 1; fi; exit 0"
    )


def ahead_folder(git: Git) -> Path:
    """Where files merged ahead lie: in the repository's own folder."""
    return git.common_dir / "caskbook-merge"


def install(records: str | None = None, *, tracked_hooks: bool | None = None) -> int:
    """Set git up for the ledger; doing it again changes nothing. CaskbookError without a repository that has a work tree.

    `tracked_hooks`: put hooks even into a folder that git tracks, or into none; None: ask where that is the question.
    """
    git, root = _place(records)
    check_plain(root, root / ".gitattributes")
    folder = hooks_folder(git)
    hooked = folder is not None and may_write(git, folder, tracked_hooks)
    with outcome.whole():
        _set_up(git, root, folder if hooked else None)
    if folder is None:
        say("core.hooksPath names a folder outside this repository: it is left alone, so commits are not checked")
    elif not hooked:
        say("no hooks are put there: commits and pushes are not checked")
    checked = ", checked before a commit and a push" if hooked else ""
    write(f"git knows the casks of {records or root.name}: merged by event, hunks headed by the cask{checked}")
    first = " and ".join(not_committed(git, root))
    say(f"{f'commit {first}, and ' if first else ''}run `caskbook git install` once on each machine")
    return 0


def _set_up(git: Git, root: Path, hooks: Path | None) -> None:
    """Git's settings, the attributes of the ledger's folder, and the hooks where there is a folder for them. It tells what a user would miss."""
    git.set(f"merge.{NAME}.name", "caskbook: events united by id")
    outcome.note([_SETTINGS])
    git.set(f"merge.{NAME}.driver", driver_line(sys.executable, ahead_folder(git)))
    git.set(f"diff.{NAME}.xfuncname", _HEADING)
    if git.prefix not in ledgers(git):
        git.run("config", "--local", "--add", f"{NAME}.ledger", git.prefix or ".")
    if not any(git.text("config", "--get", key, good=(0, 1)) for key in (_FETCH, "transfer.fsckObjects")):
        git.set(_FETCH, "true")
        git.set(_FETCH_BEFORE, "unset")
        say(f"{_FETCH} is true now: git itself looks at every object that is fetched, and takes none that could not be checked out")
    _settle_attributes(git, root)
    if hooks is not None:
        add_hooks(hooks, BENCH)


def uninstall(records: str | None = None) -> int:
    """Undo what `install` did for this ledger; other ledgers of the repository keep theirs."""
    git, root = _place(records)
    check_plain(root, root / ".gitattributes")
    with outcome.whole():
        _take_down(git, root)
    write(f"git treats {records or root.name} as any other folder again")
    return 0


def _take_down(git: Git, root: Path) -> None:
    """All that `git install` set up for one ledger is undone; what the repository's other ledgers need stays."""
    outcome.note([_SETTINGS])
    _take_attributes(root / ".gitattributes")
    left = [one for one in ledgers(git) if one != git.prefix]
    checked_by_us = git.text("config", "--local", "--get", _FETCH_BEFORE, good=(0, 1))
    git.unset_section(NAME)
    for one in left:
        git.run("config", "--local", "--add", f"{NAME}.ledger", one or ".")
    if checked_by_us and left:
        git.set(_FETCH_BEFORE, checked_by_us)
    elif checked_by_us:
        git.run("config", "--local", "--unset-all", _FETCH, good=(0, 5))
    if not left:
        git.unset_section(f"merge.{NAME}")
        git.unset_section(f"diff.{NAME}")
        folder = hooks_folder(git)
        if folder is not None:
            take_hooks(folder, BENCH)
        shutil.rmtree(ahead_folder(git), ignore_errors=True)


def install_server(repository: str | None, *, strict: bool = False) -> int:
    """Put the gate into a bare repository; doing it again changes nothing. CaskbookError where there is none, or none of its own."""
    from caskbook.cli.hooks.gate import protecting_nothing

    git = _server(repository)
    folder = hooks_folder(git)
    if folder is None:
        raise CaskbookError(_led_elsewhere(git))
    with outcome.whole():
        add_hooks(folder, SERVER)
        if not git.text("config", "--local", "--get", _HOOKS_PATH, good=(0, 1)):
            git.set(_HOOKS_PATH, "hooks")
            git.set(_HOOKS_BEFORE, "unset")
            say(f"{_HOOKS_PATH} is hooks now, here alone: a folder of hooks that is set for all repositories does not switch the gate off")
        if strict:
            git.set(f"{NAME}.strict", "true")
        if (before := git.text("config", "--local", "--get", _FSCK, good=(0, 1))) != "true":
            git.set(_FSCK, "true")
            git.set(_FSCK_BEFORE, before or "unset")
            say(f"{_FSCK} is true now: git itself looks at every object of a push, and takes none that could not be checked out")
    for line in protecting_nothing(git):
        say(line.removeprefix("caskbook: "))
    write(f"{git.folder.name} takes no push that alters landed history or brings new errors{' or warnings' if strict else ''}")
    return 0


def uninstall_server(repository: str | None) -> int:
    """Undo what `install_server` did."""
    git = _server(repository)
    with outcome.whole():
        for folder in {git.folder / "hooks", hooks_folder(git) or git.folder / "hooks"}:
            take_hooks(folder, SERVER)
    if git.text("config", "--local", "--get", _HOOKS_BEFORE, good=(0, 1)):
        git.run("config", "--local", "--unset-all", _HOOKS_BEFORE)
        if git.text("config", "--local", "--get", _HOOKS_PATH, good=(0, 1)) == "hooks":
            git.run("config", "--local", "--unset-all", _HOOKS_PATH)
    git.run("config", "--local", "--unset-all", f"{NAME}.strict", good=(0, 5))
    if before := git.text("config", "--local", "--get", _FSCK_BEFORE, good=(0, 1)):
        git.run("config", "--local", "--unset-all", _FSCK_BEFORE)
        git.run("config", "--local", *(["--unset-all", _FSCK] if before == "unset" else [_FSCK, before]), good=(0, 5))
    write(f"{git.folder.name} takes every push again")
    return 0


def _led_elsewhere(git: Git) -> str:
    """Where git looks for the hooks of a repository that has none of its own, and who says so."""
    where, _, value = git.text("config", "--show-origin", "--get", _HOOKS_PATH, good=(0, 1)).partition("\t")
    return (
        f"{_HOOKS_PATH} is {value}, set in {where.removeprefix('file:')}: git runs the hooks of that folder, which others use too, and none of this "
        f"repository's: nothing is put there, and no gate stands. For hooks of its own: git -C {shlex.quote(str(git.folder))} config {_HOOKS_PATH} hooks"
    )


def _server(repository: str | None) -> Git:
    place = Path(repository or ".").resolve()
    if bare_above(place) != place:
        why = "it has a work tree; everybody pushes to a bare one" if (place / ".git").exists() or place.name == ".git" else "no bare repository"
        raise CaskbookError(f"{repository or place}: {why}: make one with `git init --bare`, and name it behind --server")
    return open_git(place)


def _place(records: str | None) -> tuple[Git, Path]:
    root = find_ledger(Path.cwd(), records, os.environ.get("CASKBOOK_RECORDS"))
    if which := which_line(root, Path.cwd(), records):
        say(f"caskbook: {which}")
    git = open_git(root)
    if git.bare:
        raise CaskbookError(f"{root}: a bare repository has no work tree to set up")
    return git, root


def ledgers(git: Git) -> list[str]:
    """The ledgers of a repository that were set up: their folders, empty or ending in `/`."""
    found = rows_of(git.run("config", "--local", "-z", "--get-all", f"{NAME}.ledger", good=(0, 1)))
    return ["" if line == "." else line for line in found]


def _settle_attributes(git: Git, root: Path) -> None:
    """Our rules in the ledger's folder, unless others above it say the same; then none are left there that git does not have."""
    path = root / ".gitattributes"
    own = git.prefix + path.name
    others = {name: data for name, data in on_disk(git, root).items() if name != own}
    if not say_all(git, others):
        _add_attributes(path)
    elif path.exists() and not is_committed(git, own):
        _take_attributes(path)
        if not say_all(git, on_disk(git, root)):
            _add_attributes(path)
    elif not say_all(git, on_disk(git, root)):
        _add_attributes(path)


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
    """Our own lines go out of a `.gitattributes`, and the file goes with them where nothing else stood in it."""
    if not path.exists():
        return
    text = _text(path)
    lines = text.splitlines(keepends=True)
    own = {_REMARK, _JOINED, *_RULES, *_FORMER}
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
    return read_bytes(path, MAX_FILE, root=path.parent).decode("utf-8", "surrogateescape")


def _put(path: Path, text: str) -> None:
    put_file(path.parent, path, text.encode("utf-8", "surrogateescape"))
