"""What stands in the place of Python where tests start the program: hands the run to a process that has it loaded (`warm_server.py`).

It is the process that the caller sees: streams, folder, environment, exit code and signals are those of the run. Whatever it does not
know for certain, the real Python does: `python` for anything but `-m caskbook`, the process that answers a query and the code of our hooks, streams that are closed,
variables that change how Python starts. Written into a file of its own for each run of the tests, with REAL and SOCKET in front.
"""

# ruff: noqa: PTH118, PTH119, PTH120, PTH109, SIM105, I001
# Loading pathlib or contextlib would take longer than all of this.
import marshal
import os
import sys

import _signal
import _socket

REAL = SOCKET = OWN_VARIABLES = ""  # this line is written anew
_FORWARDED = (_signal.SIGINT, _signal.SIGTERM, _signal.SIGHUP, _signal.SIGQUIT, _signal.SIGUSR1, _signal.SIGUSR2)


def meant(words):
    """(how the program is started, its words), or None for what the real Python does."""
    if os.path.basename(sys.argv[0]) == "caskbook":
        return "script", words
    if words[:2] == ["-m", "caskbook"]:
        return "module", words[2:]
    if words == ["-P", "-m", "caskbook.index.child"]:
        return "child", []
    if words[:2] == ["-P", "-c"] and len(words) > 2 and 'find_spec("caskbook")' in words[2]:
        return words[2], words[3:]
    return None


def usual():
    """Whether streams, signals and environment are such that a loaded process is no other than a started one."""
    if None in (sys.stdin, sys.stdout, sys.stderr) or sys.getfilesystemencoding() != "utf-8":
        return False
    if any(_signal.getsignal(number) is _signal.SIG_IGN for number in _FORWARDED):
        return False
    return "\0".join(f"{key}={value}" for key, value in sorted(os.environ.items()) if key.startswith("PYTHON")) == OWN_VARIABLES


def instead(words):
    real = REAL if os.path.basename(sys.argv[0]) != "caskbook" else os.path.join(os.path.dirname(REAL), "caskbook")
    os.execv(real, [real, *words])


def ask(connection, how, words, folder):
    mask = os.umask(0)
    os.umask(mask)
    streams = [(one.encoding, one.errors) for one in (sys.stdin, sys.stdout, sys.stderr)]
    data = marshal.dumps((how, words, folder, dict(os.environb), mask, streams))
    handles = b"".join(number.to_bytes(4, sys.byteorder) for number in range(3))
    connection.sendmsg([len(data).to_bytes(4, "big")], [(_socket.SOL_SOCKET, _socket.SCM_RIGHTS, handles)])
    sent = 0
    while sent < len(data):
        sent += connection.send(data[sent:])


def passed_on(child, number):
    try:
        os.kill(child, number)
    except ProcessLookupError:
        pass


def main():
    words = sys.argv[1:]
    found = meant(words)
    if found is None or not usual():
        instead(words)
    connection = _socket.socket(_socket.AF_UNIX, _socket.SOCK_STREAM)
    try:
        folder = os.getcwd()
        connection.connect(SOCKET)
    except OSError:
        instead(words)
    _signal.pthread_sigmask(_signal.SIG_BLOCK, _FORWARDED)  # until it is known to whom they go
    ask(connection, *found, folder)
    child = int.from_bytes(connection.recv(4, _socket.MSG_WAITALL), "big")
    for number in _FORWARDED:
        _signal.signal(number, lambda number, _frame: passed_on(child, number))
    _signal.pthread_sigmask(_signal.SIG_UNBLOCK, _FORWARDED)
    told = connection.recv(2, _socket.MSG_WAITALL)
    if len(told) < 2:
        os._exit(99)  # the server is gone: no exit code of the program
    if told[0]:
        _signal.signal(told[1], _signal.SIG_DFL)
        os.kill(os.getpid(), told[1])
    os._exit(told[1])


main()
