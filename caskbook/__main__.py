"""`python -m caskbook` and the console script: run the command line, and turn what goes wrong into one line and a code."""

from __future__ import annotations

import gc
import os
import sys

from caskbook.core import outcome
from caskbook.core.quick_start import quick_start


def main() -> None:
    """Run the command in sys.argv and exit: 0 well, 1 found something, 2 could not run or not print, 130 interrupted, 143 terminated."""
    quick_start()
    _whole_streams()
    if sys.argv[1:3] == ["completion", "words"]:  # A shell waits for it at each Tab: nothing else is loaded.
        from caskbook.cli.completing.scripts import run as complete

        sys.exit(complete(sys.argv[2:]))
    try:
        outcome.listen()
        from caskbook.cli.app import run

        code = run(sys.argv[1:])
        outcome.deaf()
    except KeyboardInterrupt:  # The signal came before the command had begun, or after it was done.
        outcome.deaf()
        how, code = outcome.stopped_by()
        sys.stderr.write(f"caskbook: {how}; {outcome.sentence()}\n")
    # The process ends: the interpreter need not look for cycles among all that is left.
    gc.freeze()
    sys.exit(code)


def _whole_streams() -> None:
    """A standard stream that was closed at the start gets something in its place, or the next file opened would be taken for it.

    Nothing can be read from it, and writing to it as output fails as it does on a full disk; what stderr is told is lost.
    What an encoding cannot print is written as its number, as on stderr: a question mark would make two words one, and means unknown here.
    """
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        if getattr(sys, name) is None:
            handle = os.open(os.devnull, os.O_WRONLY if name == "stderr" else os.O_RDONLY)
            if handle != number:
                os.dup2(handle, number)
                os.close(handle)
            os.set_inheritable(number, True)
            setattr(sys, name, open(number, "r" if name == "stdin" else "w", encoding="utf-8", closefd=False))  # noqa: SIM115
    if getattr(sys.stdout, "errors", "") == "strict":
        sys.stdout.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]


if __name__ == "__main__":
    main()
