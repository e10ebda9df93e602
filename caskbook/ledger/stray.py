"""A finding about what lies among the casks and is no cask file."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable
from pathlib import Path
from typing import Literal

from caskbook.core.finding import Finding
from caskbook.ledger.folder import HOUSE_FILE
from caskbook.ledger.paths import file_of, is_copy, is_utf8, may_be_casks, plain_name, strayed_number

Kind = Literal["file", "link", "submodule", "git"]


def links_among(root: Path, names: Iterable[str] | None = None) -> list[str]:
    """Links in the place of casks or of their folders, sorted, as `casks/DIR/ID.yaml` or `casks/DIR`: what is there is not read. `names`:
    only these can be such; else all are looked at."""
    if (root / "casks").is_symlink():
        return ["casks"]
    if names is not None:
        return sorted(name for name in names if may_be_casks(name) and (root / name).is_symlink())
    found = []
    with contextlib.suppress(OSError), os.scandir(root / "casks") as folders:
        for folder in folders:
            if folder.is_symlink():
                found.append(f"casks/{folder.name}")
            elif folder.is_dir():
                with contextlib.suppress(OSError), os.scandir(folder.path) as files:
                    found += [f"casks/{folder.name}/{file.name}" for file in files if file.is_symlink()]
    return sorted(name for name in found if may_be_casks(name))


def stray_finding(shown: str, name: str, kind: str) -> Finding:
    """What is wrong with a thing in casks/. `shown` is put before its path; `kind`: file, link, submodule, or git (a `.git` among casks of the book)."""
    path = shown + plain_name(name)
    if kind == "link":
        wanted = "expected ID.yaml in a folder of its own" if name.startswith("casks") else "no part of a book may be one"
        return Finding("symbolic-link", "error", f"a symbolic link: {wanted}", path, help="put the file itself in its place")
    if kind == "submodule":
        return Finding(
            "submodule-in-casks",
            "error",
            "another git repository: its files are not of this book, nor in it",
            path,
            help="move the files in, and take the other repository away",
        )
    if kind == "git":
        return Finding(
            "submodule-in-casks",
            "error",
            "a `.git` among casks of this book: expected cask files alone",
            path,
            help="take it away; casks that git tracks stay as they are",
        )
    if name.rpartition("/")[2] == HOUSE_FILE:
        return Finding(
            "house-among-casks", "error", "a house.yaml among the casks: expected cask files alone", path, help="take it away; no ledger is found there"
        )
    if not is_utf8(name):
        return Finding("name-not-utf8", "error", "a file name that is no UTF-8: expected ID.yaml", path, help="rename it to its cask's number, or take it away")
    if is_copy(name.rpartition("/")[2]):
        return Finding(
            "conflicted-copy",
            "error",
            "a copy beside the cask's own file: expected ID.yaml; not read",
            path,
            help="bring its entries into the cask's file, then delete it",
        )
    number = strayed_number(name)
    way = f"git mv it to {file_of(number)}, or out of casks/" if number else "move it out of casks/"
    return Finding("stray-file", "warning", "no cask file: expected ID.yaml in a folder of its own", path, help=way)
