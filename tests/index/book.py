"""Demo ledgers for the tests of the index, in a git work tree or outside one, and the answers with the index and without."""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from casks import cask_data, ev
from commands import caskbook
from faulty_entries import LIVES, WHOLE
from history.ledgers import Repo

from caskbook.index.schema import fingerprint
from caskbook.ledger import machine
from caskbook.model.jobs import JOBS
from caskbook.words.job_table import row_of
from caskbook.yaml.write import flow_text

DAY = "2026-06-30"
SHIPPED = Path(__file__).parents[2] / "records"
QUIET = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull}


def make_demo(folder: Path, casks: int, seed: int = 3) -> Path:
    """A demo ledger."""
    done = caskbook("demo", str(folder), "--casks", str(casks), "--seed", str(seed))
    assert done.returncode == 0, done.stderr
    return folder


def put_cask(root: Path, number: int, *events: dict[str, Any], **head: Any) -> Path:
    """The file of TH-001 and three more digits, with these events."""
    data = cask_data(*events, **head) | {"cask": f"TH-001{number:03d}"}
    rows = [f"  - {flow_text(event)}" for event in data.pop("events")]
    file = root / "casks" / "TH-001" / f"{data['cask']}.yaml"
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text("\n".join([*(f"{key}: {flow_text(value)}" for key, value in data.items()), "events:", *rows]) + "\n")
    return file


_CONTRADICTED = (
    ev("2021-02-01", "fill", spirit="malt", litres=150.0, abv=63.0, at_20=True),
    ev("2023-04-05", "regauge", litres=180.0, abv=62.0, method="meter", at_20=True),
)
"""More alcohol than there was, which no two gauges can tell apart: a fill of which the table of fills says why it is in no sum."""


def put_every_job(root: Path) -> None:
    """A cask for each job, on which it was done in 2023: as `WHOLE` has it, else as the example of its row has it; and one whose gauges contradict each other."""
    house = root / "house.yaml"
    text = house.read_text(encoding="utf-8")
    text = text.replace("  - {initials: ", "  - {initials: ab}\n  - {initials: ", 1)
    house.write_text(text + "\nwood_left: {bourbon: 0.04}\n", encoding="utf-8")
    for number, job in enumerate(JOBS, 1):
        if job in WHOLE:
            before, whole = WHOLE[job]
            put_cask(root, number, *before, {**ev("2023-04-05", job), **whole})
        else:
            _put_example(root, number, job)
    put_cask(root, len(JOBS) + 1, *LIVES[0], *_CONTRADICTED)


def _put_example(root: Path, number: int, job: str) -> None:
    """Enter the example of the job's row on a cask in the first of the lives in which it is taken."""
    said: list[str] = []
    for life in LIVES:
        file = put_cask(root, number, *life)
        words = [file.stem if word.startswith("TH-004217") else word for word in shlex.split(row_of(job).example)]
        done = caskbook("enter", *words, "--date", "2023-04-05", "--by", "ab", "--yes", "--records", str(root))
        if done.returncode == 0:
            return
        said.append(done.stderr)
    raise AssertionError(f"{job} has no line in WHOLE of tests/faulty_entries.py, and its example is taken in none of the lives there: {said}")


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
    bound = machine.bound_index(folder, fingerprint())  # Before the copy: another process may make the index meanwhile.
    shutil.copytree(folder, to)
    if bound is not None and (to / ".caskbook" / bound[0]).exists():
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
