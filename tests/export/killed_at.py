"""Run the command line, and be killed (SIGKILL) before the Nth thing that is done to a file of a folder: `killed_at.py FOLDER N WORDS…`; N 0: say how many."""

from __future__ import annotations

import os
import signal
import sys

DONE_TO_FILES = {"os.rename", "os.symlink", "os.link", "os.mkdir", "os.remove", "os.rmdir", "shutil.rmtree", "open"}


def main(folder: str, last: int, words: list[str]) -> int:
    count, busy = 0, False

    def watch(event: str, arguments: tuple[object, ...]) -> None:
        nonlocal count, busy
        if busy or event not in DONE_TO_FILES:
            return
        busy = True
        here = any(folder in os.fsdecode(one) for one in arguments if isinstance(one, str | bytes | os.PathLike))
        if here and (event != "open" or isinstance(arguments[1], str) and "w" in arguments[1]):
            count += 1
            if count == last:
                os.kill(os.getpid(), signal.SIGKILL)
        busy = False

    from caskbook.cli.app import run

    sys.addaudithook(watch)
    code = run(words)
    if not last:
        sys.stderr.write(f"{count}\n")
    return code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], int(sys.argv[2]), sys.argv[3:]))
