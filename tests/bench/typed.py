"""What a person waits for while typing: `enter`, the first answer of `bench`, and completion, on ledgers of several sizes in turn. None may grow with the book.

Each ledger is asked `due` first, which makes its index where there is none of this program: of a large one that takes minutes. What is asked without an index is told
apart."""

from __future__ import annotations

import contextlib
import os
import statistics
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from commits import machine
from timing import CASKBOOK, costs

MOST_GROWTH, MOST_MORE = 1.15, 0.02
"""As quick: within 15 % of the smallest ledger, or 20 ms of it."""


@dataclass
class Ledger:
    """One ledger with a cask in its middle, and what each thing cost on it: (seconds by the clock, of the processor, MB) of each run."""

    root: Path
    casks: int
    cask: str
    runs: dict[str, list[tuple[float, float, float]]] = field(default_factory=dict)

    def middle(self, what: str, of: int) -> float:
        return statistics.median(run[of] for run in self.runs[what])


def ledger_in(root: Path) -> Ledger:
    """A ledger that is there."""
    names = [path.stem for path in sorted((root / "casks").rglob("*.yaml"))]
    return Ledger(root.resolve(), len(names), names[len(names) // 2])


def questions(ledger: Ledger) -> dict[str, tuple[list[str], str]]:
    """What is typed: the command, and the lines of its standard input. What writes is told to write nothing."""
    at, cask = ["--records", str(ledger.root)], ledger.cask
    words = ["completion", "words", "caskbook"]
    return {
        "enter a note, --dry-run": (["enter", "note", cask, "--by", "tb", "--note", "bench", "--dry-run", *at], ""),
        "enter by figures alone, --dry-run": (["enter", "note", cask.rpartition("-")[2], "--by", "tb", "--note", "bench", "--dry-run", *at], ""),
        "bench, begun and ended": (["bench", "--dry-run", *at], "end\n"),
        "bench, one line": (["bench", "--dry-run", *at], f"note {cask} bench --by tb\nend\n"),
        "complete a job": ([*words, *at, "enter", "te"], ""),
        "complete a folder of casks": ([*words, *at, "enter", "test", "T"], ""),
        "complete a cask": ([*words, *at, "enter", "test", cask[:-1]], ""),
        "complete the crew": ([*words, *at, "enter", "test", cask, "--by", ""], ""),
        "complete a berth": ([*words, *at, "enter", "move", cask, "--berth", "D1/1"], ""),
    }


UNINDEXED = "without an index, "


def unindexed(ledger: Ledger) -> dict[str, tuple[list[str], str]]:
    """The same of what is typed where this machine has no index that it believes, as in a fresh clone: there it grows with the book."""
    at = ["--records", str(ledger.root)]
    asked = {what: told for what, told in questions(ledger).items() if what.startswith(("enter a note", "bench, one line"))}
    asked["enter a move, --dry-run"] = (["enter", "move", ledger.cask, "--berth", "D1/1/1", "--by", "tb", "--yes", "--dry-run", *at], "")
    asked["show"] = (["show", ledger.cask, *at], "")
    return {f"{UNINDEXED}{what}": told for what, told in asked.items()}


@contextlib.contextmanager
def nothing_known() -> Iterator[None]:
    """In here the programs that are started have a state folder in which nothing stands yet."""
    before = os.environ.get("CASKBOOK_STATE")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["CASKBOOK_STATE"] = folder
        try:
            yield
        finally:
            del os.environ["CASKBOOK_STATE"]
            if before is not None:
                os.environ["CASKBOOK_STATE"] = before


def typed(folders: Sequence[Path], rounds: int) -> str:
    """The table: each ledger in turn, the first round not counted."""
    ledgers = sorted((ledger_in(folder) for folder in folders), key=lambda one: one.casks)
    for ledger in ledgers:  # An index of this very program: of another one's nothing is believed, and all files are read at each entry.
        costs([*CASKBOOK, "due", "--records", str(ledger.root)])
    for number in range(rounds + 1):
        for ledger in ledgers:
            for what, (command, lines) in {**questions(ledger), **unindexed(ledger)}.items():
                with nothing_known() if what.startswith(UNINDEXED) else contextlib.nullcontext():
                    cost = costs([*CASKBOOK, *command], lines.encode())
                if number:
                    ledger.runs.setdefault(what, []).append(cost)
    return "\n".join([machine(), "", *_table(ledgers), ""])


def _table(ledgers: Sequence[Ledger]) -> list[str]:
    rows = [f"| what, seconds of the processor (by the clock) | {' | '.join(f'{one.casks:,} casks' for one in ledgers)} | largest / smallest | as quick |"]
    rows.append("|---" * (len(ledgers) + 3) + "|")
    for what in ledgers[0].runs:
        cells = [f"{one.middle(what, 1):.3f} ({one.middle(what, 0):.3f})" for one in ledgers]
        small, large = ledgers[0].middle(what, 1), ledgers[-1].middle(what, 1)
        same = large <= small * MOST_GROWTH or large - small <= MOST_MORE
        rows.append(f"| {what} | {' | '.join(cells)} | {large / small:.2f} | {'yes' if same else '**no**'} |")
    return rows


if __name__ == "__main__":
    sys.exit("run.py --typed LEDGER LEDGER …")
