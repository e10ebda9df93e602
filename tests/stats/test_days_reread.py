"""What was done in an invented ledger, counted again from its YAML by a reader of its own."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import yaml
from commands import caskbook
from laws import crossed
from stats.demo_book import files_of

pytestmark = pytest.mark.thorough

RANGES = (("2015-01-01", "2019-12-31"), ("2026-01-01", "2026-06-30"))
DAY = "2026-06-30"
DIGITS = "0123456789abcdefghjkmnpqrstvwxyz"
Data = dict[str, Any]


def fallen(events: list[Data]) -> dict[str, str]:
    """Id of what is out of force → the job that put it out, `replaced` where an entry stands in its place."""
    out: dict[str, str] = {}
    for event in sorted(events, key=lambda event: event["id"], reverse=True):
        if event["id"] not in out:
            named = event.get("of") if event["job"] in ("void", "moved") else event.get("replaces")
            if isinstance(named, str):
                out[named] = event["job"] if event["job"] in ("void", "moved") else "replaced"
    return out


def placed(events: list[Data]) -> Iterator[tuple[Data, str | None]]:
    """Each entry with the berth at it: where it puts the cask, else where it lay until then."""
    out, lies = fallen(events), None
    for event in sorted(events, key=lambda event: (event["date"], event["id"])):
        stands = event["id"] not in out
        if stands and event["job"] in ("receive", "fill", "rack-in", "move", "return", "found"):
            lies = event.get("berth", lies)
        yield event, lies
        if stands and event["job"] in ("send", "dispose", "break-up", "convert"):
            lies = None


def minute_day(event_id: str, zone: str) -> date | None:
    """The day of the minute in an id of eight digits; None of a longer one, and of a rank of the first weeks of 2000."""
    number = 0
    for digit in event_id[:8]:
        number = number * 32 + DIGITS.index(digit)
    minutes = (number - (10 << 35)) >> 14
    if len(event_id) > 8 or minutes < 1 << 16:
        return None
    return (datetime(2000, 1, 1, tzinfo=ZoneInfo("UTC")) + timedelta(minutes=minutes)).astimezone(ZoneInfo(zone)).date()


def litres(event: Data) -> tuple[float, float]:
    """In and out."""
    if event["job"] in ("fill", "season", "top"):
        return event["litres"], 0
    if event["job"] == "rack-in":
        return sum(part["litres"] for part in event["from"]), 0
    if event["job"] == "rack-out":
        return 0, sum(part["litres"] for part in event["to"])
    return 0, event["litres"] if event["job"] in ("empty", "draw") else 0


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("days") / "book"
    assert caskbook("demo", str(root), "--casks", "250", "--seed", "5", "--until", DAY).returncode == 0
    return root


def told(book: Path, first: str, last: str, *words: str) -> Data:
    done = caskbook("days", f"{first}..{last}", "--records", str(book), "--as-of", DAY, "--format", "json", *words)
    assert done.returncode == 0, done.stderr
    read: Data = json.loads(done.stdout)
    return read


@pytest.mark.parametrize(("first", "last"), RANGES)
def test_a_reader_of_its_own_counts_the_same(book: Path, first: str, last: str) -> None:
    house = yaml.safe_load((book / "house.yaml").read_text(encoding="utf-8"))
    files = files_of(book)
    assert not any(event["job"] == "same-as" for data in files for event in data["events"])
    start, end = date.fromisoformat(first), date.fromisoformat(last)
    out, right, done = Counter[str](), Counter[str](), list[tuple[str, Data, str | None]]()
    for data in files:
        gone = fallen(data["events"])
        for event, berth in placed(data["events"]):
            if not start <= event["date"] <= end:
                continue
            if event["id"] in gone:
                out[gone[event["id"]]] += 1
            elif event["job"] in ("void", "moved"):
                right[event["job"]] += 1
            else:
                done.append((data["cask"], event, berth))
    found = told(book, first, last)
    rows = {table["by"]: {row["name"]: row for row in table["rows"]} for table in found["tables"]}
    assert (found["entries"], found["casks"]) == (len(done), len({cask for cask, _, _ in done})) and len(done) > 50
    assert found["apart"] == {"out_of_force": dict(out), "putting_right": dict(right), "no_job": 0, "no_day": 0, "casks_in_part": 0}
    assert {job: row["entries"] for job, row in rows["job"].items()} == Counter(event["job"] for _, event, _ in done)
    assert {job: row["casks"] for job, row in rows["job"].items()} == Counter(job for _, job in {(cask, event["job"]) for cask, event, _ in done})
    assert {day: row["entries"] for day, row in rows["day"].items()} == Counter(event["date"].isoformat() for _, event, _ in done)
    tests = Counter(event["result"] for _, event, _ in done if event["job"] == "test")
    total = found["tables"][0]["total"]
    assert (total["passed"], total["failed"], total["no_result"], total["broken"]) == (tests["pass"], tests["fail"], 0, 0)
    assert total["litres_in"] == pytest.approx(sum(litres(event)[0] for _, event, _ in done)) and total["litres_in"] > 0
    assert total["litres_out"] == pytest.approx(sum(litres(event)[1] for _, event, _ in done)) and total["litres_out"] > 0
    stores = sorted(house["stores"].items(), key=lambda one: -len(one[0]))
    lay = [next((store for prefix, store in stores if berth and berth.startswith(prefix)), "no store" if berth else "(no berth)") for _, _, berth in done]
    assert {store: row["entries"] for store, row in rows["store"].items()} == Counter(lay)
    assert {who: row["entries"] for who, row in rows["person"].items()} == Counter(event.get("by", "?") for _, event, _ in done)
    names = {one["initials"]: one.get("name") for one in house["crew"]}
    assert {who: row["person"] for who, row in rows["person"].items() if not who.startswith("shop-")} == {
        who: names[who] for who in rows["person"] if who in names
    }
    behind = [None if (day := minute_day(event["id"], house["timezone"])) is None else (day - event["date"]).days for _, event, _ in done]
    late = [days for days in behind if days is not None and days >= 2]
    assert (found["late"]["entries"], found["late"]["not_told"]) == (len(late), behind.count(None))
    assert (found["late"]["least_days"], found["late"]["most_days"]) == (min(late, default=None), max(late, default=None))
    assert sum(row["late"] for row in rows["person"].values()) == len(late)
    assert first != RANGES[0][0] or late and None in behind and out  # The years hold some of each.


@crossed("span,by", [*RANGES, ("2020-02-01", "2020-02-29")], ["job", "store", "person", "day"])
def test_with_an_index_and_without_one_and_seen_from_other_days(book: Path, monkeypatch: pytest.MonkeyPatch, span: tuple[str, str], by: str) -> None:
    kept = told(book, *span, "--by", by)
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    assert told(book, *span, "--by", by) == kept


def test_a_query_groups_the_same(book: Path) -> None:
    for by in ("job", "store"):
        sql = f"SELECT {by} AS name, count(*) AS n FROM event WHERE stands AND job NOT IN ('void', 'moved') AND date BETWEEN '2019-01-01' AND '2019-12-31' GROUP BY 1"
        rows = json.loads(caskbook("query", sql, "--records", str(book), "--as-of", DAY, "--format", "json").stdout)
        (table,) = told(book, "2019-01-01", "2019-12-31", "--by", by)["tables"]
        assert {row["name"]: row["n"] for row in rows if row["name"]} == {row["name"]: row["entries"] for row in table["rows"] if row["name"][0] != "("}
