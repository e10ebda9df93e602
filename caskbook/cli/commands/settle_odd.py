"""Unmerged names of the ledger that are no plain files: a side made a link, a folder or another repository of a cask's file."""

from __future__ import annotations

import shlex
from collections.abc import Iterable

from caskbook.git import Entry
from caskbook.ledger.files import HOUSE_FILE
from caskbook.ledger.paths import is_cask_path

_KINDS = {"120000": "a link", "160000": "another repository"}
_SIDES = {1: "the common", 2: "our", 3: "their"}
Unmerged = dict[str, list[tuple[str, Entry]]]


def unmerged(entries: Iterable[Entry], prefix: str) -> tuple[dict[str, list[Entry]], Unmerged]:
    """Unmerged entries of git's index as (plain files of the ledger by their path in it, the odd ones by the path that they are about,
    each with its own path). Where a name cannot be a file and something else, git lays the file aside as `NAME~SIDE`."""
    found: Unmerged = {}
    for entry in entries:
        name = entry.path.removeprefix(prefix)
        about = name.partition("~")[0]
        if entry.path.startswith(prefix) and (about == HOUSE_FILE or is_cask_path(about)):
            found.setdefault(about, []).append((name, entry))
    odd = {about: rows for about, rows in found.items() if any(name != about or not entry.mode.startswith("100") for name, entry in rows)}
    return {about: [entry for _, entry in rows] for about, rows in found.items() if about not in odd}, odd


def odd_line(about: str, rows: list[tuple[str, Entry]], shown: str) -> str:
    """What is there and what to do, in one line; commands with the paths that git's are given here. `shown` leads to the ledger."""
    place = shlex.quote(shown + about)
    links = {entry.stage: _KINDS[entry.mode] for name, entry in rows if name == about and entry.mode in _KINDS}
    asides = sorted({name for name, entry in rows if name != about and entry.mode.startswith("100")})
    files = sorted({entry.stage for name, entry in rows if name == about and entry.mode.startswith("100")} - {1})
    if links:
        side = max(links)
        what = f"{_SIDES[side]} side has {links[side]} there"
    else:
        what = f"{'their' if any(entry.stage == 2 for _, entry in rows) else 'our'} side has a folder there"
    told = f"{shown}{about}: {what}, which a ledger may not hold"
    if len(asides) == 1:
        aside = shlex.quote(shown + asides[0])
        return f"{told}; git laid the file itself aside: `git rm -rf {place}`, `mv {aside} {place}`, `git add -A {place} {aside}`"
    if asides:
        return f"{told}; git laid files aside as {' and '.join(shown + one for one in asides)}: `git rm -rf {place}`, and put what landed back"
    if files:
        return f"{told}; `git checkout --{'ours' if files[0] == 2 else 'theirs'} {place}`, `git add {place}`"
    return f"{told}; `git rm -rf {place}`, and put back what landed there, if anything did"
