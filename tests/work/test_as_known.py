"""The book as it was known on a day gone by, out of its entries: late ones are not seen yet, and what was put right later stands still."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
import yaml

from caskbook.demo.block import Demo
from caskbook.demo.files import write_ledger
from caskbook.demo.house import UNTIL
from caskbook.ledger.files import open_folder
from caskbook.life.turns import month_of
from caskbook.model.cask import Cask, read_cask
from caskbook.model.ids import mint_id
from caskbook.work.as_known import Lines, days_known, is_plain, known_at, lines_known, lines_of

CASK = "TH-004217"
FILL = {"spirit": "malt", "litres": 190, "abv": 63.5, "at_20": True, "berth": "R1"}
_count = iter(range(10**6))


def entry(day: str, job: str, *, entered: str = "", **fields: Any) -> dict[str, Any]:
    """An entry with an id minted at noon of the day on which it was entered: its own, unless said."""
    when = datetime.fromisoformat(f"{entered or day}T12:00").replace(tzinfo=UTC)
    number = next(_count) % 2**14
    return {"id": mint_id(when, day_ids=[], random_bits=lambda bits: number), "date": day, "job": job, "by": "ab", **fields}


RECEIVED = entry("2015-01-10", "receive", verdict="accept")
FILLED = entry("2015-02-01", "fill", **FILL)
LEAK = entry("2016-05-01", "leak", at="joint-4", severity="weep")
EMPTY = {"litres": 150, "abv": 60, "at_20": True}


def data(*events: dict[str, Any], cask: str = CASK) -> dict[str, Any]:
    head = {"cask": cask, "format": 1, "type": "barrel", "capacity_l": 200, "staves": 31, "heads": [5, 5], "hoops": 6, "charred": 2011}
    return {**head, "prior": [{"contents": "bourbon", "fills": 1}], "events": list(events)}


def cask_of(*events: dict[str, Any]) -> Cask:
    cask, faults = read_cask(data(*events))
    assert cask is not None and not faults, faults
    return cask


def book(root: Path, *events: dict[str, Any]) -> Path:
    path = root / "casks" / "TH-004" / f"{CASK}.yaml"
    path.parent.mkdir(parents=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew: [{initials: ab}, {initials: kd}]\n", encoding="utf-8")
    path.write_text(yaml.safe_dump(data(*events), sort_keys=False), encoding="utf-8")
    return root


def told(root: Path, *days: str) -> list[set[str]]:
    """The lines that were known at the end of each day, and at last all that are known on the last day of 2022."""
    then, now = lines_known(open_folder(root, root), [date.fromisoformat(day) for day in days], date(2022, 12, 31))
    return [set(one.found) for one in (*then, now)]


def month(day: str) -> int:
    return month_of(date.fromisoformat(day)) or 0


def test_a_late_entry_is_not_seen_before_it_was_entered(tmp_path: Path) -> None:
    """Emptied in January 2018 and entered in June: until then the book had it full."""
    late = entry("2018-01-10", "empty", entered="2018-06-02", **EMPTY)
    before, after, now = told(book(tmp_path, RECEIVED, FILLED, late), "2018-03-31", "2018-06-30")
    full, tip = f"O|barrel|{month('2015-02-01')}|2|0|0|malt", f"F|barrel|{month('2015-02-01')}|{month('2018-01-10')}|t|malt"
    assert full in before and tip not in before
    assert full not in after and tip in after and tip in now


def test_a_late_entry_without_a_minute_is_told_by_its_place_below_a_later_one(tmp_path: Path) -> None:
    late = {**entry("2018-01-10", "leak", at="joint-9", severity="weep"), "id": "a0000001"}
    seen = entry("2018-05-01", "leak", at="joint-7", severity="weep")
    found = f"L|{month('2018-01-10')}|-"
    before, after, _ = told(book(tmp_path / "a", RECEIVED, FILLED, seen, late), "2018-03-31", "2018-05-31")
    assert found not in before and found in after
    (above, _) = told(book(tmp_path / "b", RECEIVED, FILLED, late, seen), "2018-03-31")
    assert found in above


def test_a_later_void_does_not_take_out_what_stood_then(tmp_path: Path) -> None:
    void = entry("2018-02-03", "void", of=LEAK["id"], why="other cask")
    before, after, now = told(book(tmp_path, RECEIVED, FILLED, LEAK, void), "2017-12-31", "2018-02-28")
    found = f"L|{month('2016-05-01')}|-"
    assert found in before and found not in after and found not in now


def test_a_void_with_an_earlier_day_counts_from_the_minute_of_its_id(tmp_path: Path) -> None:
    void = entry("2016-06-01", "void", entered="2018-02-03", of=LEAK["id"], why="other cask")
    before, after, _ = told(book(tmp_path, RECEIVED, FILLED, LEAK, void), "2017-12-31", "2018-02-28")
    assert f"L|{month('2016-05-01')}|-" in before - after


def test_a_replacement_counts_from_the_day_it_was_entered(tmp_path: Path) -> None:
    wrong = entry("2017-01-10", "empty", **EMPTY)
    right = entry("2017-03-10", "empty", entered="2018-02-03", replaces=wrong["id"], why="wrong day", **EMPTY)
    before, after, _ = told(book(tmp_path, RECEIVED, FILLED, wrong, right), "2017-12-31", "2018-02-28")
    assert f"F|barrel|{month('2015-02-01')}|{month('2017-01-10')}|t|malt" in before
    assert f"F|barrel|{month('2015-02-01')}|{month('2017-03-10')}|t|malt" in after


def test_a_head_that_was_corrected_later_was_as_written_then(tmp_path: Path) -> None:
    corrected = entry("2018-02-03", "correct", type="hogshead", capacity_l=250, why="misread")
    before, after, _ = told(book(tmp_path, RECEIVED, FILLED, corrected), "2017-12-31", "2018-02-28")
    assert any(line.startswith("O|barrel|") for line in before) and any(line.startswith("O|hogshead|") for line in after)


def test_a_day_that_was_mistyped_and_put_right_makes_nothing_below_it_late() -> None:
    wrong = entry("2031-05-01", "leak", entered="2016-05-01", at="joint-4", severity="weep")
    void = entry("2016-05-02", "void", of=wrong["id"], why="wrong year")
    after = entry("2017-01-10", "empty", **EMPTY)
    assert days_known(cask_of(RECEIVED, FILLED, wrong, void, after), "UTC")[-1] == date(2017, 1, 10)


def test_a_plain_cask_is_the_same_object_once_all_of_it_is_known() -> None:
    cask = cask_of(RECEIVED, FILLED, LEAK)
    assert known_at(cask, date(2016, 5, 1), "UTC") is cask and is_plain([cask], "UTC")
    assert [event.job for event in known_at(cask, date(2016, 4, 30), "UTC").events] == ["receive", "fill"]
    assert not is_plain([cask_of(RECEIVED, FILLED, entry("2016-05-01", "leak", entered="2016-05-02", at="joint-4", severity="weep"))], "UTC")


def test_the_minute_of_an_id_is_taken_in_the_house_s_own_time(tmp_path: Path) -> None:
    cask = cask_of(RECEIVED, FILLED, entry("2016-05-01", "leak", at="joint-4", severity="weep"))
    assert days_known(cask, "UTC")[-1] == date(2016, 5, 1) and days_known(cask, "Pacific/Kiritimati")[-1] == date(2016, 5, 2)


@pytest.mark.thorough
def test_the_short_way_and_the_long_way_tell_the_same_of_a_demo_ledger(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A cask to which nothing was added late is not folded anew for each day; all folded anew give the same lines."""
    list(write_ledger(tmp_path, Demo(120, 5, UNTIL), {}, 1))
    days = [date(2015, 6, 30), date(2021, 12, 31)]
    ledger = open_folder(tmp_path, tmp_path)
    short = lines_known(ledger, days, UNTIL)
    monkeypatch.setattr("caskbook.work.as_known.is_plain", lambda casks, timezone: False)
    assert lines_known(ledger, days, UNTIL) == short
    assert short[1] == lines_of(ledger, UNTIL) and isinstance(short[0][0], Lines) and short[0][0].casks < short[0][1].casks
