"""`python -m caskbook` and the console script: run the command line, and turn what goes wrong into one line and a code."""

from __future__ import annotations

import os
import sys


def main() -> None:
    """Run the command in sys.argv and exit: 0 well, 1 found something, 2 could not run, 130 interrupted."""
    from caskbook.cli.app import run

    sys.exit(run(sys.argv[1:]))


def quiet_stdout() -> None:
    """After the reader of our output has gone, let nothing more be written there."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


if __name__ == "__main__":
    main()
