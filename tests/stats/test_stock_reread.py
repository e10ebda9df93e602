"""The stock of an invented ledger, counted again from its YAML by a reader of its own, and out of what `list` says of each cask."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from commands import caskbook
from stats.demo_book import book as book
from stats.demo_book import files_of

pytestmark = pytest.mark.thorough

DAYS = ("2016-03-01", "2026-06-30")
LEAVING = ("dispose", "break-up", "convert")
Data = dict[str, Any]


class Reread:
    """One cask of a file on a day by record.md alone: what stands, its fills since char, where it is. Short fills and `count_prior`
    are at their defaults, and a fill's `contents` before us are the house's class where the word is one of these."""

    def __init__(self, data: Data, day: date, of_class: list[str]) -> None:
        events = sorted(data["events"], key=lambda event: (event["date"], event["id"]))
        self.head = {key: value for key, value in data.items() if key != "events"}
        self.of_class, self.contents, self.where, self.gone, self.arrived = of_class, "empty", "here", False, False
        self.fills = self.spirit_fills = self.since_char = self.chars = 0
        self.inherited: Data | None = None
        standing = list(_standing(events))
        for event in standing:
            if event["job"] == "correct":
                self.head |= {key: event[key] for key in ("type", "charred", "prior") if key in event}
        for event in standing:
            if event["date"] <= day:
                self._take(event)

    def _take(self, event: Data) -> None:
        job = event["job"]
        self.arrived = self.arrived or job not in ("note", "void", "moved", "mark")
        if job == "made-from":
            self.inherited = event.get("inherited", {})
        if job in ("fill", "rack-in") and (job == "fill" or self.contents == "empty"):
            self._fill(spirit=True)
        elif job == "receive" and event.get("contents", "empty") != "empty":
            self._fill(spirit=event["contents"] == "spirit")
        elif job == "char":
            self.chars, self.since_char = self.chars + 1, 0
        elif job == "empty" or (job == "rack-out" and not event.get("left_l")):
            self.contents = "empty"
        elif job == "season":
            self.contents = "wine"
        self.where = {"send": "away", "return": "here", "missing": "missing", "found": "here"}.get(job, self.where)
        self.gone = self.gone or job in LEAVING

    def _fill(self, *, spirit: bool) -> None:
        self.contents = "spirit" if spirit else "wine"
        self.fills, self.spirit_fills, self.since_char = self.fills + 1, self.spirit_fills + spirit, self.since_char + 1

    @property
    def before(self) -> int | None:
        """Fills before us, in its whole life; None where that is not known."""
        if self.inherited is not None:
            return self.inherited.get("fills_life")
        prior = self.head.get("prior")
        counts = None if prior is None else [entry.get("fills") for entry in prior]
        return None if counts is None or not all(isinstance(count, int) for count in counts) else sum(counts)

    @property
    def column(self) -> str:
        """never, unknown, or the fills since char."""
        charred = self.head.get("charred")
        if self.chars:
            return str(self.since_char)
        if self.inherited is not None:
            if self.inherited.get("char_count") == 0 and self.inherited.get("last_char") is None:
                return "never"
            known = self.inherited.get("fills_since_char")
            return "unknown" if known is None else str(known + self.since_char)
        if charred == "never":
            return "never"
        return "unknown" if charred in (None, "unknown") or self.before is None else str(self.before + self.since_char)

    @property
    def class_fills(self) -> str:
        """Fills with the house's class of spirit, or `?`."""
        if self.inherited is not None:
            known = self.inherited.get("fills_of_class")
            return "?" if known is None else str(known + self.spirit_fills)
        prior = self.head.get("prior")
        if prior is None or any(entry["contents"] == "unknown" for entry in prior):
            return "?"
        own = [entry.get("fills") for entry in prior if entry["contents"] in self.of_class]
        return str(sum(own) + self.spirit_fills) if all(isinstance(count, int) for count in own) else "?"


def _standing(events: list[Data]) -> Iterator[Data]:
    """The entries in force: neither voided, moved nor replaced by one that is in force itself."""
    out: set[str] = set()
    for event in sorted(events, key=lambda event: event["id"], reverse=True):
        if event["id"] not in out:
            named = event.get("of") if event["job"] in ("void", "moved") else event.get("replaces")
            out |= {named} if isinstance(named, str) else set()
    return (event for event in events if event["id"] not in out)


def stock(book: Path, day: str, *words: str) -> Data:
    found = caskbook("report", "stock", "--records", str(book), "--as-of", day, "--format", "json", *words)
    assert found.returncode == 0, found.stderr
    read: Data = json.loads(found.stdout)
    return read


def in_columns(table: Data) -> Counter[tuple[str, str]]:
    """(row, column) → casks, without those of which there are none."""
    found: Counter[tuple[str, str]] = Counter()
    for row in table["rows"]:
        cells = {**row["since_char"], "never": row["never_charred"], "unknown": row["unknown"]}
        assert sum(cells.values()) == row["casks"]
        found.update({(row["name"], column): casks for column, casks in cells.items()})
    return +found


