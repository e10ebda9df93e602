"""What a tree of git carries in above the casks, which a comparison of the casks alone never sees."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from caskbook.core.finding import Finding, Severity
from caskbook.git import Git
from caskbook.git.walk import LINK
from caskbook.ledger.folder import HOUSE_FILE, houses_above
from caskbook.ledger.paths import plain_name
from caskbook.ledger.stray import stray_finding
from caskbook.ledger.tracked import SCHEMA_FILES, WRITTEN_FILES, schemas_of

CODES: dict[str, Severity] = {"second-house": "error", "bare-repository": "error"}
_BARE = {"head", "objects", "refs"}


def above_in_tree(git: Git, tree: str, prefix: str, shown: str) -> Iterator[Finding]:
    """Errors about the folders from the top of a tree down to the ledger in it (`prefix`: empty, or ending in `/`).

    `shown` is put before paths in the ledger. Told: a second house.yaml, a bare repository, a link in the place of casks/ or of what commands write.
    """
    outer = shown.removesuffix(prefix)
    for folder in _folders(prefix):
        names = git.folder_of(tree, folder)
        if folder != prefix and HOUSE_FILE in names:
            yield second_house(outer + folder + HOUSE_FILE)
        if {name.lower() for name in names} >= _BARE:
            yield bare_finding(f"{outer}{folder}HEAD")
    for name, mode in git.folder_of(tree, prefix).items():
        if name in ("casks", *WRITTEN_FILES) and mode == LINK:
            yield stray_finding(shown, name, "link")
    schemas = schemas_of(Path("/", prefix)).as_posix()[1:]
    for entry in git.tree(tree, schemas):
        if entry.mode == LINK and (entry.path == schemas or entry.path.rpartition("/")[2] in SCHEMA_FILES):
            yield stray_finding(outer, entry.path, "link")


def above_on_disk(root: Path, shown: str) -> Iterator[Finding]:
    """A second house.yaml above the ledger, up to the top of its work tree; without git, in the folder above it alone."""
    whole = root.resolve()
    for house in houses_above(root):
        up = len(whole.relative_to(house.parent).parts)
        yield second_house(f"{shown}{'../' * up}{HOUSE_FILE}")


def second_house(path: str) -> Finding:
    """A house.yaml above the ledger's own."""
    return Finding(
        "second-house",
        CODES["second-house"],
        "a second house.yaml above the ledger: expected one book here",
        plain_name(path),
        help="take it away, or name the ledger with --records",
    )


def bare_finding(path: str) -> Finding:
    """A repository that git would find before the book's own."""
    return Finding(
        "bare-repository",
        CODES["bare-repository"],
        "a bare git repository: expected files of the book alone",
        plain_name(path),
        help="delete its HEAD, objects and refs",
    )


def _folders(prefix: str) -> list[str]:
    parts = prefix.split("/")[:-1]
    return ["".join(f"{part}/" for part in parts[:n]) for n in range(len(parts) + 1)]
