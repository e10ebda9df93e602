"""Parts replaced, cask-years and donors of an invented ledger, found again in its YAML by a reader of its own."""

from __future__ import annotations

import json
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from stats.demo_book import book as book
from stats.demo_book import files_of
from stats.test_service_reread import standing

pytestmark = pytest.mark.thorough

DAYS = ("2015-04-20", "2026-06-30")
YEAR = 365.2425
BOOK = ("note", "void", "moved", "mark", "correct", "same-as")
Data = dict[str, Any]


class Reread:
    """One cask by its file up to a day: from when to when its parts were watched, and what was replaced of them."""

    def __init__(self, data: Data, day: date) -> None:
        events = standing(data)
        self.cask, self.staves, self.hoops = data["cask"], data.get("staves"), data.get("hoops")
        for event in events:
            if event["job"] == "correct":
                self.staves, self.hoops = event.get("staves", self.staves), event.get("hoops", self.hoops)
        self.events = [event for event in events if event["date"] <= day and event["job"] not in BOOK]
        self.replaced, self.parents = list[tuple[str, str, bool]](), list[str]()
        self.on = list[date]()
        if not self.events:
            return
        for event in self.events:
            if event["job"] in ("raise", "measure"):
                self.staves = self.staves or event.get("staves")
        ends = [event["date"] for event in self.events if event["job"] in ("retire", "dispose", "break-up", "convert", "knock-down")]
        away = [event for event in self.events if event["job"] in ("missing", "found")]
        missed = away[-1]["date"] if away and away[-1]["job"] == "missing" else None
        self.start, self.end = self.events[0]["date"], ends[0] if ends else missed or day
        over = False
        for event in self.events:
            self._take(event, not over)
            self.on += [event["date"]] * (len(self.replaced) - len(self.on))
            over = over or event["job"] in ("retire", "dispose", "break-up", "convert", "knock-down")

    def _take(self, event: Data, followed: bool) -> None:
        if event["job"] == "stave" and event["action"] == "replace":
            assert "staves_after" not in event
            for number in sorted({int(str(name).removeprefix("stave-").rstrip("abc")) for name in event["staves"]}):
                self.replaced.append((f"stave {number}", str(event.get("from")), followed))
        elif event["job"] == "head" and event["action"] == "replace":
            self.replaced.append((f"head {event['head']}", str(event.get("from")), followed))
        elif event["job"] == "hoop":
            self.replaced += [(f"hoop {name}", str(event.get("from")), followed) for name in event["hoops"]]
        elif event["job"] == "made-from":
            self.parents += [share["cask"] for share in event["parents"] if "cask" in share]


def told(root: Path, day: str, *words: str) -> Data:
    found = caskbook("report", "parts", "--records", str(root), "--as-of", day, "--format", "json", *words)
    assert found.returncode == 0, found.stderr
    read: Data = json.loads(found.stdout)
    return read


def reread(root: Path, day: str) -> list[Reread]:
    files = files_of(root)
    assert not any(event["job"] == "bung" and event["action"] == "moved" for data in files for event in data["events"])
    return [one for data in files if (one := Reread(data, date.fromisoformat(day))).events]


@pytest.mark.parametrize("day", DAYS)
def test_a_reader_of_its_own_counts_the_same(book: Path, day: str) -> None:
    casks = reread(book, day)
    read = told(book, day, "--by", "position")
    rows = {row["name"]: row for row in read["replaced"]}
    days = sum((cask.end - cask.start).days for cask in casks)
    assert (read["watched"], round(read["cask_years"] * YEAR)) == (len(casks), days)
    counts = Counter(name for cask in casks for name, _, followed in cask.replaced if followed and (cask.staves or name in ("stave 1", "head A", "head B")))
    assert rows["bung stave"]["replaced"] == counts["stave 1"] and round(rows["bung stave"]["years"] * YEAR) == days
    assert {name: row["replaced"] for name, row in rows.items() if name.startswith(("stave", "head")) and row["replaced"]} == {
        name: count for name, count in counts.items() if name.startswith(("stave", "head")) and name != "stave 1"
    }
    for name in ("stave 2", "stave 30", "stave 40"):
        wide = sum((cask.end - cask.start).days for cask in casks if (cask.staves or 0) >= int(name.split()[1]))
        assert round(rows[name]["years"] * YEAR) == wide
    left = sum(not followed for cask in casks for *_, followed in cask.replaced)
    assert read["left_out"].get("after it was retired or while it was knocked down", 0) == left
    hoops = sum(row["replaced"] for name, row in rows.items() if name.endswith("hoop"))
    assert hoops == sum(name.startswith("hoop") and followed and bool(cask.hoops) for cask in casks for name, _, followed in cask.replaced)
    assert counts["stave 1"] and sum(counts.values()) > 10