def at_most(column: str, top: int) -> str:
    return column if not column.isdecimal() or int(column) < top else f"{top}+"


@pytest.mark.parametrize("day", DAYS)
def test_a_reader_of_its_own_counts_the_same(book: Path, day: str) -> None:
    house = yaml.safe_load((book / "house.yaml").read_text(encoding="utf-8"))
    assert "short_fill_days" not in house and "count_prior" not in house
    files = files_of(book)
    assert not any(event["job"] == "same-as" for data in files for event in data["events"])
    read = [Reread(data, date.fromisoformat(day), house["class_of_spirit"]) for data in files]
    begun = [cask for cask in read if cask.arrived]
    kept = [cask for cask in begun if not cask.gone]
    told = stock(book, day)
    here, away, missing = (sum(cask.where == word for cask in kept) for word in ("here", "away", "missing"))
    assert told["whereabouts"] == {"here": here, "away": away, "missing": missing, "gone": len(begun) - len(kept)}
    by_type, _, _, by_class, *_ = told["tables"]
    assert in_columns(by_type) == Counter((cask.head["type"], at_most(cask.column, 5)) for cask in kept)
    assert Counter({row["name"]: row["casks"] for row in by_class["rows"]}) == Counter(cask.class_fills for cask in kept)
    assert len({column for _, column in in_columns(by_type)}) >= 7  # The book has never charred, unknown and five counts at least.


@pytest.mark.parametrize("day", DAYS)
def test_list_grouped_by_hand_counts_the_same(book: Path, day: str) -> None:
    rows = json.loads(caskbook("list", "--records", str(book), "--as-of", day, "--format", "json").stdout)
    kept = [row for row in rows if row["state"] != "gone"]
    told = {table["by"]: table for table in stock(book, day)["tables"]}
    told |= {by: stock(book, day, "--by", by)["tables"][0] for by in ("spirit", "rechars", "wood", "maker", "owner", "parcel", "supplier")}
    plain = {"type": "type", "state": "state", "class-fills": "fills_of_class", "rechars": "rechar_count", "wood": "wood", "maker": "maker",
             "owner": "owner", "parcel": "parcel", "supplier": "supplier"}  # fmt: skip
    for by, table in told.items():
        assert table["total"]["casks"] == len(kept) == sum(row["casks"] for row in table["rows"])
        counts = Counter({row["name"]: row["casks"] for row in table["rows"]})
        if by in plain:
            assert counts == Counter("?" if row[plain[by]] is None else str(row[plain[by]]) for row in kept)
    assert Counter({row["name"]: row["casks"] for row in told["marks"]["rows"]}) == Counter(" + ".join(sorted(row["marks"])) or "no mark" for row in kept)
    for row in told["age"]["rows"]:
        if row["name"][0].isdecimal():
            first, _, last = row["name"].rstrip("+").partition("-")
            assert row["casks"] == sum(one["age_years"] is not None and int(first) <= one["age_years"] <= int(last or 999) for one in kept)
    here = Counter(row["store"] for row in kept if row["store"])
    assert here == Counter({row["name"]: row["casks"] for row in told["store"]["rows"] if row["name"][0] not in "?("})
    limited = [row for row in kept if row["type"] in ("barrel", "hogshead", "quarter-cask") and not row["never_charred"] and not row["wine_held"]]
    reached = [row for row in limited if (row["fills_since_char"] or 0) >= (2 if row["rechar_count"] else 5)]
    assert (told["type"]["total"]["at_limit"], told["type"]["total"]["with_limit"]) == (
        len(reached),
        sum(row["fills_since_char"] is not None for row in limited),
    )
    assert reached


@pytest.mark.parametrize("day", ["2025-05-26", *(pytest.param(day, marks=pytest.mark.slow) for day in DAYS)])
def test_with_an_index_and_without_one_and_at_a_day_between(book: Path, monkeypatch: pytest.MonkeyPatch, day: str) -> None:
    kept = stock(book, day)
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    assert stock(book, day) == kept


def test_a_warm_index_reads_no_file_of_a_cask(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = stock(book, DAYS[1])
    monkeypatch.setattr("caskbook.ledger.files.read_record", lambda *_, **__: pytest.fail("a file of a cask is read"))
    assert stock(book, DAYS[1]) == kept


def test_a_damaged_index_is_made_anew_and_counts_the_same(book: Path) -> None:
    kept = stock(book, DAYS[1])
    (index,) = (book / ".caskbook").glob("*.sqlite")
    data = index.read_bytes()
    index.write_bytes(data[:8192] + b"\xff" * (len(data) - 8192))
    assert stock(book, DAYS[1]) == kept
