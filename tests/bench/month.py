"""A month of work on an invented ledger, in commits as a crew makes them, and two benches that worked on the same casks."""

from __future__ import annotations

import os
import random
import re
import subprocess
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from timing import DAY, SEED, ledger

from caskbook.model.ids import mint_id

CREW = ("tb", "ml", "rn", "sv")
DAYS = 25
BEFORE, AFTER = "month-before", "month-after"
_JOB = re.compile(r"^    job: ([a-z-]+)$", re.MULTILINE)
_LITRES = re.compile(r"^    litres: ([0-9.]+)$", re.MULTILINE)
_FILLED = {"fill": True, "empty": False, "rack-out": False, "receive": False, "season": False}
_GONE = {"dispose", "break-up", "retire", "send", "missing", "convert", "void", "moved", "same-as", "knock-down", "hold", "raise"}


def git(root: Path, *words: str, env: dict[str, str] | None = None) -> str:
    """What git says, as whoever the environment names."""
    who = {"GIT_AUTHOR_NAME": "a", "GIT_AUTHOR_EMAIL": "a@example.org", "GIT_COMMITTER_NAME": "a", "GIT_COMMITTER_EMAIL": "a@example.org"}
    done = subprocess.run(
        ["git", "-c", "gc.auto=0", "-c", "core.hooksPath=.git/none", *words],
        cwd=root,
        check=True,
        stdout=subprocess.PIPE,
        env={**os.environ, **who, **(env or {})},
    )
    return done.stdout.decode().strip()


def month(folder: Path, casks: int, changed: int, seed: int = SEED) -> Path:
    """A ledger in git with a month of work upon it, between the tags BEFORE and AFTER: on each of 25 days four of the crew commit what they
    entered, each on casks of their own, `changed` casks in all. Made once, and packed as git packs a repository that grows."""
    root = ledger(folder / "month", casks, seed)
    if AFTER in git(root, "tag").split():
        return root
    dice = random.Random(seed)
    files = [path for path in sorted((root / "casks").rglob("*.yaml")) if _workable(path.read_text(encoding="utf-8"))]
    if len(files) < changed:
        raise SystemExit(f"of {casks} casks {len(files)} stand in the house: fewer than {changed}")
    chosen = dice.sample(files, changed)
    git(root, "tag", BEFORE)
    runs = DAYS * len(CREW)
    for number in range(runs):
        day, by = DAY + timedelta(days=1 + number // len(CREW)), CREW[number % len(CREW)]
        mine = chosen[number * changed // runs : (number + 1) * changed // runs]
        if mine:
            commit_run(root, mine, day, by, dice)
    git(root, "tag", AFTER)
    subprocess.run(["git", "gc", "-q"], cwd=root, check=True)
    return root


def two_sides(folder: Path, casks: int, changed: int, seed: int = SEED) -> Path:
    """A ledger in git of which two branches, `ours` and `theirs`, each added an entry or two to the same casks."""
    root = ledger(folder / "sides", casks, seed)
    if "ours" in git(root, "branch", "--format=%(refname:short)").split():
        return root
    dice = random.Random(seed)
    files = [path for path in sorted((root / "casks").rglob("*.yaml")) if _workable(path.read_text(encoding="utf-8"))]
    chosen = dice.sample(files, changed)
    git(root, "branch", "-f", "common")
    for branch, crew in (("theirs", CREW[:2]), ("ours", CREW[2:])):
        git(root, "checkout", "-q", "-B", branch, "common")
        for day, by in enumerate(crew, 1):
            commit_run(root, chosen if day == 1 else chosen[::2], DAY + timedelta(days=day), by, dice)
    subprocess.run(["git", "gc", "-q"], cwd=root, check=True)
    return root


def commit_run(root: Path, files: Sequence[Path], day: date, by: str, dice: random.Random) -> None:
    """What one of the crew entered on a day, on these casks, as one commit."""
    for number, path in enumerate(files):
        text = path.read_text(encoding="utf-8")
        path.write_text(text + entry(text, day, by, dice, number), encoding="utf-8")
    when = f"{day.isoformat()}T17:{dice.randrange(60):02d}:00Z"
    who = {"GIT_AUTHOR_NAME": by, "GIT_AUTHOR_DATE": when, "GIT_COMMITTER_DATE": when}
    git(root, "commit", "-q", "-a", "-m", f"work of {day}, {by}", env=who)


def entry(text: str, day: date, by: str, dice: random.Random, number: int) -> str:
    """An entry behind all of a file: of a full cask a gauge, a sample or a note, of another one a note or an examination."""
    minute = datetime(day.year, day.month, day.day, 8, tzinfo=UTC) + timedelta(minutes=number)
    lines = [f"  - id: {mint_id(minute, day_ids=(), random_bits=dice.getrandbits)}", f"    date: {day}"]
    kind = dice.random()
    if not _is_full(text):
        lines += ["    job: examine", f"    by: {by}", "    verdict: sound"] if kind < 0.5 else _note(by)
    elif kind < 0.5:
        litres = float(_LITRES.findall(text)[-1]) - 0.4
        lines += [
            "    job: regauge",
            f"    by: {by}",
            f"    litres: {litres:.1f}",
            "    abv: 61.5",
            "    temp_c: 14",
            "    method: dip",
            f"    sheet: gauge-{day}-{by}",
        ]
    else:
        lines += ["    job: sample", f"    by: {by}", "    ml: 100"] if kind < 0.8 else _note(by)
    return "".join(f"{line}\n" for line in lines)


def _note(by: str) -> list[str]:
    return ["    job: note", f"    by: {by}", "    note: rolled to see the bilge, nothing to report"]


def _workable(text: str) -> bool:
    return text.endswith("\n") and not _GONE & set(_JOB.findall(text)) and "    job: receive\n" in text


def _is_full(text: str) -> bool:
    return next((_FILLED[job] for job in reversed(_JOB.findall(text)) if job in _FILLED), False)
