"""The program for tests that start it as a process: `sys.executable` and the `caskbook` beside it become the client of a process that has
it loaded, for as long as the tests run. `CASKBOOK_TEST_STARTS=1` starts the real one each time instead."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

HERE = Path(__file__).parent
REAL = sys.executable
"""The Python that starts by itself, for tests of the start."""
_VARIABLE = "CASKBOOK_TEST_PYTHON"
_LONGEST_LINE, _LONGEST_NAME, _LONGEST_WAIT = 120, 100, 30.0


class Warm:
    """The loaded process, and the files that stand in the place of Python and of the program."""

    def __init__(self, folder: Path) -> None:
        self.socket = folder / "warm"
        (folder / "bin").mkdir()
        (folder / "warm-book").mkdir()
        variables = "\0".join(f"{key}={value}" for key, value in sorted(os.environ.items()) if key.startswith("PYTHON"))
        self.python = str(folder / "bin" / Path(REAL).name)
        given = f"REAL, SOCKET, OWN_VARIABLES = {REAL!r}, {str(self.socket)!r}, {variables!r}\n"
        lines = (HERE / "warm_client.py").read_text(encoding="utf-8").splitlines(keepends=True)
        text = "".join(given if line.startswith("REAL = ") else line for line in lines)
        for name in (Path(REAL).name, "caskbook"):
            file = folder / "bin" / name
            file.write_text(f"#!{REAL} -IS\n{text}", encoding="utf-8")
            file.chmod(0o755)
        command = [REAL, "-P", str(HERE / "warm_server.py"), str(self.socket), str(folder / "warm-book"), self.python]
        self.process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL)

    def end(self) -> None:
        """Let it end."""
        assert self.process.stdin is not None
        self.process.stdin.close()
        self.process.wait()


def possible(folder: Path) -> bool:
    """Whether the system has such a way, and the names are short enough for it."""
    return hasattr(os, "fork") and len(REAL) < _LONGEST_LINE and not set(REAL) & set(" \t") and len(str(folder)) < _LONGEST_NAME - 10


def started(folder: Path) -> Warm | None:
    """One loaded process for a whole run of the tests, its workers included, which find it by an environment variable; None where
    each run of the program is to start by itself."""
    if not possible(folder) or "CASKBOOK_TEST_STARTS" in os.environ:
        return None
    loaded = Warm(folder)
    os.environ[_VARIABLE] = loaded.python
    return loaded


def use() -> None:
    """From here on `sys.executable` is what hands runs to the loaded process, where there is one."""
    sys.executable = os.environ.get(_VARIABLE, REAL)


def ready(python: str) -> None:
    """Wait until that process takes requests. Where it cannot, it has said why, and each run starts the real program."""
    until = time.monotonic() + _LONGEST_WAIT
    while python != REAL and not Path(python).parents[1].joinpath("warm").exists() and time.monotonic() < until:
        time.sleep(0.01)
