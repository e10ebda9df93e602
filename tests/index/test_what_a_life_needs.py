"""A kept life is worked out anew when another file it was worked out with, or the house, is no longer as it was."""

from __future__ import annotations

from pathlib import Path

import pytest

from index.book import cask_files, copied, make_demo, same

LOOK = ("due", "--all", "--format", "json")
LIST = ("list", "--format", "json")


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("needs") / "book", 8)


@pytest.mark.thorough
def test_a_change_in_a_joined_file_is_seen_in_the_one_that_goes_on(book: Path, tmp_path: Path) -> None:
    root = copied(book, tmp_path / "book")
    left = ("job: dispose", "job: convert", "job: break-up", "job: send", "job: missing")
    one, other = [file for file in cask_files(root) if not any(job in file.read_text(encoding="utf-8") for job in left)][:2]
    with one.open("a", encoding="utf-8") as file:
        file.write(f"  - id: zzzzzzz0\n    date: 2026-06-01\n    job: same-as\n    by: gp\n    of: {other.stem}\n    why: two numbers\n")
    same(root, *LOOK)
    assert "R-99" not in same(root, *LIST)[1]
    with other.open("a", encoding="utf-8") as file:
        file.write("  - id: zzzzzzz1\n    date: 2026-06-02\n    job: move\n    by: gp\n    berth: R-99\n")
    assert "R-99" in same(root, *LIST)[1]


def test_a_changed_setting_is_seen_at_once(book: Path, tmp_path: Path) -> None:
    root = copied(book, tmp_path / "book")
    before = same(root, *LOOK)
    house = root / "house.yaml"
    text = house.read_text(encoding="utf-8")
    house.write_text(text.replace("examine_valid_days: 30", "examine_valid_days: 5"), encoding="utf-8")
    assert house.read_text(encoding="utf-8") != text and same(root, *LOOK) != before
