"""What `.gitattributes` files say of a path, worked out by git itself in an empty folder: any revision, any version of git."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from caskbook.git.repository import Git
from caskbook.git.rows import rows_of

_ASKED = ("merge", "text", "eol", "filter", "ident", "working-tree-encoding")


def attributes(files: Mapping[str, bytes], paths: Sequence[str]) -> dict[str, dict[str, str]]:
    """Path → attribute → value ("set", "unset", "unspecified" or a word), as these `.gitattributes` (by path) have it.

    The machine's own settings and what a repository keeps to itself have no say.
    """
    with tempfile.TemporaryDirectory(prefix="caskbook-") as made:
        git = Git(Path(made))
        git.run("init", "-q", "--template=", ".")
        for name, data in files.items():
            place = Path(made) / name
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(data)
        told = rows_of(git.run("-c", "core.attributesFile=", "check-attr", "-z", "--stdin", *_ASKED, data="".join(f"{path}\0" for path in paths).encode("utf-8", "surrogateescape")))
    found: dict[str, dict[str, str]] = {path: {} for path in paths}
    for at in range(0, len(told), 3):
        path, name, value = told[at : at + 3]
        found[path][name] = value
    return found
