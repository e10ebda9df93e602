"""What suppliers sent in an invented ledger, counted again from its YAML by a reader of its own."""

from __future__ import annotations

import json
from collections import Counter
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml
from commands import caskbook
from laws import crossed
from scipy.stats import binomtest
from stats.demo_book import book as book
from stats.demo_book import files_of
from stats.test_service_reread import standing

pytestmark = pytest.mark.thorough

DAYS = ("2015-04-20", "2026-06-30")
LIQUOR = ("fill", "rack-in", "season")
LEAVING = ("dispose", "break-up", "convert")
Data = dict[str, Any]


class Reread:
    """One cask by its file: its head as corrected, its entries up to a day, its receipt."""

    def __init__(self, data: Data, day: date, suppliers: Data) -> None:
        events = standing(data)
        self.head = {key: value for key, value in data.items() if key != "events"}
        for event in events:
            if event["job"] == "correct":
                self.head |= {key: event[key] for key in ("supplier", "parcel") if key in event}
        self.events = [event for event in events if event["date"] <= day]
        self.begun = any(event["job"] not in ("note", "void", "moved", "mark", "correct", "same-as") for event in self.events)
        self.receipt = next((event for event in self.events if event["job"] == "receive"), None)
        if self.receipt is not None:
            days = suppliers.get(self.head.get("supplier"), {}).get("claim_days", 30)
            self.claims_to = self.receipt.get("claim_by") or self.receipt["date"] + timedelta(days=days)

    @property
    def first_test(self) -> str:
        """fail, pass, or nothing where it was filled, left or not yet tested before."""
        assert self.receipt is not None
        if self.receipt.get("contents", "empty") != "empty":
            return ""
        for event in self.events[self.events.index(self.receipt) :]:
            if event["job"] == "test":
                return "fail" if event["result"] == "fail" or "cured_by" in event else "pass"
            if event["job"] in (*LIQUOR, *LEAVING, "retire"):
                return ""
        return ""

    def found(self) -> bool:
        """Whether something was found that can be claimed, in time."""
        assert self.receipt is not None
        return any(self._fault(event) for event in self.events[self.events.index(self.receipt) :] if event["date"] <= self.claims_to)

    @staticmethod
    def _fault(event: Data) -> bool:
        job = event["job"]
        if job in ("receive", "examine"):
            return bool(event.get("findings")) or event["verdict"] == "reject"
        return job == "leak" or (job == "test" and (event["result"] == "fail" or "cured_by" in event)) or (job == "nose" and event["verdict"] == "fault")


def told(book: Path, day: str, *words: str) -> Data:
    found = caskbook("report", "suppliers", "--records", str(book), "--as-of", day, "--format", "json", *words)
    assert found.returncode == 0, found.stderr
    read: Data = json.loads(found.stdout)
    return read


def reread(book: Path, day: str) -> list[Reread]:
    house = yaml.safe_load((book / "house.yaml").read_text(encoding="utf-8"))
    assert "claim" not in house["due"] and house["suppliers"]
    files = files_of(book)
    assert not any(event["job"] == "same-as" for data in files for event in data["events"])
    return [one for data in files if (one := Reread(data, date.fromisoformat(day), house["suppliers"])).begun]


@crossed("day,by", DAYS, ["supplier", "parcel"])
def test_a_reader_of_its_own_counts_the_same(book: Path, day: str, by: str) -> None:
    casks = reread(book, day)
    sent = [cask for cask in casks if cask.receipt is not None]
    read = told(book, day, "--by", by)
    assert (read["casks"], read["received"], read["told_in_part"]) == (len(casks), len(sent), 0)
    named: dict[str, Counter[str]] = {}
    for cask in sent:
        counts = named.setdefault(str(cask.head.get(by) or "?"), Counter())
        counts.update(received=1, found=cask.found(), tested=bool(cask.first_test), failed=cask.first_test == "fail")
    rows = {row["name"]: row for row in read["groups"]}
    assert {name: {key: row[key] for key in ("received", "found", "tested", "failed")} for name, row in rows.items()} == {
        name: {key: counts[key] for key in ("received", "found", "tested", "failed")} for name, counts in named.items()
    }
    for row in read["groups"]:
        if row["tested"]:
            theirs = binomtest(row["failed"], row["tested"]).proportion_ci(method="wilson")
            assert (row["failed_lower"], row["failed_upper"]) == (pytest.approx(theirs.low, abs=1e-6), pytest.approx(theirs.high, abs=1e-6))
    assert sum(row["failed"] for row in read["months"]) == read["total"][0]["failed"] >= 3


def test_the_calendar_has_the_casks_whose_last_day_is_to_come(book: Path) -> None:
    days = sorted({cask.receipt["date"] for cask in reread(book, DAYS[1]) if cask.receipt is not None})
    day = days[-1] + timedelta(days=1)
    casks = [cask for cask in reread(book, str(day)) if cask.receipt is not None and cask.claims_to >= day]
    casks = [cask for cask in casks if not any(event["job"] in LEAVING for event in cask.events)]
    read = told(book, str(day))
    mine = Counter((str(cask.claims_to), cask.head.get("supplier") or "?", cask.head.get("parcel") or "?") for cask in casks)
    assert {(row["to"], row["supplier"], row["parcel"]): row["casks"] for row in read["claims"]} == mine
    unexamined = {cask.head["cask"] for cask in casks if not any(event["job"] == "examine" for event in cask.events)}
    assert {cask for row in read["claims"] for cask in row["unexamined"]} == unexamined
    assert casks


PERIODS = (("2014", "2014", "2014-01-01", "2014-12-31"), ("2008-07", "2019-03-20", "2008-07-01", "2019-03-20"), ("2020", "2026", "2020-01-01", "2026-06-30"))


@pytest.mark.parametrize(("since", "until", "first", "last"), PERIODS)
def test_a_reader_of_its_own_counts_the_same_of_those_received_in_a_period(book: Path, since: str, until: str, first: str, last: str) -> None:
    casks = [cask for cask in reread(book, DAYS[1]) if cask.receipt is not None]
    sent = [cask for cask in casks if cask.receipt is not None and first <= str(cask.receipt["date"]) <= last]
    read = told(book, DAYS[1], "--from", since, "--to", until)
    assert (read["from"], read["to"], read["received"], read["received_at_other_times"]) == (first, last, len(sent), len(casks) - len(sent))
    total = read["total"][0]
    assert (total["found"], total["tested"], total["failed"]) == (
        sum(cask.found() for cask in sent), sum(bool(cask.first_test) for cask in sent), sum(cask.first_test == "fail" for cask in sent),
    )  # fmt: skip
    assert {row["name"]: row["received"] for row in read["groups"]} == Counter(str(cask.head.get("supplier") or "?") for cask in sent)
    assert 0 < len(sent) < len(casks)


@pytest.mark.parametrize("day", ["2020-02-29", *(pytest.param(day, marks=pytest.mark.slow) for day in DAYS)])
def test_with_an_index_and_without_one_and_at_a_day_between(book: Path, monkeypatch: pytest.MonkeyPatch, day: str) -> None:
    kept = told(book, day)
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    assert told(book, day) == kept


def test_a_warm_index_reads_no_file_of_a_cask(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = told(book, DAYS[1])
    monkeypatch.setattr("caskbook.ledger.files.read_record", lambda *_, **__: pytest.fail("a file of a cask is read"))
    assert told(book, DAYS[1]) == kept
