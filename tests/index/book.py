"""Demo ledgers for the tests of the index, in a git work tree or outside one, and the answers with the index and without."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from commands import caskbook
from history.ledgers import Repo

from caskbook.index.schema import fingerprint
from caskbook.ledger import machine

DAY = "2026-06-30"
QUIET = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull}


def make_demo(folder: Path, casks: int, seed: int = 3) -> Path:
    """A demo ledger."""
    done = caskbook("demo", str(folder), "--casks", str(casks), "--seed", str(seed))
    assert done.returncode == 0, done.stderr
    return folder


def git(folder: Path, *words: str) -> str:
    """Git in a folder, shut off from the machine's own settings."""
    command = ["git", "-c", "user.name=a", "-c", "user.email=a@example.org", "-c", "core.autocrlf=false", *words]
    done = subprocess.run(command, cwd=folder, env={**os.environ, **QUIET}, capture_output=True, text=True, check=True)
    return done.stdout


def commit_all(folder: Path) -> None:
    """Everything in one commit, of a new repository where there is none."""
    if not (folder / ".git").exists():
        Repo(folder, "")
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "all")


def copied(folder: Path, to: Path) -> Path:
    """A copy to hurt, its index taken for the one that was made there."""
    shutil.copytree(folder, to)
    bound = machine.bound_index(folder, fingerprint())
    if bound is not None:
        machine.bind_index(to, fingerprint(), to / ".caskbook" / bound[0], bound[1])
    return to


@contextmanager
def without_index() -> Iterator[None]:
    """Commands in here work everything out from the files."""
    before = os.environ.get("CASKBOOK_INDEX")
    os.environ["CASKBOOK_INDEX"] = "off"
    try:
        yield
    finally:
        del os.environ["CASKBOOK_INDEX"]
        if before is not None:
            os.environ["CASKBOOK_INDEX"] = before


def answer(root: Path, *words: str, day: str | None = DAY) -> tuple[int, str, str]:
    """Exit code, output and what was said."""
    done = caskbook(*words, "--records", str(root), *(["--as-of", day] if day else []))
    return done.returncode, done.stdout, done.stderr


def same(root: Path, *words: str, day: str | None = DAY) -> tuple[int, str, str]:
    """The answer, after making sure that it is the same without the index."""
    with without_index():
        expected = answer(root, *words, day=day)
    found = answer(root, *words, day=day)
    assert found == expected, words
    return found


def cask_files(root: Path) -> list[Path]:
    """All cask files, in order."""
    return sorted((root / "casks").rglob("*.yaml"))
