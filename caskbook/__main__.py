"""`python -m caskbook` and the console script: run the command line, and turn what goes wrong into one line and a code."""

from __future__ import annotations

import os
import sys


def main() -> None:
    """Run the command in sys.argv and exit: 0 well, 1 found something, 2 could not run, 130 interrupted."""
    # Looking for plugins reads the metadata of every installed package; a command has no use for any.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    from caskbook.cli.app import run

    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
