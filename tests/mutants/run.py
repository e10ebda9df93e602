"""Breaks one contract rule after another in a copy of the checkout, and tells which of these mutants no test notices.

    python tests/mutants/run.py [--only NAME] [--room life] [--jobs 2] [--seconds 120]

A mutant is killed when one of its tests fails or does not end in time. Exit 1 where under 90 % are killed, 2 where the list does
not fit the code or the tests fail without any mutant.
"""

from __future__ import annotations

import argparse
import itertools
import os
import queue
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))
from mutants.mutants import Mutant, fault_of, no_python, read_lists, rooms

CHECKOUT = Path(__file__).resolve().parents[2]
COPIED = ("caskbook", "tests", "records", "schemas", "lake", "pyproject.toml", "README.md", "DEVELOPERS.md")
ENOUGH = 0.9
SECONDS = 120.0
_FAILED = (1, 2)
"""Exit codes of pytest: a test failed, or a module could not even be loaded."""
_PLUGINS = ("xdist", "_hypothesis_pytestplugin", "mutants.no_shrinking")
"""What the tests need of pytest's plugins: to look for all that are installed takes half of a short run."""
_SECONDS_OF_CHANGE = itertools.count(2**30)
"""When a mutated file says it was changed: a second of its own each, for bytecode is known by length and second of its source alone."""


def copy_of(checkout: Path, folder: Path) -> Path:
    """A copy of what the tests need, without anything compiled."""
    copy = folder / "checkout"
    copy.mkdir(parents=True)
    leave = shutil.ignore_patterns("__pycache__", ".hypothesis", ".caskbook", ".pending")
    for name in COPIED:
        if (checkout / name).is_dir():
            shutil.copytree(checkout / name, copy / name, ignore=leave)
        elif (checkout / name).exists():
            shutil.copy2(checkout / name, copy / name)
    return copy


def tested(copy: Path, files: Sequence[str], seconds: float) -> tuple[str, str]:
    """("passed", "failed", "hung" or "error", the end of what pytest said) of these test files in a copy."""
    scratch = copy.parent / "tmp"
    scratch.mkdir(exist_ok=True)
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join((str(copy), str(copy / "tests"))), "PYTHONDONTWRITEBYTECODE": "1", "TMPDIR": str(scratch)}
    environment["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
    environment["CASKBOOK_TEST_BYTECODE"] = str(copy.parent / "bytecode")
    environment["CASKBOOK_TEST_STARTS"] = "1"  # To load the program beforehand takes longer than the few starts of most files, and two thirds of a short run.
    command = [
        sys.executable,
        "-B",
        "-m",
        "pytest",
        "-x",
        "-q",
        "-n",
        "0",
        "-m",
        "not slow",
        "-p",
        "no:cacheprovider",
        *(word for name in _PLUGINS for word in ("-p", name)),
        *(f"tests/{name}" for name in files),
    ]
    run = subprocess.Popen(command, cwd=copy, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True)
    try:
        said, _ = run.communicate(timeout=seconds)
    except subprocess.TimeoutExpired:
        os.killpg(run.pid, signal.SIGKILL)
        run.communicate()
        return "hung", f"not done after {seconds:g} s"
    finally:
        shutil.rmtree(scratch, ignore_errors=True)
        shutil.rmtree(copy / ".hypothesis", ignore_errors=True)
    word = "passed" if run.returncode == 0 else "failed" if run.returncode in _FAILED else "error"
    return word, said[-2000:]


def tried(mutant: Mutant, copy: Path, seconds: float) -> tuple[str, str]:
    """As `tested`, with the mutant in the copy while it lasts."""
    path = copy / "caskbook" / mutant.file
    text, was = path.read_text(encoding="utf-8"), path.stat()
    path.write_text(text.replace(mutant.old, mutant.new), encoding="utf-8")
    os.utime(path, (was.st_atime, next(_SECONDS_OF_CHANGE)))
    try:
        return tested(copy, mutant.tests, seconds)
    finally:
        path.write_text(text, encoding="utf-8")
        os.utime(path, ns=(was.st_atime_ns, was.st_mtime_ns))


def run_all(mutants: Sequence[Mutant], jobs: int, seconds: float) -> list[tuple[Mutant, str]]:
    """(mutant, how its tests ended), each told as soon as it is known."""
    found: dict[int, tuple[Mutant, str]] = {}
    told = threading.Lock()
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copies: queue.Queue[Path] = queue.Queue()
        for n in range(jobs):
            copies.put(copy_of(CHECKOUT, Path(folder) / str(n)))

        def one(n: int, mutant: Mutant) -> None:
            copy = copies.get()
            try:
                word, said = tried(mutant, copy, seconds)
            finally:
                copies.put(copy)
            with told:
                found[n] = (mutant, word)
                print(f"{'LIVES' if word == 'passed' else word:7} {mutant.room}: {mutant.name}", flush=True)
                if word == "error":
                    print(said, file=sys.stderr, flush=True)

        with ThreadPoolExecutor(jobs) as pool:
            list(pool.map(one, range(len(mutants)), mutants))
    return [found[n] for n in sorted(found)]


def sound(mutants: Sequence[Mutant], seconds: float) -> str | None:
    """Why the tests cannot tell anything: they fail without any mutant. None where they pass."""
    files = sorted({name for mutant in mutants for name in mutant.tests})
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        word, said = tested(copy_of(CHECKOUT, Path(folder)), files, seconds * 5)
    return None if word == "passed" else said


def chosen(mutants: Sequence[Mutant], only: str | None, room: str | None) -> list[Mutant]:
    """Those of a room, or whose name holds some words."""
    return [one for one in mutants if (room is None or one.room == room) and (only is None or only in one.name)]


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", help="words in the mutant's name")
    parser.add_argument("--room", help=f"the list it stands in: {', '.join(rooms())}")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=SECONDS, help="time limit for a mutant")
    given = parser.parse_args(arguments)
    mutants = chosen(read_lists(), given.only, given.room)
    faults = [f"{one.name}: {fault}" for one in mutants if (fault := fault_of(one, CHECKOUT) or no_python(one, CHECKOUT))]
    if faults or not mutants:
        print("\n".join(faults) or "no mutant of that name", file=sys.stderr)
        return 2
    unsound = sound(mutants, given.seconds)
    if unsound is not None:
        print(f"the tests fail without any mutant:\n{unsound}", file=sys.stderr)
        return 2
    ended = run_all(mutants, max(1, given.jobs), given.seconds)
    if any(word == "error" for _, word in ended):
        return 2
    alive = [mutant for mutant, word in ended if word == "passed"]
    killed = (len(ended) - len(alive)) / len(ended)
    for mutant in alive:
        print(f"survivor: {mutant.room}: {mutant.name} (caskbook/{mutant.file})")
    print(f"{len(ended) - len(alive)} of {len(ended)} mutants killed: {killed:.1%}")
    return 0 if killed >= ENOUGH else 1


if __name__ == "__main__":
    sys.exit(main())
