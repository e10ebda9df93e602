"""An empty book with a register and its map beside it, and the command run in this process."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

from commands import caskbook

HOUSE = "timezone: UTC\ncrew: [{initials: ab}]\n"
PLAIN_MAP = """\
opening: 2026-01-31
dates: day-month-year
columns:
  "No": {is: cask, prefix: TH-, digits: 6}
  Type: type
  In it: contents
every_row: {verdict: accept}
"""


def house(folder: Path, text: str = HOUSE) -> Path:
    """A book without casks."""
    (folder / "records" / "casks").mkdir(parents=True)
    (folder / "records" / "house.yaml").write_text(text)
    return folder


def bring(folder: Path, register: str, chart: str, *words: str) -> subprocess.CompletedProcess[str]:
    """`import register` of these texts."""
    (folder / "old.csv").write_bytes(register.encode())
    (folder / "map.yaml").write_text(chart)
    return caskbook("import", "register", "old.csv", "--map", "map.yaml", *words, cwd=folder)


def answer(folder: Path, register: str, chart: str, *words: str) -> dict[str, Any]:
    """The same as JSON."""
    done = bring(folder, register, chart, "--format", "json", *words)
    assert done.stdout, done.stderr
    return json.loads(done.stdout)  # type: ignore[no-any-return]


def said(found: dict[str, Any]) -> list[tuple[int, str, str]]:
    """(row, column, code) of each refusal."""
    return [(one["row"], one["column"], one["code"]) for one in found["faults"]]


def cask_text(folder: Path, number: str) -> str:
    return (folder / "records" / "casks" / number[:-3] / f"{number}.yaml").read_text()


def facts(folder: Path, number: str, *words: str) -> dict[str, Any]:
    """What `show` knows of a cask."""
    return json.loads(caskbook("show", number, "--format", "json", *words, cwd=folder).stdout)  # type: ignore[no-any-return]


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted((folder / "records" / "casks").rglob("*.yaml"))}
