"""Running the command line in this process: the same as the program, without paying for a start each time."""

from __future__ import annotations

import contextlib
import io
import os
import subprocess
from pathlib import Path

from caskbook.cli.app import run


def caskbook(*arguments: str, cwd: Path | None = None, stdin: str = "") -> subprocess.CompletedProcess[str]:
    """Run `caskbook ARGUMENTS`; what it printed and its exit code. Not a terminal: nothing is asked."""
    out, err = io.StringIO(), io.StringIO()
    before = Path.cwd()
    if cwd is not None:
        os.chdir(cwd)
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = run(list(arguments))
    finally:
        os.chdir(before)
    return subprocess.CompletedProcess(arguments, code, out.getvalue(), err.getvalue())
