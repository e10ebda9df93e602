"""`python -m caskbook` and the console script: run the command line, and turn what goes wrong into one line and a code."""

from __future__ import annotations

import gc
import os
import sys
from types import ModuleType

from caskbook import outcome

# Starting makes many objects that all stay. Looking through them for cycles after every 700 new ones, as is usual, takes a
# fifth of a short command; what works on the whole book switches the collector off by itself.
_NEW_OBJECTS_TO_COLLECT = 200_000


def main() -> None:
    """Run the command in sys.argv and exit: 0 well, 1 found something, 2 could not run or not print, 130 interrupted, 143 terminated."""
    gc.set_threshold(_NEW_OBJECTS_TO_COLLECT)
    _whole_streams()
    try:
        outcome.listen()
        _without_plugins()
        from caskbook.cli.app import run

        code = run(sys.argv[1:])
        outcome.deaf()
    except KeyboardInterrupt:  # before the command had begun, or after it was done
        outcome.deaf()
        how, code = outcome.stopped_by()
        sys.stderr.write(f"caskbook: {how}; {outcome.sentence()}\n")
    # The process ends: the interpreter need not look for cycles among all that is left.
    gc.freeze()
    sys.exit(code)


def _whole_streams() -> None:
    """A standard stream that was closed at the start gets something in its place, or the next file opened would be taken for it.

    Nothing can be read from it, and writing to it as output fails as it does on a full disk; what stderr is told is lost.
    What an encoding cannot print becomes a question mark.
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
        sys.stdout.reconfigure(errors="replace")  # type: ignore[union-attr]


def _without_plugins() -> None:
    """Keep pydantic from looking for plugins among all installed packages: a command has no use for any.

    Its own switch only keeps it from looking; the library to look with, which takes a tenth of a short command to load, it loads
    all the same, from a module that has but this one function to offer. Where it has no such module, nothing is changed.
    """
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    loader = ModuleType("pydantic.plugin._loader")
    loader.__dict__["get_plugins"] = tuple
    sys.modules.setdefault(loader.__name__, loader)


if __name__ == "__main__":
    main()
