"""A house that moves to another time zone: each zone holds from its own day, and one that lies ahead changes nothing today."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import CASK, HOUSE, Shop

from caskbook.core.days import today_in
from caskbook.model.entered import entered_on

EAST, WEST = "Pacific/Kiritimati", "Pacific/Pago_Pago"


@pytest.fixture(params=["index", "files"])
def house(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    if request.param == "files":
        monkeypatch.setenv("CASKBOOK_INDEX", "off")
    ahead = datetime.now(UTC).date() + timedelta(days=200)
    made = Shop(tmp_path, HOUSE.replace("timezone: UTC", f"timezone: [{{since: 2000-01-01, value: {EAST}}}, {{since: {ahead}, value: {WEST}}}]"))
    made.put({"date": "2026-01-05", "job": "receive", "verdict": "accept"})
    return made


def test_today_is_the_day_of_the_zone_in_force(house: Shop) -> None:
    records = ("--records", str(house.root))
    today = str(today_in(EAST, datetime.now(UTC)))
    done = caskbook("enter", "note", CASK, "--note", "seen", "--date", today, "--by", "ab", "--yes", *records)
    assert done.returncode == 0, done.stderr
    assert house.last(CASK)["date"].isoformat() == today and house.ledger.house.timezone.startswith(f"2000-01-01={EAST},")
    assert [one["code"] for one in json.loads(caskbook("check", "--format", "json", *records).stdout)["findings"] if "date" in one["code"]] == []
    assert f"due on {today}" in caskbook("due", *records).stdout
    assert "late" not in caskbook("show", CASK, *records).stdout
    assert str(entered_on(str(house.last(CASK)["id"]), house.ledger.house.timezone)) == today


def test_a_zone_ahead_that_is_none_is_told_in_its_row(tmp_path: Path) -> None:
    made = Shop(tmp_path, HOUSE.replace("timezone: UTC", "timezone:\n  - {since: 2000-01-01, value: UTC}\n  - {since: 2999-01-01, value: Nowhere}"))
    made.put({"date": "2026-01-05", "job": "receive", "verdict": "accept"})
    found = json.loads(caskbook("check", "--format", "json", "--records", str(made.root)).stdout)["findings"]
    assert [(one["code"], one["line"]) for one in found if one["code"] == "unknown-timezone"] == [("unknown-timezone", 4)]
