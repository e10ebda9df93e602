"""How long the commands take on ledgers of several sizes, as ratios to peers in the same run on the same machine.

Run: python tests/bench/run.py [CASKS …] [--folder DIR] [--write FILE]; the ledgers are made once in DIR and kept there. With --reports each report is
measured instead, the index being warm: seconds, and memory of the largest process and of all together; with --only WORDS (more than once) those alone of which
the name begins so, so that a large ledger is measured in pieces: the index is kept from one piece to the next. --prepare only makes ledger and index.
"""

from __future__ import annotations

import argparse
import os
import platform
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

DAY = date(2026, 6, 30)
SEED = 7
SAMPLE = 5000
PYYAML = """
import sys, yaml
for line in sys.stdin:
    with open(line.rstrip("\\n"), "rb") as file:
        yaml.load(file.read(), yaml.CSafeLoader)
"""
RUAMEL = """
import sys
from ruamel.yaml import YAML
yaml = YAML()
for line in sys.stdin:
    with open(line.rstrip("\\n"), "rb") as file:
        yaml.load(file)
"""
IMPORTS = "import typer, pydantic, ruamel.yaml"
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed program is compiled once, not at every start


@dataclass
class Timed:
    """Seconds of each run of one thing, and the most memory a process of it had, in MB."""

    seconds: list[float]
    megabytes: float = 0.0

    @property
    def middle(self) -> float:
        return statistics.median(self.seconds)


@dataclass
class Row:
    """One line of the table. `reach` is the ratio to be reached, None where there is none."""

    job: str
    ours: Timed
    peer: str
    theirs: float
    reach: float | None
    note: str = ""


@dataclass
class Bench:
    """One ledger under measurement."""

    root: Path
    casks: int
    rounds: int
    rows: list[Row] = field(default_factory=list)

    def run(
        self, *words: str, day: date | None = DAY, good: Sequence[int] = (0, 1), before: Callable[[], None] | None = None, rounds: int | None = None
    ) -> Timed:
        """The command, several times; `before` is done before each and not timed."""
        command = [sys.executable, "-P", "-m", "caskbook", *words, "--records", str(self.root), *(["--as-of", str(day)] if day else [])]
        return measured(command, rounds or self.rounds, good, before)


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


def ledger(folder: Path, casks: int, seed: int = SEED, *, keep_index: bool = False) -> Path:
    """A demo ledger in a repository of its own, made if it is not there; as it was made, but for an index that is to be kept."""
    root = folder / f"ledger-{casks}-{seed}"
    if not (root / ".git").exists():
        shutil.rmtree(root, ignore_errors=True)
        subprocess.run(
            [sys.executable, "-P", "-m", "caskbook", "demo", str(root), "--casks", str(casks), "--seed", str(seed)], check=True, stdout=subprocess.DEVNULL
        )
        for words in (["init", "-q"], ["add", "-A"], ["-c", "user.name=a", "-c", "user.email=a@example.org", "commit", "-q", "-m", "all"]):
            subprocess.run(["git", *words], cwd=root, check=True)
    subprocess.run(["git", "checkout", "-q", "--", "."], cwd=root, check=True)
    subprocess.run(["git", "clean", "-fdxq", *(["-e", ".caskbook"] if keep_index else [])], cwd=root, check=True)
    subprocess.run(["git", "update-index", "-q", "--refresh"], cwd=root, check=False)
    return root


def cold(root: Path) -> None:
    """Take the index away."""
    shutil.rmtree(root / ".caskbook", ignore_errors=True)


