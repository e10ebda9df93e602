"""The recipes of DEVELOPERS.md, taken out of its text and laid on a copy of the program."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TITLES = ("A job", "A finding", "A due rule", "A column", "A report")
_STEP = re.compile(r"`([\w/]+\.py)`(?:, (new))?:\n\n```(diff|python)\n(.*?)```", re.S)


def steps(title: str) -> list[tuple[str, bool, str, str]]:
    """(file, whether it is new, diff or python, text) of each step of the recipe under that title."""
    recipe = re.search(rf"^### {title}\n(.*?)(?=^##)", TEXT, re.S | re.M)
    assert recipe is not None, title
    found = [(path, bool(new), kind, text) for path, new, kind, text in _STEP.findall(recipe[1])]
    assert len(found) == recipe[1].count("```") // 2, "each block stands below a line that ends in the name of its file"
    return found


def apply(diff: str, file: Path) -> None:
    """Put each hunk in the place of what it takes away and leaves: that must stand in the file once, whatever its line."""
    text = file.read_text(encoding="utf-8")
    for old, new in hunks(diff):
        assert text.count(old) == 1, f"{file.name} has this {text.count(old)} times:\n{old}"
        text = text.replace(old, new)
    file.write_text(text, encoding="utf-8")


def hunks(diff: str) -> list[tuple[str, str]]:
    """(what stands in the file, what stands there afterwards) of each hunk."""
    found = [hunk.splitlines() for hunk in re.split(r"^@@\n", diff, flags=re.M)]
    assert all(found)
    return [("\n".join(line[1:] for line in lines if line[:1] != "+"), "\n".join(line[1:] for line in lines if line[:1] != "-")) for lines in found]
