"""An entry dated after today was done, on a day that nobody knows: a cask with one is told in part, whatever day is asked about."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from entry.shop import CASK, Shop, days_ago

from caskbook.ledger.files import open_folder
from caskbook.ledger.lineage import life_before

SOUND = [{"date": days_ago(9), "job": "receive", "verdict": "accept"}, {"date": days_ago(8), "job": "examine", "verdict": "sound"}]
AHEAD = days_ago(-400)
FILL = {"job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "temp_c": 15, "method": "meter"}
SLIPS: list[dict[str, Any]] = [
    FILL, {"job": "nose", "verdict": "fault", "faults": ["musty"]}, {"job": "hold", "why": "smell"},
    {"job": "test", "psi": 9, "result": "pass"}, {"job": "move", "berth": "W1/1/2"},
]  # fmt: skip


def data(shop: Shop, *words: str) -> Any:
    done = caskbook(*words, "--format", "json", "--records", str(shop.root))
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip["job"])
def test_no_verdict_lets_a_cask_pass_with_an_entry_of_a_day_to_come(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, index: str, slip: dict[str, Any]) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    shop = Shop(tmp_path)
    shop.put(*SOUND, {"date": AHEAD, **slip})
    for day in (days_ago(0), days_ago(7), days_ago(-500)):
        due = data(shop, "due", "--all", "--as-of", str(day))
        assert {one["verdict"] for one in due} <= {"unknown", "due"}, day
        assert all(f"cannot be read: {slip['job']} of {AHEAD}, a day to come" in one["reasons"][-1] for one in due)
        (row,) = data(shop, "list", "--as-of", str(day), "--columns", "state,fitness,fills")
        assert row == {"state": None, "fitness": None, "fills": None}, day
    ready = caskbook("ready", "--want", "1", "--records", str(shop.root))
    assert "have 0 ready, short 1" in ready.stdout and f"{CASK} is told in part" in ready.stderr


def test_what_holds_for_all_days_or_is_out_of_force_hides_nothing(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(
        *SOUND, {"date": AHEAD, **FILL}, {"date": days_ago(1), "job": "void", "of": "e0000003", "why": "slip"}, {"date": AHEAD, "job": "note", "note": "dark"}
    )
    (row,) = data(shop, "list", "--columns", "state,fills")
    assert row == {"state": "ready", "fills": 0}


def test_today_is_no_day_to_come(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(*SOUND, {"date": days_ago(0), **FILL})
    assert data(shop, "list", "--as-of", str(days_ago(1)), "--columns", "state") == [{"state": "ready"}]
    shop.put(*SOUND, {"date": days_ago(-1), **FILL})
    assert data(shop, "list", "--as-of", str(days_ago(1)), "--columns", "state") == [{"state": None}]


def test_beside_an_entry_of_a_day_to_come_one_of_today_is_still_none(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(*SOUND, {"date": days_ago(0), **FILL}, {"date": AHEAD, "job": "empty", "litres": 180, "abv": 63, "temp_c": 15})
    (hold,) = data(shop, "due", "hold", "--all")
    assert hold["reasons"] == [f"cannot be read: empty of {AHEAD}, a day to come; caskbook check {CASK}"]


def test_a_cask_that_may_be_full_by_a_slip_of_the_day_is_asked_about_before_it_is_filled(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(*SOUND, {"date": AHEAD, **FILL})
    ran = shop.enter(*["fill", "TH-004217", "--spirit", "malt", "--litres", "190", "--abv", "63.5", "--temp", "15", "--by", "ab"])
    assert "nobody can tell whether it may be filled" in ran.err and f"fill of {AHEAD}, a day to come" in ran.err, ran


def test_a_joined_file_with_a_day_to_come_is_said_with_its_number(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(*SOUND, {"date": days_ago(3), "job": "same-as", "of": "TH-004218", "why": "two numbers"})
    shop.put({"date": AHEAD, **FILL, "id": "e1000001"}, cask="TH-004218")
    due = data(shop, "due", "hold", CASK, "--all")
    assert due[0]["verdict"] == "unknown" and f"fill of {AHEAD}, a day to come of TH-004218" in due[0]["reasons"][0]


def test_where_an_entry_is_laid_on_its_state_is_said_not_to_be_known(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(*SOUND, {"date": days_ago(7), **FILL}, {"date": AHEAD, "job": "empty", "litres": 180, "abv": 63, "temp_c": 15})
    done = caskbook("enter", "move", CASK, "--berth", "W1/1/2", "--by", "ab", "--dry-run", "--records", str(shop.root))
    assert done.returncode == 0, done.stderr
    assert f"{CASK}  barrel, state not known" in done.stderr and "if it is full, which the book cannot tell" in done.stderr
    assert "None" not in done.stderr and "full of" not in done.stderr


def test_as_it_stood_before_an_entry_it_is_told_in_part_as_well(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(*SOUND, {"date": AHEAD, **FILL})
    ledger = open_folder(shop.root, shop.root)
    ledger.today = days_ago(0)
    record = ledger.find(CASK)
    assert record is not None and record.cask is not None
    assert life_before(record.cask, ledger.house, days_ago(0), "e0000009").in_part


def test_the_line_of_its_years_ends_in_no_state_that_nobody_knows(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(*SOUND, {"date": days_ago(7), **FILL}, {"date": AHEAD, "job": "empty", "litres": 180, "abv": 63, "temp_c": 15})
    told = caskbook("show", CASK, "--line", "--records", str(shop.root)).stdout
    (last,) = [line for line in told.splitlines() if line.startswith(f"  {days_ago(7)}")]
    assert last.split()[1:3] == ["?", "?"], told
    assert f"told in part: empty of {AHEAD}, a day to come" in told
