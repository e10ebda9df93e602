"""Leaks and cask-years of an invented ledger, found again in its YAML by a reader of its own."""

from __future__ import annotations

import json
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from commands import caskbook
from stats.demo_book import book as book
from stats.demo_book import files_of
from stats.test_service_reread import standing

pytestmark = pytest.mark.thorough

DAYS = ("2015-04-20", "2026-06-30")
YEAR = 365.2425
Data = dict[str, Any]


class Reread:
    """One cask by its file up to a day: the days it lay filled by store, and its leaks with the store of the day and what closed them while it was full."""

    def __init__(self, data: Data, day: date, stores: dict[str, str], period: tuple[date, date] = (date.min, date.max)) -> None:
        self.period = [end.toordinal() for end in period]
        self.stores, self.days, self.leaks = stores, Counter[str](), list[Data]()
        self.cask, self.berth, self.where, self.full, self.since = data["cask"], "", "here", False, day
        for event in standing(data):
            if event["date"] <= day:
                self._take(event)
        self._pass(day)

    def _place(self) -> str:
        if self.where != "here":
            return f"({self.where})"
        fits = [prefix for prefix in self.stores if self.berth.startswith(prefix)]
        return self.stores[max(fits, key=len)] if fits else "no store"

    def _pass(self, day: date) -> None:
        if self.full:
            for one in range(self.since.toordinal(), day.toordinal()):
                self.days[self._place()] += self.period[0] <= one <= self.period[1]
        self.since = day

    def _take(self, event: Data) -> None:
        job = event["job"]
        self._pass(event["date"])
        if job in ("dispose", "convert", "break-up"):
            self.full = False
        if job in ("fill", "rack-in", "season") or (job == "receive" and event.get("contents", "empty") != "empty"):
            self.full = True
        if job == "empty" or (job == "rack-out" and not event.get("left_l")):
            self.full = False
            for leak in self.leaks:
                leak["open"] = leak["open"] and "at the bench"
        self.where = {"send": "away", "return": "here", "missing": "missing", "found": "here"}.get(job, self.where)
        self.berth = "" if job in ("send", "dispose") else event.get("berth") or self.berth
        if job == "leak" and not any(leak["open"] is True and leak["at"] == event["at"] for leak in self.leaks):
            self.leaks.append({"id": event["id"], "at": event["at"], "day": event["date"], "store": self._place(), "open": True, "how": ""})
        for leak in self.leaks:
            if leak["open"] is True and self._closes(event, leak):
                leak |= {"open": False, "how": "healed" if event.get("closed_as") == "took-up" else "repaired", "ended": event["date"]}

    @staticmethod
    def _closes(event: Data, leak: Data) -> bool:
        if event["job"] == "look":
            return bool(event["seen"] == "dry" and event.get("at", leak["at"]) == leak["at"] and event.get("of", leak["id"]) == leak["id"])
        return bool(event.get("closes") == leak["id"] or (event["job"] == "peg" and event["at"] == leak["at"]))


def told(root: Path, day: str, *words: str) -> Data:
    found = caskbook("report", "leaks", "--records", str(root), "--as-of", day, "--format", "json", *words)
    assert found.returncode == 0, found.stderr
    read: Data = json.loads(found.stdout)
    return read


def reread(root: Path, day: str, period: tuple[str, str] = ("0001-01-01", "9999-12-31")) -> list[Reread]:
    stores = yaml.safe_load((root / "house.yaml").read_text(encoding="utf-8"))["stores"]
    files = files_of(root)
    looks = [event for data in files for event in data["events"] if event["job"] == "look" and event["seen"] == "dry"]
    assert all("closed_as" in event and event["closed_as"] != "false" for event in looks)
    first, last = map(date.fromisoformat, period)
    return [Reread(data, date.fromisoformat(day), stores, (first, last)) for data in files]


