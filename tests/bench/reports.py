"""Each report on a ledger with a warm index: seconds, and memory of the largest process and of all together."""

from __future__ import annotations

import os
import platform
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from timing import CASKBOOK, DAY, costs, peak_of, sqlite

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
        command = [*CASKBOOK, *plain, "--records", str(root), "--as-of", str(day)]
        runs = [costs(command) for _ in range(rounds + 1)][1:]
        found.append(Cost(name, [run[0] for run in runs], [run[1] for run in runs], max(run[2] for run in runs), peak_of(command)))
        print(report_line(found[-1]), flush=True)
    return found


def report_line(cost: Cost) -> str:
    clock, cpu = statistics.median(cost.clock), statistics.median(cost.cpu)
    return f"| {cost.name} | {cpu:.2f} s | {clock:.2f} s | {cost.largest:.0f} MB | {cost.together:.0f} MB | {'yes' if cost.reached else '**no**'} |"


def reports_table(found: list[Cost]) -> str:
    """The table for the developers' page."""
    return "\n".join([
        f"{platform.platform()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} at the end, Python {platform.python_version()}, SQLite {sqlite()}", "",
        f"| report | processor | clock | largest process | all together | ≤ {REACH_SECONDS:g} s of the processor, ≤ {REACH_MB:g} MB |",
        "|---|---|---|---|---|---|", *map(report_line, found), "",
    ])  # fmt: skip
