"""How long a command takes and what memory it holds, and the invented ledgers that commands are timed on."""

from __future__ import annotations

import os
import resource
import shutil
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

DAY = date(2026, 6, 30)
SEED = 7
CASKBOOK = (sys.executable, "-P", "-m", "caskbook")
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed program is compiled once, not at every start


@dataclass
class Timed:
    """Seconds of each run of one thing, and the most memory a process of it had, in MB."""

    seconds: list[float]
    megabytes: float = 0.0

    @property
    def middle(self) -> float:
        return statistics.median(self.seconds)


def measured(
    command: Sequence[str],
    rounds: int,
    good: Sequence[int] = (0,),
    before: Callable[[], None] | None = None,
    data: bytes | None = None,
    cwd: Path | None = None,
) -> Timed:
    """Wall-clock seconds of whole processes; the most memory of one of them (the largest child of a child counts as one)."""
    times, peak = [], 0.0
    for _ in range(rounds):
        if before is not None:
            before()
        start = time.perf_counter()
        done = subprocess.run(
            ["/usr/bin/env", *command], input=data, stdin=None if data is not None else subprocess.DEVNULL, capture_output=True, check=False, cwd=cwd
        )
        times.append(time.perf_counter() - start)
        if done.returncode not in good:
            raise SystemExit(f"{' '.join(command)}: {done.returncode} {done.stderr.decode()[-500:]}")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    return Timed(times, peak)


def peak_of(command: Sequence[str]) -> float:
    """The most memory, in MB, that the processes of a command held together, looked at twenty times a second."""
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True)
    most = 0.0
    while process.poll() is None:
        most = max(most, _session_megabytes(process.pid))
        time.sleep(0.05)
    return most


def _session_megabytes(session: int) -> float:
    total = 0.0
    for one in Path("/proc").iterdir():
        if one.name.isdigit():
            try:
                if os.getsid(int(one.name)) == session:
                    lines = (one / "smaps_rollup").read_text().splitlines()
                    total += sum(int(line.split()[1]) for line in lines if line.startswith("Pss:")) / 1024
            except OSError:
                continue
    return total


def costs(command: Sequence[str], data: bytes = b"") -> tuple[float, float, float]:
    """(seconds by the clock, of the processor, MB of the largest process) of one run, with this on its standard input."""
    start = time.perf_counter()
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        assert process.stdin is not None
        process.stdin.write(data)
        process.stdin.close()
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1):
        raise SystemExit(f"{' '.join(command)}: {process.returncode}")
    return time.perf_counter() - start, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def ledger(folder: Path, casks: int, seed: int = SEED, *, keep_index: bool = False) -> Path:
    """A demo ledger in a repository of its own, made if it is not there; as it was made, but for an index that is to be kept."""
    root = folder / f"ledger-{casks}-{seed}"
    if not (root / ".git").exists():
        shutil.rmtree(root, ignore_errors=True)
        subprocess.run(
            [sys.executable, "-P", "-m", "caskbook", "demo", str(root), "--casks", str(casks), "--seed", str(seed)], check=True, stdout=subprocess.DEVNULL
        )
        for words in (["init", "-q"], ["add", "-A"], ["-c", "gc.auto=0", "-c", "user.name=a", "-c", "user.email=a@example.org", "commit", "-q", "-m", "all"]):
            subprocess.run(["git", *words], cwd=root, check=True)
    subprocess.run(["git", "checkout", "-q", "--", "."], cwd=root, check=True)
    subprocess.run(["git", "clean", "-fdxq", *(["-e", ".caskbook"] if keep_index else [])], cwd=root, check=True)
    subprocess.run(["git", "update-index", "-q", "--refresh"], cwd=root, check=False)
    return root


def version(program: str) -> str:
    return subprocess.run([program, "--version"], capture_output=True, text=True, check=True).stdout.strip()


def sqlite() -> str:
    import sqlite3

    return sqlite3.sqlite_version
