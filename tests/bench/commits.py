"""What many files at once cost beside git: `review` of a month against `git diff --stat`, and a merge of casks that both sides changed against
one whose driver does nothing."""

from __future__ import annotations

import os
import platform
import statistics
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from month import AFTER, BEFORE, DAYS, git, month, two_sides
from timing import CASKBOOK, DAY, costs, version

REVIEW_REACH, MERGE_REACH = 5.0, 3.0
END = DAY.replace(month=DAY.month + 1)
ATTRIBUTES = "casks/**/*.yaml merge={name}\n"


@dataclass
class Beside:
    """One command with what is timed beside it: seconds by the clock and of the processor, MB of the largest process, of each run."""

    name: str
    runs: list[tuple[float, float, float]] = field(default_factory=list)

    @property
    def clock(self) -> float:
        return statistics.median(run[0] for run in self.runs)

    @property
    def cpu(self) -> float:
        return statistics.median(run[1] for run in self.runs)

    def line(self, peer: Beside, reach: float | None = None) -> str:
        """A row of the table."""
        ratio = self.clock / peer.clock
        said = "–" if reach is None else f"≤ {reach:g}: {'yes' if ratio <= reach else '**no**'}"
        megabytes = max(run[2] for run in self.runs)
        return f"| {self.name} | {self.clock:.3f} s | {self.cpu:.3f} s | {megabytes:.0f} MB | {ratio:.2f} | {self.cpu / peer.cpu:.2f} | {said} |"


HEAD = "| what | clock | processor | largest process | ratio, clock | ratio, processor | reach |\n|---|---|---|---|---|---|---|"


def machine() -> str:
    """On what it was measured, and beside how much other work."""
    return f"{platform.platform()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, Python {platform.python_version()}, {version('git')}"


def in_turn(commands: Sequence[tuple[Beside, Callable[[], tuple[float, float, float]]]], rounds: int) -> None:
    """Each once uncounted, then all in turn, so that what else the machine does meets all of them alike."""
    for number in range(rounds + 1):
        for beside, run in commands:
            cost = run()
            if number:
                beside.runs.append(cost)


def review_month(folder: Path, casks: int, changed: int, rounds: int) -> str:
    """The table of `review`, and of `check --since`, on a month of `changed` files."""
    root = month(folder, casks, changed)
    span = f"{BEFORE}..{AFTER}"
    days = ["--records", str(root), "--as-of", str(END)]
    stat, found, since = Beside("git diff --stat"), Beside("review"), Beside("check --since")
    in_turn(
        [
            (stat, lambda: costs(["git", "-C", str(root), "diff", "--stat", span])),
            (found, lambda: costs([*CASKBOOK, "review", span, *days])),
            (since, lambda: costs([*CASKBOOK, "check", "--since", BEFORE, "--at", AFTER, *days])),
        ],
        rounds,
    )
    about = f"{casks:,} casks, {changed:,} files changed in {git(root, 'rev-list', '--count', span)} commits of {DAYS} days; {machine()}"
    return "\n".join([about, "", HEAD, stat.line(stat), found.line(stat, REVIEW_REACH), since.line(stat), ""])


def merge_sides(folder: Path, casks: int, changed: int, rounds: int) -> str:
    """The table of a merge of `changed` casks to which both sides added, hooks apart; with the driver each file is as `caskbook` merges it."""
    root = two_sides(folder, casks, changed)
    subprocess.run([*CASKBOOK, "git", "install", "--records", str(root)], check=True, capture_output=True, env={**os.environ, "LC_ALL": "C"})
    git(root, "checkout", "-q", "--", ".gitattributes") if git(root, "ls-files", ".gitattributes") else (root / ".gitattributes").unlink(missing_ok=True)
    git(root, "config", "merge.idle.driver", "true")
    found = {
        name: Beside(said)
        for name, said in (("idle", "a driver that does nothing"), ("caskbook", "the driver of caskbook"), ("union", "git's own union, no driver"))
    }

    def run(name: str) -> tuple[float, float, float]:
        git(root, "checkout", "-q", "-f", "-B", "merged", "ours")
        (root / ".git" / "info" / "attributes").write_text(ATTRIBUTES.format(name=name), encoding="utf-8")
        cost = costs(["git", "-C", str(root), "-c", "core.hooksPath=.git/none", "-c", "gc.auto=0", "merge", "-q", "--no-edit", "theirs"])
        if name == "caskbook":
            _whole(root, changed)
        return cost

    try:
        in_turn([(beside, lambda name=name: run(name)) for name, beside in found.items()], rounds)
    finally:
        (root / ".git" / "info" / "attributes").unlink(missing_ok=True)
    idle = found["idle"]
    about = f"{casks:,} casks, {changed:,} of them changed on both sides; {machine()}"
    return "\n".join([about, "", HEAD, idle.line(idle), found["caskbook"].line(idle, MERGE_REACH), found["union"].line(idle), ""])


def _whole(root: Path, changed: int) -> None:
    """That the merge lost nothing: it is committed, and its files hold each line that either side has."""
    if git(root, "status", "--porcelain", "--untracked-files=no"):
        raise SystemExit("the merge was not committed")
    names = git(root, "diff", "--name-only", "common", "ours").split()
    if len(names) != changed:
        raise SystemExit(f"{len(names)} files of {changed}")
    for name in names:
        lines = set((root / name).read_text(encoding="utf-8").splitlines())
        for side in ("ours", "theirs"):
            if not set(git(root, "show", f"{side}:{name}").splitlines()) <= lines:
                raise SystemExit(f"{name}: a line of {side} is lost")


if __name__ == "__main__":
    sys.exit("run.py --review or --merge")
