"""`settle`: unmerged files of the ledger put together from git's three versions, with or without the merge driver."""

from __future__ import annotations

import os
import textwrap
from dataclasses import dataclass, field
from pathlib import Path

from caskbook.cli.commands.settle_odd import Unmerged, odd_line, unmerged
from caskbook.cli.common import say, screen, write
from caskbook.cli.merge_driver.common_versions import CommonVersions, of_merge_under_way
from caskbook.cli.merge_driver.words import beside
from caskbook.cli.which_ledger import which_line
from caskbook.core import outcome
from caskbook.git import Git, open_git
from caskbook.ledger.atomic_write import present_bytes, replace_file
from caskbook.ledger.files import HOUSE_FILE, find_ledger, shown_prefix
from caskbook.merge.bases import merge_over
from caskbook.model.house import House
from caskbook.model.house_file import read_house

_MARKS = ("<<<<<<<", "=======", ">>>>>>>", "|||||||")


@dataclass
class _Work:
    """What was done: files settled and staged, and what is left to decide, each in one line. `shown` leads to the ledger from here,
    `common` tells the common versions where there are several."""

    shown: str
    common: CommonVersions
    settled: list[str] = field(default_factory=list)
    left: list[str] = field(default_factory=list)


def run(records: str | None = None, *, again: bool = False) -> int:
    """Settle every unmerged file of the ledger. 0: nothing is left to decide; 1: something is.

    `again`: merge anew even a file that was edited by hand since.
    """
    root = find_ledger(Path.cwd(), records, os.environ.get("CASKBOOK_RECORDS"))
    if which := which_line(root, Path.cwd(), records):
        say(f"caskbook: {which}")
    git = open_git(root)
    stages, odd = _stages(git)
    if not stages and not odd:
        write("nothing to settle: no file of the ledger is unmerged")
        return 0
    work = _Work(shown_prefix(root, Path.cwd()), of_merge_under_way(git))
    work.left += [odd_line(about, rows, work.shown) for about, rows in sorted(odd.items())]
    house = _house(git, root, stages)
    with outcome.whole():  # A file that is settled and not staged would be taken for one edited by hand.
        for name, versions in sorted(stages.items()):
            _settle(root, name, versions, house, again, work)
        if work.settled:
            paths = "".join(f":(top,literal){git.prefix}{name}\0" for name in work.settled)
            git.run("add", "--pathspec-from-file=-", "--pathspec-file-nul", data=paths.encode("utf-8", "surrogateescape"))
    for name in work.settled:
        _tell(f"settled  {work.shown}{name}")
    for text in work.left:
        _tell(f"decide   {text}")
    if not work.left:
        say("all settled and staged: go on with `git commit`, or `git rebase --continue`")
    return 1 if work.left else 0


def _tell(text: str) -> None:
    """One line; on a terminal folded under its label."""
    width = screen().width
    write(text if width is None else "\n".join(textwrap.wrap(text, width, subsequent_indent=" " * 11, break_long_words=False, break_on_hyphens=False)))


Versions = dict[int, bytes]


def _stages(git: Git) -> tuple[dict[str, Versions], Unmerged]:
    """Unmerged files by their path in the ledger: stage (1 base, 2 ours, 3 theirs) → bytes; and what is unmerged there and no file."""
    plain, odd = unmerged(git.index(*([git.prefix] if git.prefix else []), unmerged=True), git.prefix)
    blobs = git.blobs(entry.oid for entries in plain.values() for entry in entries)
    return {name: {entry.stage: blobs[entry.oid] for entry in entries} for name, entries in plain.items()}, odd


def _house(git: Git, root: Path, stages: dict[str, Versions]) -> House:
    """The house's settings; where house.yaml is unmerged itself, as our side has them."""
    data = stages.get(HOUSE_FILE, {}).get(2) or present_bytes(root, root / HOUSE_FILE) or b""
    return read_house(HOUSE_FILE, data).house


def _settle(root: Path, name: str, versions: Versions, house: House, again: bool, work: _Work) -> None:
    """One unmerged file is merged from git's three versions and written; `work` notes whether it is settled or what is left of it."""
    ours, theirs, shown = versions.get(2), versions.get(3), work.shown + name
    if ours is None or theirs is None:
        work.left.append(_one_sided(shown, versions))
        return
    path = root / name
    there = present_bytes(root, path)
    if not again and there is not None and edited_by_hand(there, list(versions.values())):
        work.left.append(f"{shown}: edited by hand; `git add` it if it is right, or `caskbook settle --again` to merge it anew")
        return
    bases, before = work.common.texts(f"{work.common.git.prefix}{name}")
    found, base = merge_over(
        bases or [versions.get(1) or b""], before, ours, theirs, path=name, ours_stays=not work.common.git.git_path("MERGE_HEAD").is_file()
    )
    if there != found.data:
        replace_file(root, path, there, found.data)
    for line in beside(found, shown, base, ours, theirs, house):
        say(line)
    if found.clean:
        work.settled.append(name)
    else:
        work.left += [f"{shown}: {text}" for text in found.conflicts]


def _one_sided(name: str, versions: Versions) -> str:
    """A file that only one side has, in words: what git could not decide, and what the law of the book says to it."""
    ours, theirs = 2 in versions, 3 in versions
    if not ours and not theirs:
        return f"{name}: renamed or deleted on both sides; `git rm --cached` it, and see the new names"
    if 1 not in versions:
        return f"{name}: only {'our' if ours else 'their'} side has it under this name, by a rename; `git add` the name that is the cask's number"
    side = "their" if ours else "our"
    return f"{name}: deleted or renamed on {side} side and changed on the other; what landed stays: `git add` it, unless it never landed"


def edited_by_hand(there: bytes, versions: list[bytes]) -> bool:
    """Whether somebody has worked on an unmerged file: it holds a line of no version, or no markers and yet no version as it was."""

    def lines(data: bytes) -> list[str]:
        return [line.rstrip("\r") for line in data.decode("utf-8", "surrogateescape").split("\n")]

    found = lines(there)
    known = {line for data in versions for line in lines(data)} | {""}
    marks = [line for line in found if line.startswith(_MARKS)]
    if any(line not in known for line in found if not line.startswith(_MARKS)):
        return True
    return not marks and found not in [lines(data) for data in versions]
