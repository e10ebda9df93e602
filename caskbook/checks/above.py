"""What a tree of git carries in above the casks, which a comparison of the casks alone never sees."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from caskbook.core.finding import Finding, Severity
from caskbook.git import Git
from caskbook.ledger.folder import HOUSE_FILE, houses_above
from caskbook.ledger.paths import plain_name
from caskbook.ledger.stray import stray_finding

CODES: dict[str, Severity] = {"second-house": "error", "bare-repository": "error"}
_BARE = {"head", "objects", "refs"}
Names = dict[str, str]


def above_in_tree(git: Git, tree: str, prefix: str, shown: str) -> Iterator[Finding]:
    """Errors about the folders from the top of a tree down to the ledger in it (`prefix`: empty, or ending in `/`).

    `shown` is put before paths in the ledger. Told: a second house.yaml, a bare repository, a link in the place of casks/.
    """
    outer = shown.removesuffix(prefix)
    for folder in _folders(prefix):
        names = names_in(git, tree, folder)
        if folder != prefix and HOUSE_FILE in names:
            yield second_house(outer + folder + HOUSE_FILE)
        if {name.lower() for name in names} >= _BARE:
            yield bare_finding(f"{outer}{folder}HEAD")
    for name, mode in names_in(git, tree, prefix).items():
        if name == "casks" and mode == "120000":
            yield stray_finding(shown, name, "link")


def names_in(git: Git, tree: str, folder: str) -> Names:
    """What lies in a folder of a tree (empty, or ending in `/`), nothing below it: name → git's mode."""
    out = git.run("ls-tree", "-z", "--full-tree", f"{tree}:{folder}" if folder else tree)
    rows = (row.decode("utf-8", "surrogateescape").partition("\t") for row in out.split(b"\0") if row)
    return {name: about.partition(" ")[0] for about, _, name in rows}


def above_on_disk(root: Path, shown: str) -> Iterator[Finding]:
    """A second house.yaml above the ledger, up to the top of its work tree; without git, in the folder above it alone."""
    whole = root.resolve()
    for house in houses_above(root):
        up = len(whole.relative_to(house.parent).parts)
        yield second_house(f"{shown}{'../' * up}{HOUSE_FILE}")


def second_house(path: str) -> Finding:
    """A house.yaml above the ledger's own."""
    return Finding("second-house", CODES["second-house"], "a second house.yaml above the ledger: expected one book here", plain_name(path), help="take it away, or name the ledger with --records")


def bare_finding(path: str) -> Finding:
    """A repository that git would find before the book's own."""
    return Finding("bare-repository", CODES["bare-repository"], "a bare git repository: expected files of the book alone", plain_name(path), help="delete its HEAD, objects and refs")


def _folders(prefix: str) -> list[str]:
    parts = prefix.split("/")[:-1]
    return ["".join(f"{part}/" for part in parts[:n]) for n in range(len(parts) + 1)]
