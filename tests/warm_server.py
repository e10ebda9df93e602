"""A process with the program loaded, which forks for each run that `warm_client.py` asks of it: `python warm_server.py SOCKET FOLDER PYTHON`.

The run is a process of its own in the caller's folder, with its environment and its streams; it begins where a started program begins,
in `caskbook.__main__.main` or in the code of a hook. The server ends when its standard input does. A client that is gone takes its run along.
"""

from __future__ import annotations

import atexit
import contextlib
import gc
import io
import marshal
import os
import pkgutil
import selectors
import signal
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

# Each way a command line can take, so that what is made when it is first needed is there: models, patterns, typer's commands.
LINES = (
    "--version", "--help", "enter note TH-000001 --note x --by ab --yes", "enter test TH-000001 pass --psi 11 --water 2 --by ab --dry-run",
    "enter fill TH-000001 --spirit malt --litres 190 --abv 63 --temp 12 --by ab --dry-run", "undo --yes", "check", "check --format json", "due", "due --help",
    "show TH-000001", "show TH-000001 --format json", "list", "list --where fills_here>=1", "query select+1", "review", "settle", "git install", "schema",
    "check --since HEAD", "void TH-000001 e0000001 --why x --by ab --dry-run", "correct TH-000001 --help", "gauge head --step 265", "explain check-fault",
)  # fmt: skip
Request = tuple[str, list[str], str, dict[bytes, bytes], int, list[tuple[str, str]]]