def measure(folder: Path, casks: int, rounds: int) -> Bench:
    """Everything about one size."""
    bench = Bench(ledger(folder, casks), casks, rounds)
    root = bench.root
    files = sorted((root / "casks").rglob("*.yaml"))
    status = measured(["git", "status", "--short"], rounds, cwd=root).middle
    imports = measured([sys.executable, "-c", IMPORTS], rounds).middle
    step = max(1, len(files) // SAMPLE)
    sample = "".join(f"{file}\n" for file in files[::step]).encode()
    loader = measured([sys.executable, "-c", PYYAML], 1, data=sample).middle * len(files) / len(files[::step])
    few = "".join(f"{file}\n" for file in files[:: max(1, len(files) // 200)]).encode()
    slow = measured([sys.executable, "-c", RUAMEL], 1, data=few).middle * len(files) / len(files[:: max(1, len(files) // 200)])
    grep = measured(["grep", "-r", "-c", "job: char", str(root / "casks")], 1, good=(0, 1)).middle

    # Beside a few thousand files git needs no time at all, and what is measured is the start of Python.
    large = casks >= 100_000

    def row(job: str, ours: Timed, peer: str, theirs: float, reach: float | None, note: str = "") -> None:
        bench.rows.append(Row(job, ours, peer, theirs, reach if large or peer != "git status" else None, note))
        print(line(bench.rows[-1]), flush=True)

    print(f"\n{casks} casks", flush=True)
    parsing = f"PyYAML C loader, parse only{'' if step == 1 else f' ({len(files[::step])} files, scaled)'}"
    row("cold check, everything", bench.run("check", before=lambda: cold(root), rounds=1), parsing, loader, 0.5)
    row("check, nothing changed", bench.run("check"), "git status", status, None)
    cold(root)
    row("due, no index yet", bench.run("due", rounds=1), parsing, loader, None)
    row("due, nothing changed", bench.run("due"), "git status", status, 4)
    row("list --state ready, nothing changed", bench.run("list", "--state", "ready"), "git status", status, 4)
    days = iter(range(1, 99))
    later = Timed([bench.run("due", day=DAY + timedelta(days=next(days)), rounds=1).middle for _ in range(rounds)])
    row("due, the next day, asked first", later, "git status", status, 6)
    past = DAY.replace(year=DAY.year - 5)
    row("due, five years back, asked first", bench.run("due", day=past, rounds=1), "git status", status, 6)
    row("due, five years back, asked again", bench.run("due", day=past), "git status", status, 6)
    row("list, five years back, asked again", bench.run("list", "--state", "ready", day=past), "git status", status, 6)
    bench.run("due", rounds=1)
    touched = files[len(files) // 2]
    row("due, one file changed", bench.run("due", before=lambda: note(touched)), "git status", status, 4)
    time.sleep(2.5)  # a file changed within two seconds is read again each time
    bench.run("due", rounds=1)
    row("show", bench.run("show", files[len(files) // 3].stem), "import typer, pydantic, ruamel.yaml", imports, 2.5)
    row("enter one note", entered(bench, files[len(files) // 4].stem), "import typer, pydantic, ruamel.yaml", imports, 2.5)
    row("a plain ruamel script, parse only (200 files, scaled)", Timed([slow]), parsing, loader, None, "peer")
    row("grep -r 'job: char'", Timed([grep]), "git status", status, None, "peer")
    cold(root)
    peak = peak_of([sys.executable, "-P", "-m", "caskbook", "check", "--records", str(root), "--as-of", str(DAY)])
    print(f"  cold check: {peak:.0f} MB at most, all processes together (reach 500)", flush=True)
    bench.rows.append(Row("memory of a cold check, MB, all processes", Timed([peak]), "MB", 500, 1))
    return bench


REACH_SECONDS, REACH_MB = 3.0, 300.0
JOIN_EVENTS = "SELECT c.type, count(*), sum(e.litres), count(f.n) FROM cask c JOIN event e USING (cask) JOIN fill f USING (cask) GROUP BY 1"
JOIN_DUE = "SELECT c.type, d.rule, d.verdict, count(*) FROM cask c JOIN due d USING (cask) GROUP BY 1, 2, 3"
REPORTS: dict[str, tuple[str, ...]] = {
    "due": ("due",), "due --explain": ("due", "--explain"), "list": ("list", "--state", "ready"), "report stock": ("report", "stock"),
    "report service": ("report", "service"), "report service char": ("report", "service", "char"), "report service cask": ("report", "service", "cask"),
    "report service stave": ("report", "service", "stave"), "report loss": ("report", "loss"), "report suppliers": ("report", "suppliers"),
    "report leaks": ("report", "leaks"), "report parts": ("report", "parts"), "report retirement": ("report", "retirement"),
    "report outlook": ("report", "outlook"), "plan": ("plan",), "ready": ("ready",), "days, a year": ("days", "2025-07-01..2026-06-30"),
    "query, cask joined with event and fill": ("query", JOIN_EVENTS), "query, cask joined with due": ("query", JOIN_DUE),
    "due, five years back, asked again": ("due", "--past"),
}  # fmt: skip


@dataclass
class Cost:
    """What a report costs: seconds by the clock and of the processor (all its processes) of each run, and MB of the largest process and of all at once."""

    name: str
    clock: list[float]
    cpu: list[float]
    largest: float
    together: float

    @property
    def reached(self) -> bool:
        return statistics.median(self.cpu) <= REACH_SECONDS and self.largest <= REACH_MB


def reports(root: Path, rounds: int, only: Sequence[str] = ()) -> list[Cost]:
    """Each report on a ledger with a warm index, or those of which the name begins as one of `only`; the first run, which may still put something into
    the index, is not counted."""
    found = []
    for name, words in REPORTS.items():
        if only and not name.startswith(tuple(only)):
            continue
        day = DAY.replace(year=DAY.year - 5) if "--past" in words else DAY
        plain = [word for word in words if word != "--past"]
        command = [sys.executable, "-P", "-m", "caskbook", *plain, "--records", str(root), "--as-of", str(day)]
        runs = [costs(command) for _ in range(rounds + 1)][1:]
        found.append(Cost(name, [run[0] for run in runs], [run[1] for run in runs], max(run[2] for run in runs), peak_of(command)))
        print(report_line(found[-1]), flush=True)
    return found


def costs(command: Sequence[str]) -> tuple[float, float, float]:
    """(seconds by the clock, of the processor, MB of the largest process) of one run."""
    start = time.perf_counter()
    with subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1):
        raise SystemExit(f"{' '.join(command)}: {process.returncode}")
    return time.perf_counter() - start, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def report_line(cost: Cost) -> str:
    clock, cpu = statistics.median(cost.clock), statistics.median(cost.cpu)
    return f"| {cost.name} | {cpu:.2f} s | {clock:.2f} s | {cost.largest:.0f} MB | {cost.together:.0f} MB | {'yes' if cost.reached else '**no**'} |"


def reports_table(found: list[Cost]) -> str:
    """The table for the developers' page."""
    return "\n".join([
        f"{platform.platform()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} at the end, Python {platform.python_version()}, SQLite {_sqlite()}", "",
        f"| report | processor | clock | largest process | all together | ≤ {REACH_SECONDS:g} s of the processor, ≤ {REACH_MB:g} MB |",
        "|---|---|---|---|---|---|", *map(report_line, found), "",
    ])  # fmt: skip


def note(file: Path) -> None:
    """Change one file, as a person would."""
    with file.open("a", encoding="utf-8") as out:
        out.write("# looked over\n")


def entered(bench: Bench, number: str) -> Timed:
    """Enter a note: one file is written."""
    command = [sys.executable, "-P", "-m", "caskbook", "enter", "note", number, "--by", "tb", "--note", "bench", "--records", str(bench.root)]
    return measured(command, bench.rounds)


def line(row: Row) -> str:
    ratio = row.ours.middle / row.theirs
    reach = "" if row.reach is None else f"{'reached' if ratio <= row.reach else 'MISSED'} (≤ {row.reach:g})"
    return f"  {row.job:52} {row.ours.middle:9.3f} s  {ratio:8.2f} × {row.peer} {row.theirs:.3f} s  {reach}"


def markdown(benches: list[Bench]) -> str:
    """The table for the developers' page."""
    out = [f"{platform.platform()}, {os.cpu_count()} cores, Python {platform.python_version()}, {_version('git')}, SQLite {_sqlite()}", ""]
    for bench in benches:
        out += [f"**{bench.casks:,} casks**", "", "| job | time | peer | ratio | reach |", "|---|---|---|---|---|"]
        for row in bench.rows:
            unit = "MB" if row.peer == "MB" else "s"
            ratio = row.ours.middle / row.theirs
            reach = "–" if row.reach is None else f"≤ {row.reach:g}: {'yes' if ratio <= row.reach else '**no**'}"
            out.append(f"| {row.job} | {row.ours.middle:.3f} {unit} | {row.peer} {row.theirs:.3f} {unit} | {ratio:.2f} | {reach} |")
        out.append("")
    return "\n".join(out + growth(benches))


def growth(benches: list[Bench]) -> list[str]:
    """Whether time a cask stays the same: between the larger two sizes against between the smaller two."""
    if len(benches) < 3:
        return []
    small, middle, large = sorted(benches, key=lambda bench: bench.casks)[-3:]
    times = [bench.rows[0].ours.middle for bench in (small, middle, large)]
    upper = (times[2] - times[1]) / (large.casks - middle.casks)
    lower = (times[1] - times[0]) / (middle.casks - small.casks)
    return [
        f"Growth of a cold check: {upper * 1e3:.3f} ms a cask above {middle.casks:,}, {lower * 1e3:.3f} ms below; {upper / lower - 1:+.0%} (reach within 15 %).",
        "",
    ]


def _version(program: str) -> str:
    return subprocess.run([program, "--version"], capture_output=True, text=True, check=True).stdout.strip()


def _sqlite() -> str:
    import sqlite3

    return sqlite3.sqlite_version


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("casks", nargs="*", type=int, default=[1000, 10_000, 110_000])
    parser.add_argument("--folder", type=Path, default=Path(tempfile.gettempdir()) / "caskbook-bench")
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--write", type=Path)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--reports", action="store_true", help="each report, warm, instead of the ratios")
    parser.add_argument("--only", action="append", default=[], metavar="WORDS", help="of the reports those alone whose name begins so")
    parser.add_argument("--prepare", action="store_true", help="make the ledgers and their indexes, and measure nothing")
    asked = parser.parse_args()
    asked.folder.mkdir(parents=True, exist_ok=True)
    if asked.reports or asked.prepare:
        for casks in asked.casks:
            root = ledger(asked.folder, casks, asked.seed, keep_index=True)
            if asked.prepare:
                costs([sys.executable, "-P", "-m", "caskbook", "due", "--records", str(root), "--as-of", str(DAY)])
                continue
            print(f"\n{casks} casks\n" + reports_table(reports(root, asked.rounds, asked.only)))
        return
    benches = []
    for casks in asked.casks:
        benches.append(measure(asked.folder, casks, asked.rounds))
        if asked.write:
            asked.write.write_text(markdown(benches), encoding="utf-8")
    print("\n" + markdown(benches))


if __name__ == "__main__":
    main()
