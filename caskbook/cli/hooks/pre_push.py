"""The check before a push: what would go there, by the server's own rule, against what the other side is known to have."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from caskbook.cli.common import say
from caskbook.cli.hooks.gate import USUAL, Protection, Update, named_protected, outcome_of, update_of
from caskbook.git import Git, open_git


def main(arguments: Sequence[str]) -> int:
    """Judge the lines `LOCAL-NAME NEW NAME OLD` that git gives; the first argument names the remote. 1: the push is stopped."""
    lines = [line.split(" ") for line in sys.stdin.read().splitlines() if line.strip()]
    updates = [update_of(old, new, ref) for _, new, ref, old in lines]
    git = open_git(Path.cwd())
    remote = arguments[0] if arguments else ""
    refused = altered = False
    for update in updates:
        if update.new is None or (update.old is not None and not git.works("cat-file", "-e", update.old)):
            continue  # There is nothing to read here: git itself, or the server, decides.
        found = outcome_of(git, update, _known(git, remote, update))
        refused |= found.refused
        for line in found.lines:
            altered |= " landed-" in line
            say(line)
    if altered and refused:
        say(
            "caskbook: what a commit did that only this clone has goes with it: take it out (`git rebase -i @{upstream}`, and drop it); undoing it once more is no way"
        )
    if refused:
        say("caskbook: nothing is pushed; put it right, or pass by with `git push --no-verify`, and the server decides")
    return int(refused)


def _known(git: Git, remote: str, update: Update) -> Protection:
    """What the other side protects, as far as is known here: the branch that its HEAD names, and those named in this repository.

    A remote that was never fetched, or is given as a path, has no names here: what any other remote has is then held to have landed,
    and a branch that is mostly the main one to be protected.
    """
    place = f"refs/remotes/{remote}/" if remote in git.text("remote").splitlines() else "refs/remotes/"
    rows = (line.split(" ", 1) for line in git.text("for-each-ref", "--format=%(objectname) %(refname)", place).splitlines())
    tips = {ref.removeprefix(place): oid for oid, ref in rows if not ref.endswith("/HEAD")}
    if place == "refs/remotes/" or not tips:
        return _unfetched(git, update)
    head = git.text("symbolic-ref", "--quiet", f"{place}HEAD", good=(0, 1)).removeprefix(place)
    names = USUAL | {name for name in (head, *named_protected(git)) if name}
    if any(name in tips for name in (head, *named_protected(git))):
        return Protection(names, {name: tips[name] for name in names if name in tips})
    if update.branch is not None and update.old is not None:
        return Protection(names, {update.branch: update.old})
    return Protection(names, tips)


def _unfetched(git: Git, update: Update) -> Protection:
    names = USUAL | frozenset(named_protected(git))
    if update.branch is not None and update.old is not None:
        return Protection(names, {update.branch: update.old})
    rows = (line.split(" ", 1) for line in git.text("for-each-ref", "--format=%(objectname) %(refname)", "refs/remotes/").splitlines())
    return Protection(names, {ref: oid for oid, ref in rows}, elsewhere=True)
