"""A kept life is worked out anew when another file it was worked out with, or the house, is no longer as it was; and what is said of one cask by
what others lose is said anew when those do."""

from __future__ import annotations

from pathlib import Path

import pytest
from casks import ev
from loss.filled import NO_WOOD, START, emptied, filled, gauged

from caskbook.yaml.write import flow_text
from index.book import cask_files, copied, make_demo, put_cask, same

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


LEAKY, PEERS = 1, (2, 3, 4)


def put_peers(root: Path, litres: float) -> None:
    """Casks of which each held 200 L, and these four years later."""
    for number in PEERS:
        put_cask(root, number, *START, filled(), gauged("2019-01-01", litres, 63.2))


@pytest.fixture
def few(tmp_path: Path) -> Path:
    """A cask that lost over 8 % a year in two fills running, beside others that lose 2 %, in a house without a table of losses."""
    root = tmp_path / "few"
    root.mkdir()
    settings = {**NO_WOOD.raw, "temperate_stores": ["elsewhere"]}  # In a temperate one so much is too much whatever a few others lose.
    (root / "house.yaml").write_text("".join(f"{key}: {flow_text(value)}\n" for key, value in settings.items()), encoding="utf-8")
    fills = [(filled(f"{year}-03-01"), emptied(f"{year + 2}-01-01", 170, 63.5), ev(f"{year + 2}-02-01", "examine", verdict="sound")) for year in (2015, 2017)]
    put_cask(root, LEAKY, *START, *fills[0], *fills[1], made=1950)
    put_peers(root, 184.5)
    return root


def test_gauges_of_others_change_what_is_said_of_a_cask(few: Path) -> None:
    verdicts = []
    for litres in (184.5, 143.3, 184.5):  # 2 % a year, then 8 %
        put_peers(few, litres)
        verdicts.append("TH-001001" in same(few, "due", "loss")[1])
        same(few, *LOOK)
    assert verdicts == [True, False, True]


def test_losses_in_several_fills_running_speak_for_retiring_in_the_index_too(few: Path) -> None:
    sign = "lost too much in 2 fills running"
    assert sign in same(few, "due", "retire")[1]
    put_peers(few, 143.3)
    assert sign not in same(few, "due", "retire")[1]
    put_peers(few, 184.5)
    assert sign in same(few, "due", "retire")[1]
