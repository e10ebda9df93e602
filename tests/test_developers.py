"""DEVELOPERS.md speaks of what is there: every file and module it names, every room once, and the words in one line each."""

from __future__ import annotations

import re
from pathlib import Path

from test_architecture import FLOORS

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "caskbook"
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
ROOMS = {name.removeprefix("caskbook.") for name in FLOORS if "." in name and "__" not in name}


def section(title: str) -> str:
    found = re.search(rf"^## {re.escape(title)}\n(.*?)(?=^## |\Z)", TEXT, re.S | re.M)
    assert found is not None, title
    return found[1]


def mentioned(text: str) -> set[str]:
    """What is named as a file, or as a module of a room; left out is what a recipe makes anew."""
    prose = re.sub(r"^```.*?^```$", "", text, flags=re.S | re.M)
    words = set(re.findall(r"`([\w./-]+)`(?!, new:)", prose))
    return {word for word in words if word.endswith((".py", ".md", ".toml")) or word.split("/")[0] in ROOMS | {"tests", ".ci"} and "/" in word}


def exists(word: str) -> bool:
    """Whether a path is there, from the top or from the package; a bare name of a module, anywhere in the package."""
    if "/" not in word and word.endswith(".py"):
        return any(PACKAGE.rglob(word))
    return any((base / word).exists() or (base / f"{word}.py").exists() for base in (ROOT, PACKAGE))


def test_every_file_and_module_named_is_there() -> None:
    words = mentioned(TEXT) | mentioned((ROOT / "README.md").read_text(encoding="utf-8"))
    assert len(words) > 80
    placeholders = {word for word in words if re.search(r"/[A-Z]+(/|\.toml)", word)}
    assert {word for word in words - placeholders if not exists(word)} == set()


def test_every_file_named_in_a_docstring_or_comment_is_there() -> None:
    """In the code: a module named with its room, or with `.py`, is one that exists."""
    lost = {}
    for file in sorted([*PACKAGE.rglob("*.py"), *(ROOT / "tests").rglob("*.py")]):
        for word in re.findall(r"`((?:[\w-]+/)*[\w-]+\.py)`", file.read_text(encoding="utf-8")):
            if not exists(word) and not (file.parent / word).exists() and "recipes" not in file.parts:
                lost[str(file.relative_to(ROOT))] = word
    assert lost == {}


def test_every_room_has_its_row_in_the_order_of_the_floors() -> None:
    rows = re.findall(r"^\| `(\w+)` \| (.+) \| (.+) \|$", section("The rooms"), re.M)
    order = sorted(ROOMS, key=lambda name: FLOORS[f"caskbook.{name}"])
    assert [name for name, _, _ in rows] == order
    for name, _, begin in rows:
        modules = re.findall(r"`(\S+)`", begin)
        assert len(modules) == 2 and all(module.startswith(f"{name}/") for module in modules), name


def test_twenty_words_and_ten_steps_in_a_line_each() -> None:
    words = section("The words").strip().splitlines()
    assert len(words) == 20 and all(re.match(r"- \*\*[a-z ]+\*\*: \S.*\.$", line) for line in words)
    steps = [line for line in section("How data flows").splitlines() if re.match(r"\d+\. ", line)]
    assert [line.split(".")[0] for line in steps] == [str(n) for n in range(1, 11)]
