"""`--at REV`: each list and report names the commit that is judged, and its day, over its head and in the JSON of an object."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from commands import caskbook
from laws import others_thorough

ROOT = Path(__file__).parent.parent.parent
COMMANDS = (
    ("due",), ("due", "--by-cask"), ("due", "--set", "due.rechar.due_at=4"), ("days", "2026"), ("plan",), ("ready",), ("list",), ("report", "stock"),
    ("report", "loss"), ("report", "service"), ("report", "suppliers"), ("report", "leaks"), ("report", "parts"), ("report", "outlook", "--months", "1"),
    ("report", "retirement"),
)  # fmt: skip
ROWS = ("due", "list")
"""What is JSON of rows alone, without a day."""


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shipped ledger under git, with one commit of 2026-11-20 called `told`."""
    folder = tmp_path_factory.mktemp("at") / "book"
    shutil.copytree(ROOT / "records", folder, ignore=shutil.ignore_patterns(".caskbook"))
    when = {"GIT_AUTHOR_DATE": "2026-11-21T10:00:00Z", "GIT_COMMITTER_DATE": "2026-11-20T10:00:00Z"}
    for words in (("init", "-q"), ("add", "."), ("-c", "user.name=a", "-c", "user.email=a@b", "commit", "-qm", "all"), ("tag", "told")):
        subprocess.run(("git", *words), cwd=folder, check=True, env={**os.environ, **when})
    return folder


@pytest.mark.parametrize("words", others_thorough(COMMANDS, 4), ids=" ".join)
def test_what_is_told_of_a_revision_names_it(book: Path, words: tuple[str, ...]) -> None:
    commit = subprocess.run(("git", "rev-parse", "told"), cwd=book, check=True, capture_output=True, text=True).stdout.strip()
    asked = ("--records", str(book), "--as-of", "2026-11-25")
    done = caskbook(*words, *asked, "--at", "told")
    head, _, rest = done.stdout.partition("\n")
    found = re.fullmatch("the book as of commit ([0-9a-f]{7,40}) of 2026-11-20", head)
    assert found and commit.startswith(found[1]), (done.stdout[:300], done.stderr)
    plain = caskbook(*words, *asked).stdout
    assert "as of commit" not in plain and rest.splitlines()[0] == plain.splitlines()[0]
    data = json.loads(caskbook(*words, *asked, "--at", "told", "--format", "json").stdout)
    if words[0] in ROWS and "--set" not in words:
        assert isinstance(data, list)
        return
    assert data.pop("revision") == {"commit": commit, "day": "2026-11-20"}
    assert data == json.loads(caskbook(*words, *asked, "--format", "json").stdout)
