"""Running the command line in this process: the same as the program, without paying for a start each time."""

from __future__ import annotations

import contextlib
import io
import os
import subprocess
from pathlib import Path

from caskbook.cli.app import run


class _Stream(io.StringIO):
    """A stream that takes every sign, and may say that it is a terminal."""

    encoding = "utf-8"

    def __init__(self, terminal: bool) -> None:
        super().__init__()
        self.terminal = terminal

    def isatty(self) -> bool:
        return self.terminal


def caskbook(*arguments: str, cwd: Path | None = None, terminal: bool = False) -> subprocess.CompletedProcess[str]:
    """Run `caskbook ARGUMENTS`; what it printed and its exit code. Nothing is asked, for standard input is no terminal."""
    out, err = _Stream(terminal), _Stream(False)
    before = Path.cwd()
    if cwd is not None:
        os.chdir(cwd)
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = run(list(arguments))
    finally:
        os.chdir(before)
    return subprocess.CompletedProcess(arguments, code, out.getvalue(), err.getvalue())