def load(folder: Path) -> None:
    """Load all of the program, and what it loads when it works."""
    from caskbook.core.quick_start import quick_start

    quick_start()
    import caskbook

    for module in pkgutil.walk_packages(caskbook.__path__, "caskbook."):
        if not module.name.endswith("__main__"):
            __import__(module.name)
    __import__("concurrent.futures.process")

    from caskbook.cli.app import run

    os.chdir(folder)
    subprocess.run(["git", "init", "-q", "."], check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    (folder / "house.yaml").write_text("name: North House\ntimezone: UTC\ncrew:\n  - {initials: ab}\n", encoding="utf-8")
    head = "cask: TH-000001\nformat: 1\ntype: barrel\ncapacity_l: 200\nstaves: 31\nheads: [5, 5]\nhoops: 6\nprior:\n  - {contents: bourbon, fills: 1}\ncharred: 2011\nevents:\n"
    (folder / "casks" / "TH-000").mkdir(parents=True)
    (folder / "casks" / "TH-000" / "TH-000001.yaml").write_text(
        head + "  - id: e0000001\n    date: 2020-01-02\n    job: receive\n    by: ab\n    verdict: accept\n", encoding="utf-8"
    )
    os.environ["CASKBOOK_STATE"] = str(folder)
    for line in LINES:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            run(line.split())
    os.chdir("/")


class Server:
    """Takes requests, forks, and tells each client how its run ended."""

    def __init__(self, name: str) -> None:
        self.listening = socket.socket(socket.AF_UNIX)
        self.listening.bind(name + ".new")
        self.listening.listen(64)
        Path(name + ".new").rename(name)
        self.runs: dict[int, socket.socket] = {}
        self.wake, self.wakes = os.pipe()
        os.set_blocking(self.wake, False)
        os.set_blocking(self.wakes, False)
        signal.set_wakeup_fd(self.wakes, warn_on_full_buffer=False)
        signal.signal(signal.SIGCHLD, lambda *_: None)
        self.selector = selectors.DefaultSelector()
        for thing in (self.listening, self.wake, 0):
            self.selector.register(thing, selectors.EVENT_READ)

    def serve(self) -> tuple[Request, list[int]] | None:
        """Come back in a child with what it has to do, or in the server itself, with None, at the end."""
        while True:
            for key, _ in self.selector.select():
                if key.fileobj is self.listening:
                    asked = self._taken()
                    if asked:
                        return asked
                elif key.fileobj == self.wake:
                    with contextlib.suppress(BlockingIOError):
                        os.read(self.wake, 4096)
                    self._tell_ends()
                elif isinstance(key.fileobj, socket.socket):
                    self._client_gone(key.fileobj)
                else:
                    return None

    def _taken(self) -> tuple[Request, list[int]] | None:
        connection, _ = self.listening.accept()
        data, handles = _asked(connection)
        child = os.fork() if data else -1
        if child == 0:
            connection.close()
            self._leave()
            return marshal.loads(data), handles
        for handle in handles:
            os.close(handle)
        if child > 0:
            self.runs[child] = connection
            self.selector.register(connection, selectors.EVENT_READ)
            with contextlib.suppress(OSError):
                connection.send(child.to_bytes(4, "big"))
        else:
            connection.close()  # killed before it had asked
        return None

    def _tell_ends(self) -> None:
        while self.runs:
            child, status = os.waitpid(-1, os.WNOHANG)
            if not child:
                return
            connection = self.runs.pop(child)
            code = os.waitstatus_to_exitcode(status)
            with contextlib.suppress(OSError):
                connection.send(bytes([code < 0, abs(code)]))
            with contextlib.suppress(KeyError):
                self.selector.unregister(connection)
            connection.close()

    def _client_gone(self, connection: socket.socket) -> None:
        if connection.fileno() < 0:
            return  # its run has ended in the meantime
        self.selector.unregister(connection)
        for child in [child for child, its in self.runs.items() if its is connection]:
            for kill in (os.kill, os.killpg):
                with contextlib.suppress(OSError):
                    kill(child, signal.SIGKILL)

    def _leave(self) -> None:
        """In the child: nothing of the server stays open."""
        signal.set_wakeup_fd(-1)
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        self.selector.close()
        self.listening.close()
        os.close(self.wake)
        os.close(self.wakes)
        for connection in self.runs.values():
            connection.close()


def _asked(connection: socket.socket) -> tuple[bytes, list[int]]:
    """What a client asks, and its three streams; nothing where it ended before it had said all of it."""
    start, handles, _, _ = socket.recv_fds(connection, 4, 3)
    data, wanted = bytearray(), int.from_bytes(start, "big")
    while len(data) < wanted and (more := connection.recv(wanted - len(data))):
        data += more
    return (bytes(data) if len(handles) == 3 and len(data) == wanted else b""), handles


def _stream(number: int, how: tuple[str, str]) -> io.TextIOWrapper:
    """A standard stream as Python makes it at its start."""
    raw = io.FileIO(number, "r" if number == 0 else "w", closefd=False)
    raw.name = ("<stdin>", "<stdout>", "<stderr>")[number]
    buffer: Any = io.BufferedReader(raw) if number == 0 else io.BufferedWriter(raw)
    made = io.TextIOWrapper(buffer, how[0], how[1], None if number == 0 else "\n", line_buffering=number == 2 or raw.isatty())
    made.mode = "r" if number == 0 else "w"
    return made


def begin(request: Request, handles: list[int]) -> int:
    """Be the program that was asked for; its exit code."""
    how, words, folder, environment, mask, streams = request
    os.setsid()
    for number, handle in enumerate(handles):
        os.dup2(handle, number)
    for handle in handles:
        if handle > 2:
            os.close(handle)
    os.chdir(folder)
    os.umask(mask)
    os.environb.clear()
    os.environb.update(environment)
    time.tzset()
    sys.stdin, sys.stdout, sys.stderr = (_stream(number, tuple(streams[number])) for number in range(3))  # type: ignore[arg-type]
    sys.__stdin__, sys.__stdout__, sys.__stderr__ = sys.stdin, sys.stdout, sys.stderr  # type: ignore[misc]
    gc.set_threshold(700, 10, 10)
    for name in [name for name in sys.modules if name == "__main__"]:
        del sys.modules[name]
    if how == "module":
        sys.path.insert(0, folder)
    sys.argv = ["caskbook" if how in ("script", "module") else "-c", *words]
    try:
        if how in ("script", "module"):
            from caskbook.__main__ import main

            main()
        elif how == "child":
            from caskbook.index.child import main as answer

            answer()
        else:
            exec(how, {"__name__": "__main__"})
        return 0
    except SystemExit as ending:
        if ending.code is None or isinstance(ending.code, int):
            return ending.code or 0
        print(ending.code, file=sys.stderr)
        return 1
    except BaseException as error:
        sys.excepthook(type(error), error, error.__traceback__)
        if isinstance(error, KeyboardInterrupt):
            signal.signal(signal.SIGINT, signal.SIG_DFL)
            os.kill(os.getpid(), signal.SIGINT)
        return 1


def main() -> None:
    name, folder, python = sys.argv[1:]
    sys.executable = python  # what a run starts in its turn comes here too
    sys.path.insert(0, str(Path(__file__).parent))
    import bytecode

    del sys.path[0], sys.modules["bytecode"]
    bytecode.begin()
    try:
        load(Path(folder))
        bytecode.end()
    except BaseException:
        Path(name).touch()  # nobody need wait any longer
        raise
    gc.collect()
    gc.freeze()
    asked = Server(name).serve()
    if asked is None:
        return
    code = begin(*asked) & 0xFF
    try:
        threading._shutdown()  # type: ignore[attr-defined]
        atexit._run_exitfuncs()
        sys.stdout.flush()
        sys.stderr.flush()
    except OSError:
        sys.exit(code)  # what was not printed is told in Python's own way, at its end
    os._exit(code)  # the rest of an end takes longer than most runs


if __name__ == "__main__":
    main()
