"""How long the commands take on ledgers of several sizes, as ratios to peers in the same run on the same machine.

Run: python tests/bench/run.py [CASKS …] [--folder DIR] [--write FILE]; the ledgers are made once in DIR and kept there. With --reports each report is
measured instead, the index being warm: seconds, and memory of the largest process and of all together; with --only WORDS (more than once) those alone of which
the name begins so, so that a large ledger is measured in pieces: the index is kept from one piece to the next. --prepare only makes ledger and index.

With --review a month of work that changed --files casks (5,000) is reviewed beside `git diff --stat`, with --merge as many (200) that both sides changed are
merged beside a driver that does nothing: run.py 20000 --review. With --typed LEDGER LEDGER … what a person waits for while typing is measured on ledgers that are there, of any size: nothing is
written into them but their index, which takes the place of one that another version of the program made.
"""

from __future__ import annotations

import argparse
import os
import platform
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

from commits import merge_sides, review_month
from reports import reports, reports_table
from timing import CASKBOOK, DAY, SEED, Timed, costs, ledger, measured, peak_of, sqlite, version
from typed import typed

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
        command = [*CASKBOOK, *words, "--records", str(self.root), *(["--as-of", str(day)] if day else [])]
        return measured(command, rounds or self.rounds, good, before)


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
    peak = peak_of([*CASKBOOK, "check", "--records", str(root), "--as-of", str(DAY)])
    print(f"  cold check: {peak:.0f} MB at most, all processes together (reach 500)", flush=True)
    bench.rows.append(Row("memory of a cold check, MB, all processes", Timed([peak]), "MB", 500, 1))
    return bench


def note(file: Path) -> None:
    """Change one file, as a person would."""
    with file.open("a", encoding="utf-8") as out:
        out.write("# looked over\n")


def entered(bench: Bench, number: str) -> Timed:
    """Enter a note: one file is written."""
    command = [*CASKBOOK, "enter", "note", number, "--by", "tb", "--note", "bench", "--records", str(bench.root)]
    return measured(command, bench.rounds)


def line(row: Row) -> str:
    ratio = row.ours.middle / row.theirs
    reach = "" if row.reach is None else f"{'reached' if ratio <= row.reach else 'MISSED'} (≤ {row.reach:g})"
    return f"  {row.job:52} {row.ours.middle:9.3f} s  {ratio:8.2f} × {row.peer} {row.theirs:.3f} s  {reach}"


def markdown(benches: list[Bench]) -> str:
    """The table for the developers' page."""
    out = [f"{platform.platform()}, {os.cpu_count()} cores, Python {platform.python_version()}, {version('git')}, SQLite {sqlite()}", ""]
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
    parser.add_argument("--review", action="store_true", help="a month of work, reviewed, beside git diff --stat")
    parser.add_argument("--merge", action="store_true", help="casks that both sides changed, merged, beside a driver that does nothing")
    parser.add_argument("--files", type=int, help="how many casks the month changed (5000), or both sides (200)")
    parser.add_argument("--typed", type=Path, nargs="+", metavar="LEDGER", help="enter, bench and completion on these ledgers, which are left as they are")
    asked = parser.parse_args()
    if asked.typed:
        print(typed(asked.typed, asked.rounds))
        return
    asked.folder.mkdir(parents=True, exist_ok=True)
    if asked.review or asked.merge:
        for casks in asked.casks:
            if asked.review:
                print(review_month(asked.folder, casks, asked.files or 5000, asked.rounds), flush=True)
            if asked.merge:
                print(merge_sides(asked.folder, casks, asked.files or 200, asked.rounds), flush=True)
        return
    if asked.reports or asked.prepare:
        for casks in asked.casks:
            root = ledger(asked.folder, casks, asked.seed, keep_index=True)
            if asked.prepare:
                costs([*CASKBOOK, "due", "--records", str(root), "--as-of", str(DAY)])
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
