"""The program itself, ended at a chosen moment: run in a child of this process, which saves it the start."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from commands import caskbook

from caskbook.core import outcome
from caskbook.ledger import atomic_write
from caskbook.ledger.pending_writes import overlay
from caskbook.yaml.insertion import new_document

HEAD = {"type": "barrel", "capacity_l": 200, "staves": 31, "heads": [5, 5], "hoops": 6, "prior": [{"contents": "bourbon", "fills": 1}], "charred": 2011}
ONE, TWO, THREE = "TH-000001", "TH-000002", "TH-000003"


@dataclass
class Ended:
    """How a run ended."""

    code: int
    out: str
    err: str

    @property
    def last(self) -> str:
        """The last line told."""
        return self.err.splitlines()[-1] if self.err.strip() else ""

    @property
    def told(self) -> dict[str, str]:
        """Cask or file → `written` or `taken back`, as the last line has it."""
        found = {}
        for what, names in re.findall(r"; (written|taken back): ([^;]*)", self.last):
            found.update({name.strip(): what for name in names.split(",")})
        assert bool(found) != self.last.endswith("; nothing written"), self.last
        return found


def book(root: Path) -> Path:
    """A ledger of three casks in a folder; the ledger's folder."""
    records = root / "records"
    (records / "casks" / "TH-000").mkdir(parents=True)
    (records / "house.yaml").write_text("name: North House\ntimezone: UTC\ncrew:\n  - {initials: ab}\n", encoding="utf-8")
    for number, cask in enumerate((ONE, TWO, THREE)):
        event = {"id": f"e000000{number}", "date": "2020-01-02", "job": "receive", "by": "ab", "verdict": "accept"}
        path(records, cask).write_bytes(new_document({"cask": cask, "format": 1, **HEAD}, [event]))
    return records


def path(records: Path, cask: str) -> Path:
    return records / "casks" / "TH-000" / f"{cask}.yaml"


def contents(records: Path) -> dict[str, bytes]:
    """Cask → what counts as its file's content: also what the next command completes."""
    owed = overlay(records)
    found = {one.stem: one.read_bytes() for one in (records / "casks").rglob("*.yaml")}
    return {**found, **{Path(name).stem: data for name, data in owed.items()}}


@cache
def _warm() -> None:
    """Load in this process, once, what every child would have to load."""
    with tempfile.TemporaryDirectory() as folder:
        book(Path(folder))
        caskbook("enter", "note", ONE, TWO, "--note", "x", "--by", "ab", "--yes", cwd=Path(folder))
        caskbook("undo", "--yes", cwd=Path(folder))
        caskbook("schema", cwd=Path(folder))


def run(records: Path, *words: str, before: Callable[[], None] = lambda: None, stdin: str = "", stdout: str | None = None) -> Ended:
    """Run the program with these words beside the ledger; `before` is done first in the child; `stdout`: a file to print to."""
    _warm()
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err, tempfile.TemporaryFile() as given:
        given.write(stdin.encode())
        given.seek(0)
        child = os.fork()
        if child == 0:
            _be_program(records, words, before, (given.fileno(), out.fileno() if stdout is None else os.open(stdout, os.O_WRONLY), err.fileno()))
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        return Ended(code, _text(out), _text(err))


def _text(file) -> str:
    file.seek(0)
    return file.read().decode()


def _be_program(records: Path, words: tuple[str, ...], before: Callable[[], None], handles: tuple[int, int, int]) -> None:
    code = 99
    try:
        for number, handle in enumerate(handles):
            os.dup2(handle, number)
        sys.stdin, sys.stdout, sys.stderr = (os.fdopen(n, "r" if n == 0 else "w", encoding="utf-8", closefd=False) for n in range(3))
        signal.signal(signal.SIGINT, signal.default_int_handler)
        os.chdir(records.parent)
        sys.argv = ["caskbook", *words]
        before()
        from caskbook.__main__ import main

        main()
    except SystemExit as ending:
        code = int(ending.code or 0)
    except BaseException as error:
        os.write(2, f"Traceback: {error!r}\n".encode())
    finally:
        for stream in (sys.stdout, sys.stderr):
            try:
                stream.flush()
            except OSError:
                code = 120
        os._exit(code)


def at_step(number: int, act: Callable[[], None]) -> Callable[[], None]:
    """For `before`: do something after the `number`-th act on the disk."""

    def before() -> None:
        left = [number]

        def step(name: str) -> None:
            left[0] -= 1
            if left[0] == 0:
                act()

        atomic_write.step = step

    return before


def at_note(number: int, act: Callable[[], None]) -> Callable[[], None]:
    """For `before`: do something when the `number`-th thing is noted as written."""

    def before() -> None:
        left, own = [number], outcome.note

        def note(names, what: str = "written") -> None:
            own(names, what)
            left[0] -= 1
            if left[0] == 0:
                act()

        outcome.note = note

    return before


def send(number: int) -> Callable[[], None]:
    """Send this process a signal."""
    return lambda: os.kill(os.getpid(), number)


def git(folder: Path, *words: str) -> str:
    settings = ("-c", "user.name=Bench", "-c", "user.email=bench@example.org", "-c", "commit.gpgsign=false")
    return subprocess.run(["git", *settings, *words], cwd=folder, capture_output=True, text=True, check=True).stdout
