"""Files that `same-as` made one cask may use an id twice: whatever is told of it is what would be told with other ids."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import HOUSE, cask_of, ev
from commands import caskbook
from index.book import put_cask

from caskbook.due import judge
from caskbook.life import Life, live
from caskbook.life.facts import facts_of
from caskbook.loss import PeerTable
from caskbook.loss.account import rows_of as fill_rows
from caskbook.loss.account import total
from caskbook.model.cask import Cask
from caskbook.render.events import rows_of
from caskbook.render.facts_json import facts_json
from caskbook.render.time_line import long_line

Events = list[dict[str, Any]]
DAY = date(2026, 1, 1)
CRACKED = [{"at": "stave-3", "defect": "cracked", "severity": 3}]
HEAD = [{"at": "head-A", "defect": "cracked", "severity": 3}]
ARRIVED = ev("2014-01-02", "receive", verdict="accept", berth="W1/1")
EXAMINED = ev("2014-01-03", "examine", verdict="sound")
FILLED = ev("2014-01-04", "fill", spirit="malt", litres=190.0, abv=63.0, at_20=True)
EMPTIED = ev("2017-01-04", "empty", litres=175.0, abv=62.0, at_20=True)
GAUGED = ev("2016-01-04", "regauge", method="meter", litres=180.0, abv=62.5, at_20=True)
LEAK = ev("2016-02-04", "leak", at="joint-3", severity="drip")


def later(event: dict[str, Any]) -> dict[str, Any]:
    """The same four years on, for the file that goes on."""
    return {**event, "date": f"{int(event['date'][:4]) + 4}{event['date'][4:]}"}


def told(own: Events, theirs: Events, base: int) -> str:
    """All that is told of a cask with these two files; the ids of the other file begin at `base`, and are shown as from 1."""
    number = iter(range(base, base + 99))
    renamed = json.loads(json.dumps([{"id": f"e{next(number):07d}", **event} for event in theirs]).replace("e00000", f"e{base // 100:05d}"))
    same = {"id": "e0000090", **ev("2025-01-01", "same-as", of="TH-000002", why="one cask")}
    mine = [{"id": f"e{n:07d}", **event} for n, event in enumerate(own, 1)]
    life = live(cask(mine + [same], "TH-000001"), HOUSE, DAY, [cask(renamed, "TH-000002")])
    return _dump(life).replace(f"e{base // 100:05d}", "e00000")


def cask(events: Events, number: str) -> Cask:
    """A file as it is read."""
    return cask_of(*events, cask=number)


def _dump(life: Life) -> str:
    facts = facts_of(life)
    fills = fill_rows(life, PeerTable())
    parts = [
        json.dumps(facts_json(life, facts, PeerTable()), indent=1, sort_keys=True),
        *map(repr, fills), repr(total(fills)), *map(repr, judge(life, facts, peers=PeerTable())), long_line(life),
        *(f"{row.event.date} {row.says} {row.struck} {row.below} {row.tail}" for row in rows_of(life)),
    ]  # fmt: skip
    return "\n".join(parts)


CASES: dict[str, tuple[Events, Events]] = {
    "two fills begun and ended by the same ids": ([*map(later, (ARRIVED, EXAMINED, FILLED, EMPTIED))], [ARRIVED, EXAMINED, FILLED, EMPTIED]),
    "a gauge in one with the id of the emptying in the other": (
        [*map(later, (ARRIVED, EXAMINED, FILLED, GAUGED, EMPTIED))], [ARRIVED, EXAMINED, FILLED, EMPTIED, {**later(GAUGED), "date": "2019-06-01"}],
    ),
    "a leak with the id of a move that was replaced": (
        [*map(later, (ARRIVED, FILLED, LEAK)), ev("2021-03-01", "look", seen="dry", of="e0000003", closed_as="took-up")],
        [ARRIVED, EXAMINED, ev("2014-02-03", "move", berth="W1/2"), ev("2014-02-04", "move", berth="W1/3", replaces="e0000003", why="misread")],
    ),
    "a look at one of two leaks": (
        [*map(later, (ARRIVED, FILLED, LEAK)), ev("2021-03-01", "look", seen="dry", of="e0000003", closed_as="took-up")], [ARRIVED, FILLED, LEAK],
    ),
    "defects of one id, one answered": (
        [later({**ARRIVED, "findings": CRACKED}), ev("2021-01-05", "note", note="mended", answers=["e0000001"])], [{**ARRIVED, "findings": HEAD}],
    ),
    "an examination with the id of a receipt that found something later": (
        [ev("2012-01-01", "note", note="seen"), ev("2018-01-03", "examine", verdict="repair", findings=CRACKED), ev("2019-01-05", "note", note="mended", answers=["e0000002/stave-3"])],
        [ev("2013-01-01", "note", note="seen"), ev("2018-06-01", "receive", verdict="accept", findings=HEAD)],
    ),
    "an entry with the id of one that was voided": (
        [*map(later, (ARRIVED, EXAMINED)), ev("2018-02-01", "void", of="e0000002", why="wrong cask")], [ARRIVED, EXAMINED, FILLED],
    ),
    "a hold with the id of a nose": (
        [*map(later, (ARRIVED, EXAMINED)), ev("2018-02-01", "nose", verdict="fault", faults=["musty"])],
        [ARRIVED, EXAMINED, ev("2014-02-01", "hold", why="to be seen")],
    ),
    "a fill racked onto": ([*map(later, (ARRIVED, FILLED)), later(GAUGED)], [ARRIVED, EXAMINED, FILLED, EMPTIED]),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_equal_ids_tell_what_other_ids_tell(case: str) -> None:
    own, theirs = CASES[case]
    assert told(own, theirs, 1) == told(own, theirs, 50001)


def test_what_a_file_names_and_has_not_is_an_entry_of_the_other() -> None:
    """A leak of the joined file is looked at in the file that goes on, the id being none of its own."""
    own = [*map(later, (ARRIVED,)), ev("2018-03-01", "look", seen="dry", of="e0000004", closed_as="took-up")]
    theirs = [ARRIVED, EXAMINED, FILLED, LEAK]
    life = live(cask([{"id": f"e{n:07d}", **event} for n, event in enumerate(own, 1)], "TH-000001"), HOUSE, DAY, [
        cask([{"id": f"e{n:07d}", **event} for n, event in enumerate(theirs, 1)], "TH-000002")
    ])  # fmt: skip
    assert facts_of(life).open_leaks == []


def test_the_table_of_fills_has_the_loss_of_each(tmp_path: Path) -> None:
    """Two fills of one id in the files of a cask: 5.66 L of the one and 11.2 L of the other, which add up in the account."""
    (tmp_path / "house.yaml").write_text("house: Thornmere House\ntimezone: Europe/London\ncrew:\n  - {initials: ab}\n")
    again = [{**later(FILLED), "litres": 180.0, "abv": 60.0}, {**ev("2020-01-04", "empty", at_20=True), "litres": 172.0, "abv": 59.5}]
    put_cask(tmp_path, 1, later(ARRIVED), later(EXAMINED), *again, ev("2025-01-01", "same-as", of="TH-001002", why="one cask"))
    put_cask(tmp_path, 2, ARRIVED, EXAMINED, FILLED, EMPTIED)
    asked = ("select event, n, loss_from, loss_lpa from fill order by n", "--format", "json", "--as-of", "2026-01-01", "--records", str(tmp_path))
    assert json.loads(caskbook("query", *asked).stdout) == [
        {"event": "e0000003", "n": 1, "loss_from": "2014-01-04", "loss_lpa": 11.2},
        {"event": "e0000003", "n": 2, "loss_from": "2018-01-04", "loss_lpa": 5.66},
    ]
    account = json.loads(caskbook("report", "loss", "TH-001001", "--format", "json", "--as-of", "2026-01-01", "--records", str(tmp_path)).stdout)
    assert (account["total"]["fills"], account["total"]["lpa"]) == (2, 16.86)


def test_what_a_job_leaves_open_is_told_with_the_day_it_was_seen(tmp_path: Path) -> None:
    (tmp_path / "house.yaml").write_text("house: Thornmere House\ntimezone: Europe/London\ncrew:\n  - {initials: ab}\n")
    put_cask(tmp_path, 1, {**later(ARRIVED), "findings": CRACKED}, ev("2025-01-01", "same-as", of="TH-001002", why="one cask"))
    put_cask(tmp_path, 2, {**ARRIVED, "findings": HEAD})
    done = caskbook("enter", "drive", "TH-001001", "--hoops", "all", "--by", "ab", "--date", "2025-02-01", "--dry-run", "--records", str(tmp_path), "--yes")
    said = done.stdout + done.stderr
    assert "head-A cracked, seen 2014-01-02" in said and "stave-3 cracked, seen 2018-01-02" in said
