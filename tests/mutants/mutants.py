"""The list of mutants: contract rules broken on purpose, one at a time, in the lists beside this file (one TOML file a room)."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

HERE = Path(__file__).resolve().parent


@dataclass(frozen=True)
class Mutant:
    """One rule broken. `name` says the rule in words; `file` lies in caskbook/, `tests` in tests/; `old` occurs once in the file."""

    room: str
    name: str
    file: str
    old: str
    new: str
    tests: tuple[str, ...]


def rooms(folder: Path = HERE) -> list[str]:
    """The rooms that have a list, in order of name."""
    return sorted(path.stem for path in folder.glob("*.toml"))


def read_lists(folder: Path = HERE) -> list[Mutant]:
    """Every mutant of every list, room by room in order of name."""
    found: list[Mutant] = []
    for path in (folder / f"{room}.toml" for room in rooms(folder)):
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        groups = data["tests"]
        for row in data["mutant"]:
            assert row["tests"] in groups, f"{path.name}: {row['name']}: `tests` is one of the names under [tests] at its head: {', '.join(groups)}"
            tests = tuple(groups[row["tests"]])
            found.append(Mutant(path.stem, row["name"], row["file"], row["old"], row["new"], tests))
    return found


@cache
def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def no_python(mutant: Mutant, checkout: Path) -> str | None:
    """Why the mutated file could not even be loaded; None where it can."""
    try:
        compile(_text(checkout / "caskbook" / mutant.file).replace(mutant.old, mutant.new), mutant.file, "exec")
    except SyntaxError as error:
        return f"its new text is no Python: {error.msg}"
    return None


def fault_of(mutant: Mutant, checkout: Path) -> str | None:
    """Why a mutant does not fit the code of a checkout; None where it does."""
    path = checkout / "caskbook" / mutant.file
    if not path.is_file():
        return f"there is no caskbook/{mutant.file}"
    count = _text(path).count(mutant.old)
    if count != 1:
        return f"its old text occurs {count} times in caskbook/{mutant.file}, not once"
    if mutant.old == mutant.new:
        return "its new text is the old one"
    lacking = [name for name in mutant.tests if not (checkout / "tests" / name).is_file()]
    return f"there is no tests/{lacking[0]}" if lacking else None
