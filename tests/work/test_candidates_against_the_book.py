"""`report retirement` held against the book itself: each cask judged from its own files, with the index and without, on several days of a warm one."""

from __future__ import annotations

import json
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from index.book import make_demo, without_index

from caskbook.due import judge, rule_named
from caskbook.due.case import case_of
from caskbook.due.retire import signs_of
from caskbook.ledger.files import open_folder
from caskbook.life.facts import facts_of
from caskbook.loss import PeerTable, figures_of, losses_of
from caskbook.work.candidates import GROUPS

pytestmark = pytest.mark.thorough

DAYS = ("2026-06-30", "2024-03-01", "2026-01-15")
LOW = {"points": 2, "age_years": 8, "life_fills": 2, "replaced_share": 0.03, "fails_in_visit": 1, "worn_visits": 2, "spent_over": 0, "worn_margin_mm": 9}


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A house that sees signs soon, so that there are casks in every group; some are kept by a decision."""
    root = make_demo(tmp_path_factory.mktemp("candidates") / "book", 250, 8)
    house = root / "house.yaml"
    rule = f"due:\n  retire: {json.dumps(LOW)}\n  rechar:\n    most_rechars: 0\n"
    house.write_text(house.read_text(encoding="utf-8").replace("due:\n  rechar:\n", rule, 1), encoding="utf-8")
    proposed = [one["cask"] for one in report(root, DAYS[0])["casks"] if one["group"] == "at emptying"]
    words = ("--rule", "retire", "--outcome", "keep", "--until", "2031-01-01", "--why", "seen", "--approved-by", "K. Dunmore", "--date", DAYS[0])
    done = caskbook("enter", "decide", *proposed[:3], *words, "--by", "tb", "--yes", "--records", str(root))
    assert done.returncode == 0, done.stderr
    return root


def report(root: Path, day: str) -> dict[str, Any]:
    found = caskbook("report", "retirement", "--format", "json", "--as-of", day, "--records", str(root))
    assert found.returncode == 0, found.stderr
    read: dict[str, Any] = json.loads(found.stdout)
    return read


def by_the_files(root: Path, day: date) -> tuple[int, dict[str, tuple[Any, ...]]]:
    """(how many casks are judged, cask → its group, signs, hard ones, what is not known), by the signs themselves and not by what a verdict's reasons say."""
    ledger = open_folder(root, root)
    joined = ledger.joins()
    casks = [record.own for record in map(ledger.read_file, ledger.names()) if record.own is not None and record.own.id not in joined]
    lives = [life for life in (ledger.life_of(cask, day) for cask in casks) if life.begun]
    peers = PeerTable(figure for life in lives for figure in figures_of(life))
    rule, judged, found = rule_named("retire"), 0, dict[str, tuple[Any, ...]]()
    assert rule is not None
    for life in lives:
        running = losses_of(life, peers).running()
        for verdict in judge(life, facts_of(life), (rule,), excess_losses=running):
            judged += 1
            case = case_of(life, facts_of(life), running)
            signs, needed = signs_of(case), case.rules.retire.points
            enough = bool(signs.hard) or len(signs.points) >= needed
            unsure = not enough and bool(signs.points) and len(signs.points) + len(signs.unknown) >= needed
            if "retired" in life.state.marks or not signs.words():
                continue
            full = "at emptying" if life.state.filled else "proposed"
            group = "kept" if verdict.decided else full if enough else "cannot be told" if unsure else "watched"
            found[life.cask.id] = (group, signs.words(), len(signs.hard), tuple(signs.unknown) if unsure else ())
    return judged, found


def test_every_group_is_what_the_files_say_on_each_day(demo: Path) -> None:
    seen = Counter[str]()
    for day in DAYS:
        judged, expected = by_the_files(demo, date.fromisoformat(day))
        warm = report(demo, day)
        told = {one["cask"]: (one["group"], tuple(one["reasons"]), one["hard"], tuple(one["unknown"])) for one in warm["casks"]}
        assert told == expected and warm["judged"] == judged, day
        seen.update(group for group, *_ in expected.values())
        with without_index():
            assert report(demo, day) == warm
    assert set(seen) == set(GROUPS), seen
