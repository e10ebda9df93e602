"""`python -m caskbook` and the console script: run the command line, and turn what goes wrong into one line and a code."""

from __future__ import annotations

import sys


def main() -> None:
    """Run the command in sys.argv and exit: 0 well, 1 found something, 2 could not run, 130 interrupted."""
    from caskbook.cli.app import run

    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