@pytest.mark.parametrize("day", DAYS)
def test_a_reader_of_its_own_counts_the_same(book: Path, day: str) -> None:
    casks = reread(book, day)
    read = told(book, day)
    days: Counter[str] = sum((cask.days for cask in casks), Counter())
    leaks = [leak for cask in casks for leak in cask.leaks]
    assert {row["name"]: (row["leaks"], round(row["cask_years"] * YEAR)) for row in read["groups"] if row["cask_years"]} == {
        name: (sum(leak["store"] == name for leak in leaks), count) for name, count in days.items() if count
    }
    total = read["total"][0]
    assert (total["leaks"], total["healed"]) == (len(leaks), sum(leak["how"] == "healed" for leak in leaks))
    at_bench = sum(leak["open"] == "at the bench" for leak in leaks)
    assert total["repaired"] + total["emptied"] == sum(leak["how"] == "repaired" for leak in leaks) + at_bench
    assert {(one["cask"], one["at"], one["since"]) for one in read["open"]} | {()} >= {
        (cask.cask, leak["at"], str(leak["day"])) for cask in casks for leak in cask.leaks if leak["open"] is True and cask.full
    }
    assert total["open"] == sum(leak["open"] is True and cask.full for cask in casks for leak in cask.leaks)
    assert len(leaks) >= 9
    found = Counter(f"{leak['day']:%Y-%m}" for leak in leaks)
    assert {row["month"]: row["found"] for row in read["months"] if row["found"]} == found
    assert sum(row["cask_years"] for row in read["months"]) == pytest.approx(total["cask_years"], abs=1e-3)


PERIODS = (("2013", "2013", "2013-01-01", "2013-12-31"), ("2008-07", "2019-03-20", "2008-07-01", "2019-03-20"), ("2020", "2026", "2020-01-01", "2026-06-30"))


@pytest.mark.parametrize(("since", "until", "first", "last"), PERIODS)
def test_a_reader_of_its_own_counts_the_same_of_a_period(book: Path, since: str, until: str, first: str, last: str) -> None:
    """Day by day; what came of the leaks is told up to the day of the report."""
    casks = reread(book, DAYS[1], (first, last))
    read = told(book, DAYS[1], "--from", since, "--to", until)
    assert (read["from"], read["to"]) == (first, last)
    days: Counter[str] = sum((cask.days for cask in casks), Counter())
    leaks = [leak for cask in casks for leak in cask.leaks if first <= str(leak["day"]) <= last]
    assert {row["name"]: (row["leaks"], round(row["cask_years"] * YEAR)) for row in read["groups"]} == {
        name: (sum(leak["store"] == name for leak in leaks), count) for name, count in days.items() if count
    }
    total = read["total"][0]
    assert (total["leaks"], total["healed"]) == (len(leaks), sum(leak["how"] == "healed" for leak in leaks))
    assert {row["month"]: row["found"] for row in read["months"] if row["found"]} == Counter(f"{leak['day']:%Y-%m}" for leak in leaks)
    ended = Counter(f"{leak['ended']:%Y-%m}" for cask in casks for leak in cask.leaks if leak["how"] == "healed" and first <= str(leak["ended"]) <= last)
    assert {row["month"]: row["healed"] for row in read["months"] if row["healed"]} == ended
    assert (read["months"][0]["month"], read["months"][-1]["month"]) == (first[:7], last[:7]) and days.total()


def test_the_years_of_a_book_add_up_to_the_whole(book: Path) -> None:
    whole = told(book, DAYS[1])
    years = [told(book, DAYS[1], "--from", str(year), "--to", str(year))["total"][0] for year in range(int(whole["months"][0]["month"][:4]), 2027)]
    assert sum(one["leaks"] for one in years) == whole["total"][0]["leaks"]
    assert sum(one["cask_years"] for one in years) == pytest.approx(whole["total"][0]["cask_years"], abs=1e-3)


@pytest.mark.parametrize("day", ["2020-02-29", *(pytest.param(day, marks=pytest.mark.slow) for day in DAYS)])
def test_with_an_index_and_without_one_and_at_a_day_between(book: Path, monkeypatch: pytest.MonkeyPatch, day: str) -> None:
    kept = told(book, day, "--by", "row")
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    assert told(book, day, "--by", "row") == kept


def test_a_warm_index_reads_no_file_of_a_cask(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = told(book, DAYS[1])
    monkeypatch.setattr("caskbook.ledger.files.read_record", lambda *_, **__: pytest.fail("a file of a cask is read"))
    assert told(book, DAYS[1]) == kept
