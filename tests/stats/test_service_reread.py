"""The spans of service of an invented ledger, found again in its YAML by a reader of its own."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from laws import crossed
from stats.demo_book import book as book
from stats.demo_book import files_of

pytestmark = pytest.mark.thorough

DAYS = ("2014-05-05", "2026-06-30")
YEAR = 365.2425
Data = dict[str, Any]
KINDS = {"kept-by-shop": "returned", "stolen": "lost"}


def standing(data: Data) -> list[Data]:
    """The entries in force in the order of the work: neither voided, moved nor replaced by one that is in force itself."""
    out: set[str] = set()
    for event in sorted(data["events"], key=lambda event: event["id"], reverse=True):
        if event["id"] not in out:
            named = event.get("of") if event["job"] in ("void", "moved") else event.get("replaces")
            out |= {named} if isinstance(named, str) else set()
    return sorted((event for event in data["events"] if event["id"] not in out), key=lambda event: (event["date"], event["id"]))


def july(value: Any) -> date | None:
    """The day reckoned with; None for no day."""
    if isinstance(value, date):
        return value
    if isinstance(value, int):
        return date(value, 7, 1)
    if isinstance(value, str) and value[:4].isdecimal():
        return date.fromisoformat(f"{value}-15") if len(value) == 7 else date(int(value), 7, 1)
    return None


class Reread:
    """One cask by its file: entries up to a day, the head as corrected, its arrival, and when and how it ended."""

    def __init__(self, data: Data, day: date) -> None:
        events = standing(data)
        self.day, self.head = day, {key: value for key, value in data.items() if key != "events"}
        for event in events:
            if event["job"] == "correct":
                self.head |= {key: event[key] for key in ("made", "charred", "staves", "prior") if key in event}
        self.events = [event for event in events if event["date"] <= day and event["job"] not in ("note", "void", "moved", "mark", "correct", "same-as")]
        self.end = next((event for event in self.events if event["job"] in ("retire", "dispose", "break-up", "convert")), None)
        missing = [event for event in self.events if event["job"] in ("missing", "found")]
        self.missed = missing[-1]["date"] if missing and missing[-1]["job"] == "missing" and self.end is None else None

    @property
    def arrived(self) -> date:
        day = self.events[0]["date"]
        assert isinstance(day, date)
        return day

    @property
    def last(self) -> date:
        """The day it ended, was missed, or that of the report."""
        return self.end["date"] if self.end else self.missed or self.day

    @property
    def how(self) -> str:
        if self.end is None:
            return ""
        how = self.end.get("how", self.end["job"])
        return {"retire": "retired", "break-up": "broken up", "convert": "converted"}.get(how, KINDS.get(how, how))

    def before(self, value: Any) -> date | None:
        """The day of something before the arrival, not after it."""
        day = july(value)
        return None if day is None else min(day, self.arrived)

    def chars(self) -> Iterator[tuple[int, int, str]]:
        """(days at which it was first watched, -1 from the start; days at its end; how it ended)."""
        until = self.end["id"] if self.end else None
        found = [event for event in self.events if event["job"] == "char" and (until is None or (event["date"], event["id"]) < (self.last, until))]
        inherited = self.events[0].get("inherited", {})
        first = self.before(inherited.get("last_char") if self.events[0]["job"] == "made-from" else self.head.get("charred"))
        starts = ([(first, self.arrived)] if first else []) + [(event["date"], event["date"]) for event in found]
        ends = [(event["date"], "re-charred") for event in found][len(starts) == len(found) :]
        ends += [(self.last, "retired or gone" if self.end else "")] if starts else []
        for (start, entry), (last, kind) in zip(starts, ends, strict=True):
            yield (entry - start).days or -1, (max(last, start) - start).days, kind


def reread(book: Path, day: str) -> list[Reread]:
    files = files_of(book)
    return [one for data in files if (one := Reread(data, date.fromisoformat(day))).events]


def account(book: Path, day: str, *words: str) -> Data:
    found = caskbook("report", "service", *words, "--records", str(book), "--as-of", day, "--format", "json")
    assert found.returncode == 0, found.stderr
    read: Data = json.loads(found.stdout)["accounts"][0]
    return read


def kept(book: Path, day: str, what: str) -> Counter[tuple[int, int, str]]:
    """The spans as the report has them, in days: (watched from, -1 from the start; end; kind) → how many."""
    from caskbook.cli.common import open_book
    from caskbook.cli.whole_book import lives_of
    from caskbook.life.service import services_of

    found: Counter[tuple[int, int, str]] = Counter()
    for life in lives_of(open_book(str(book), day), told=False):
        for one in services_of(life):
            if one.what == what and one.start:
                entry = -1 if one.entry is None else (one.entry - one.start).days
                found[entry, ((one.end or life.day) - one.start).days, one.kind] += one.weight
    return found


@pytest.mark.parametrize("day", DAYS)
def test_the_same_chars(book: Path, day: str) -> None:
    mine = Counter(span for cask in reread(book, day) for span in cask.chars())
    assert kept(book, day, "char") == mine
    watched = Counter(kind for (entry, last, kind), count in mine.items() if entry < last for _ in range(count))
    whole = account(book, day, "char")["whole"]
    assert (whole["ends"], whole["censored"]) == ({kind: count for kind, count in watched.items() if kind}, watched[""])
    assert sum(mine.values()) >= 50


@pytest.mark.parametrize("day", DAYS)
def test_the_same_casks(book: Path, day: str) -> None:
    own, apart = Counter[str](), Counter[str]()
    for cask in reread(book, day):
        built = cask.events[0]["job"] in ("raise", "made-from")
        start = cask.arrived if built else cask.before(cask.head.get("made"))
        if cask.last > cask.arrived or start in (None, cask.arrived):
            (apart if start is None else own)[cask.how] += 1
    read = account(book, day, "cask")
    for counts, told in ((own, read["whole"]), (apart, read["from_receipt"])):
        assert (told["ends"], told["censored"]) == ({kind: count for kind, count in counts.items() if kind}, counts[""])


@pytest.mark.parametrize("day", DAYS)
def test_the_same_staves_replaced(book: Path, day: str) -> None:
    bung, others = 0, 0
    for cask in reread(book, day):
        assert not any(event["job"] == "bung" and event.get("action") == "moved" for event in cask.events)
        down = next((n for n, event in enumerate(cask.events) if event["job"] == "knock-down"), len(cask.events))
        there = set(range(1, (cask.head.get("staves") or 0) + 1)) if cask.events[0]["job"] != "made-from" else set()
        for n, event in enumerate(cask.events[: cask.events.index(cask.end) if cask.end else None]):
            there = set() if n == down else there
            if event["job"] == "stave" and event["action"] == "replace":
                assert "staves_after" not in event
                numbers = {int(str(name).removeprefix("stave-").rstrip("ab")) for name in event["staves"]}
                bung, others = bung + (1 in numbers & there), others + len(numbers & there - {1})
                there |= numbers
    read = account(book, day, "stave", "--by", "position")
    ended = {one["name"]: one["ended"] for one in read["groups"]}
    apart = read["from_receipt"]["ended"] if read["from_receipt"] else 0
    assert ended["bung stave"] + ended["other staves"] + apart == bung + others
    assert ended["bung stave"] <= bung and ended["other staves"] <= others
    assert bung and others


def test_the_chars_that_serve_have_the_fills_that_list_says(book: Path) -> None:
    rows = json.loads(caskbook("list", "--records", str(book), "--as-of", DAYS[1], "--format", "json").stdout)
    charred = [row for row in rows if row["last_char"] and row["state"] not in ("gone", "missing") and "retired" not in row["marks"]]
    read = account(book, DAYS[1], "char", "--by-fills")
    known = sum(row["fills_since_char"] is not None for row in charred)
    missing = sum(row["state"] == "missing" and row["last_char"] is not None for row in rows)
    left = read["left_out"].get("no fill since they came", 0)
    assert read["whole"]["censored"] <= known + missing <= read["whole"]["censored"] + left


@crossed("day,what", [*DAYS, "2020-02-29"], ["char", "cask", "stave"])
def test_with_an_index_and_without_one_and_at_a_day_between(book: Path, monkeypatch: pytest.MonkeyPatch, day: str, what: str) -> None:
    with_index = account(book, day, what)
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    assert account(book, day, what) == with_index


def test_a_warm_index_reads_no_file_of_a_cask(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told = account(book, DAYS[1], "char")
    monkeypatch.setattr("caskbook.ledger.files.read_record", lambda *_, **__: pytest.fail("a file of a cask is read"))
    assert account(book, DAYS[1], "char") == told