PERIODS = (("2012", "2012", "2012-01-01", "2012-12-31"), ("2009-07", "2019-03-20", "2009-07-01", "2019-03-20"), ("2020", "2026", "2020-01-01", "2026-06-30"))


@pytest.mark.parametrize(("since", "until", "first", "last"), PERIODS)
def test_a_reader_of_its_own_counts_the_same_of_a_period(book: Path, since: str, until: str, first: str, last: str) -> None:
    """Day by day; the day of the report is not over."""
    casks = reread(book, DAYS[1])
    read = told(book, DAYS[1], "--from", since, "--to", until, "--by", "position")
    rows = {row["name"]: row for row in read["replaced"]}
    wanted = range(date.fromisoformat(first).toordinal(), date.fromisoformat(last).toordinal() + 1)

    def days(least: int = 0) -> int:
        return sum(day in wanted for cask in casks if (cask.staves or 0) >= least for day in range(cask.start.toordinal(), cask.end.toordinal()))

    assert (read["from"], read["to"], round(read["cask_years"] * YEAR)) == (first, last, days()) and days()
    assert round(rows["stave 30"]["years"] * YEAR) == days(30)
    counts = Counter(
        name for cask in casks for (name, _, followed), on in zip(cask.replaced, cask.on, strict=True)
        if on.toordinal() in wanted and followed and (cask.staves or name in ("stave 1", "head A", "head B"))
    )  # fmt: skip
    assert {name: row["replaced"] for name, row in rows.items() if name.startswith(("stave", "head")) and row["replaced"]} == {
        name: count for name, count in counts.items() if name.startswith(("stave", "head")) and name != "stave 1"
    }
    assert rows["bung stave"]["replaced"] == counts["stave 1"]
    gave = Counter(
        (source, cask.cask) for cask in casks for (_, source, _), on in zip(cask.replaced, cask.on, strict=True) if "-" in source and on.toordinal() in wanted
    )
    read = told(book, DAYS[1], "--from", since, "--to", until, "--donors")
    mine = Counter[tuple[str, str]]()
    for row in read["gifts"]:
        mine[row["giver"], row["taker"]] += row["count"] * (row["kind"] != "made-from")
        assert first <= row["first_on"] <= last
    assert +mine == gave
    apart = {cask.cask for cask in casks for event in cask.events if event["job"] == "break-up" and event["date"].toordinal() in wanted}
    assert {row["cask"] for row in read["givers"] if row["broken_up_on"] and first <= row["broken_up_on"] <= last} == apart


@pytest.mark.parametrize("day", DAYS)
def test_the_same_donors_both_ways(book: Path, day: str) -> None:
    casks = reread(book, day)
    mine = Counter((source, cask.cask, name.split()[0]) for cask in casks for name, source, _ in cask.replaced if "-" in source)
    read = told(book, day, "--donors")
    assert {(row["giver"], row["taker"], row["kind"]): row["count"] for row in read["gifts"] if row["kind"] != "made-from"} == mine
    assert {(row["giver"], row["taker"]) for row in read["gifts"] if row["kind"] == "made-from"} == {
        (parent, cask.cask) for cask in casks for parent in cask.parents
    }
    saved = {cask.cask: event.get("staves_saved") for cask in casks for event in cask.events if event["job"] == "break-up"}
    assert {row["cask"]: row["staves_saved"] for row in read["givers"] if row["broken_up_on"]} == saved
    assert mine and saved


@pytest.mark.parametrize("day", ["2020-02-29", *(pytest.param(day, marks=pytest.mark.slow) for day in DAYS)])
def test_with_an_index_and_without_one_and_at_a_day_between(book: Path, monkeypatch: pytest.MonkeyPatch, day: str) -> None:
    kept = told(book, day)
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    assert told(book, day) == kept


def test_a_warm_index_reads_no_file_of_a_cask(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = told(book, DAYS[1], "--within", "90")
    monkeypatch.setattr("caskbook.ledger.files.read_record", lambda *_, **__: pytest.fail("a file of a cask is read"))
    assert told(book, DAYS[1], "--within", "90") == kept
