"""Killed at any moment, or many at a time: never a wrong answer, never a lost entry."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from index.book import DAY, answer, cask_files, commit_all, copied, make_demo, same, without_index

pytestmark = pytest.mark.thorough

LOOK = ("due", "--all", "--format", "json")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("demo") / "book", 50)


def started(root: Path, *words: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "caskbook", *words, "--records", str(root)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True)


def killed(root: Path, times: int, seed: int, longest: float) -> None:
    """Builds killed at random moments, files changing in between; after each the answer is that of the files."""
    chance = random.Random(seed)
    files = cask_files(root)
    with without_index():
        expected = answer(root, *LOOK)
    for n in range(times):
        if n % 3 == 0:
            for old in (root / ".caskbook").glob("index-*"):
                old.unlink()
        for file in chance.sample(files, 5):
            file.write_bytes(file.read_bytes().rstrip(b"#\n") + b"\n" + b"#\n" * chance.randrange(2))
        process = started(root, *chance.choice([LOOK, ("check",), ("list",)]), "--as-of", DAY)
        time.sleep(chance.uniform(0.0, longest))
        os.killpg(process.pid, signal.SIGKILL)
        process.communicate()
        assert answer(root, *LOOK) == expected
    same(root, "check", "--format", "json")


def test_a_killed_build_is_never_answered_from_wrongly(demo: Path, tmp_path: Path) -> None:
    killed(copied(demo, tmp_path / "book"), 2, 1, 0.5)


@pytest.mark.slow
@pytest.mark.parametrize("in_git", [False, True])
def test_fifty_killed_builds(tmp_path: Path, in_git: bool) -> None:
    root = make_demo(tmp_path / "book", 600)
    if in_git:
        commit_all(root)
    killed(root, 50, 2, 2.0)


def events_of(root: Path, number: str) -> list[str]:
    """Notes of a cask, from the file itself."""
    text = (root / "casks" / number[:-3] / f"{number}.yaml").read_text(encoding="utf-8")
    return [line for line in text.splitlines() if "note: turn" in line]


def crew(root: Path, numbers: list[str], until: float, faults: list[str], written: list[tuple[str, str]], seed: int) -> None:
    """One of the processes' masters: enters, and looks whether the entry is seen at once."""
    chance = random.Random(seed)
    turn = 0
    while time.monotonic() < until:
        number, turn = chance.choice(numbers), turn + 1
        word = f"turn-{seed}-{turn}"
        kind = chance.randrange(4)
        if kind == 0:
            words = [*LOOK]
        elif kind == 1:
            words = ["list", "--format", "json"]
        else:
            words = ["enter", "note", number, "--by", "rn", "--note", word]
        process = started(root, *words)
        out, err = process.communicate()
        if process.returncode != 0:
            faults.append(f"{words}: {process.returncode} {err}")
        elif words[0] == "enter":
            written.append((number, word))
            process = started(root, "query", f"SELECT count(*) AS n FROM event WHERE note = '{word}'", "--format", "json")
            out, err = process.communicate()
            if process.returncode != 0 or json.loads(out) != [{"n": 1}]:
                faults.append(f"{word} not seen: {out} {err}")


def at_once(root: Path, seconds: float, processes: int = 8) -> None:
    numbers = [file.stem for file in cask_files(root) if "job: dispose" not in file.read_text(encoding="utf-8")][:12]
    faults: list[str] = []
    written: list[tuple[str, str]] = []
    until = time.monotonic() + seconds
    crews = [threading.Thread(target=crew, args=(root, numbers, until, faults, written, n)) for n in range(processes)]
    for one in crews:
        one.start()
    for one in crews:
        one.join()
    assert not faults, faults[:3]
    assert written
    for number, word in written:
        assert any(f"note: {word}" in line for line in events_of(root, number)), (number, word)
    same(root, *LOOK)


def test_eight_at_once_for_a_moment(demo: Path, tmp_path: Path) -> None:
    at_once(copied(demo, tmp_path / "book"), 0.1)  # each of them does one thing at least, all begun at once


@pytest.mark.slow
@pytest.mark.parametrize("in_git", [False, True])
def test_eight_at_once_for_a_minute(demo: Path, tmp_path: Path, in_git: bool) -> None:
    root = copied(demo, tmp_path / "book")
    if in_git:
        commit_all(root)
    at_once(root, 60.0)
