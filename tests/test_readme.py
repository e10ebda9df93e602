"""The README's commands print what it shows, and every command is in it. `pytest tests/test_readme.py --golden` writes it anew."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from commands import caskbook

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
_BLOCK = re.compile(r"```console\n(.*?)```", re.S)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "records", tmp_path / "records", ignore=shutil.ignore_patterns(".caskbook", ".pending"))
    shutil.copytree(ROOT / "schemas", tmp_path / "schemas")
    return tmp_path


def ran(block: str, book: Path) -> str:
    """The block with each command followed by what it prints now."""
    lines = []
    for line in block.splitlines():
        if line.startswith("$ caskbook "):
            words = shlex.split(line)[2:]
            done = caskbook(*words, cwd=book, terminal=words[0] != "enter")
            lines += [line, *(done.stderr + done.stdout).rstrip("\n").splitlines()]
    return "\n".join(one.rstrip() for one in lines) + "\n"


def renewed(text: str, book: Path) -> str:
    return _BLOCK.sub(lambda found: f"```console\n{ran(found[1], book)}```", text)


def unminted(text: str) -> str:
    """Ids minted while the command ran are different each time."""
    return re.sub(r"(?<=\+  - id: )[0-9a-z]+", "ID", text)


def test_the_tour_prints_what_it_shows(book: Path, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.delenv("CASKBOOK_RECORDS", raising=False)
    text = README.read_text(encoding="utf-8")
    now = renewed(text, book)
    if request.config.getoption("--golden"):
        README.write_text(now, encoding="utf-8")
    else:
        assert unminted(now) == unminted(text)


def test_every_command_is_in_the_readme() -> None:
    listed = re.findall(r"^  ([a-z-]+)  ", caskbook("--help").stdout.split("Commands:")[1], re.M)
    assert len(listed) >= 15
    text = README.read_text(encoding="utf-8")
    missing = [name for name in listed if not re.search(rf"\b{name}\b", text)]
    assert not missing
