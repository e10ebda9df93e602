"""A file made of one that is there is byte for byte what all of its rows would make, wherever its row groups begin and end."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest

from caskbook.export import spliced, writers
from caskbook.export.columns import Field, Table

OF = Table("fill", "a table by cask", (Field("cask", "text", "number", nullable=False), Field("litres", "integer", "figure"), Field("store", "text", "word")))
CASKS = [f"TH-{number:06}" for number in range(20)]


def rows_of(cask: str, chance: random.Random) -> list[tuple[Any, ...]]:
    """None, a few, or so many that they go on over several row groups."""
    return [(cask, chance.randint(1, 9), chance.choice(("L1", "L2", None))) for _ in range(chance.choice((0, 1, 1, 2, 3, 16)))]


def all_of(by_cask: dict[str, list[tuple[Any, ...]]]) -> list[tuple[Any, ...]]:
    return [row for cask in sorted(by_cask) for row in by_cask[cask]]


@pytest.mark.parametrize("seed", range(40))
def test_rows_exchanged_group_by_group_are_those_of_a_file_written_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    monkeypatch.setattr(writers, "BATCH", 7)
    monkeypatch.setattr(spliced, "BATCH", 7)
    chance = random.Random(seed)
    before = {cask: rows_of(cask, chance) for cask in CASKS if chance.random() < 0.7}
    others = {cask: rows_of(cask, chance) for cask in CASKS if chance.random() < chance.choice((0.1, 0.5))}
    now = all_of(before | others)
    daily = {"litres": [row[1] for row in now]} if seed % 2 else {}
    writers.write_parquet(tmp_path / "before", OF, all_of(before))
    count = writers.write_parquet(tmp_path / "at once", OF, now)
    assert spliced.splice(tmp_path / "spliced", tmp_path / "before", OF, others, daily) == count == len(now)
    assert (tmp_path / "spliced").read_bytes() == (tmp_path / "at once").read_bytes()


def test_no_more_than_a_few_row_groups_are_held_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """However large the table is: what Arrow holds at most is told by its own count."""
    import pyarrow

    def most_held(groups: int) -> int:
        rows = [(f"TH-{number:06}", number, f"a long word {number:060}") for number in range(groups * writers.BATCH)]
        writers.write_parquet(tmp_path / "before", OF, rows)
        del rows
        pool = pyarrow.proxy_memory_pool(pyarrow.system_memory_pool())
        monkeypatch.setattr(pyarrow, "system_memory_pool", lambda: pool)
        spliced.splice(tmp_path / "spliced", tmp_path / "before", OF, {"TH-000003": [("TH-000003", 1, "another")]}, {})
        return int(pool.max_memory())

    monkeypatch.setattr(writers, "BATCH", 1000)
    monkeypatch.setattr(spliced, "BATCH", 1000)
    assert most_held(30) < 1.5 * most_held(6)
