"""A past day asked about when the index knows a later one: what is taken from the later life is what the files of that day give."""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from casks import cask_data, ev
from commands import caskbook
from second.compare import CREW
from second.histories import HOUSES
from second.ledger import write

from caskbook.index import earlier_fills, refresh
from caskbook.index.index import Index
from caskbook.index.kept_files import KeptFile
from caskbook.index.snapshot import Snapshot
from caskbook.index.worker import Task, work_out
from caskbook.loss.fill_summary import EarlierFill
from caskbook.yaml.write import flow_text
from index.book import answer, without_index
from index.test_beside import QUESTIONS
from index.test_kept_files import rows

_DAY = re.compile(r"\d{4}-\d\d-\d\d")
NOW = datetime(2026, 12, 31, 9, 0, tzinfo=UTC)
TODAY = "2026-12-30"
DATED: list[dict[str, Any]] = [
    {"in_drink_percent": [{"since": date(2000, 1, 1), "value": 2.0}, {"since": date(2021, 5, 1), "value": 3.5}]},
    {"stores": [{"since": date(2000, 1, 1), "value": {"W": "wood house"}}, {"since": date(2020, 2, 1), "value": {"W1": "racked", "W3": "dunnage"}}]},
    {"due": [{"since": date(2000, 1, 1), "value": {"loss": {"fewest_peers": 2}}}, {"since": date(2019, 7, 1), "value": {"loss": {"fewest_peers": 3}}}]},
]
"""Settings that change between the days that are asked about: what is said of a fill that had ended may be otherwise under them, but for those of due rules."""


def book_of(root: Path, seed: int, shelves: int = 3) -> Path:
    """A ledger of random histories with late entries, voids, replacements, corrections, joins, moves and conversions, and of casks filled time and again."""
    dice = random.Random(seed)
    house = {**dice.choice(HOUSES), "timezone": "UTC"}
    files = write(root, house, seed, shelves, 40)
    for data in (*files.values(), *filled(dice)):
        put_plainly(root, data)
    (root / "house.yaml").write_text("".join(f"{key}: {_plain(value)}\n" for key, value in {**house, **dice.choice([{}, *DATED]), **CREW}.items()))
    return root


def put_plainly(root: Path, data: dict[str, Any]) -> None:
    """A file, written the plain way, so that the index keeps what was read of it."""
    number, lines = data["cask"], [f"{key}: {_plain(value)}" for key, value in data.items() if key != "events"]
    for event in data["events"]:
        own = {key: event[key] for key in ("id", "date", "job")}
        lines += [f"{'    ' if n else '  - '}{key}: {_plain(value)}" for n, (key, value) in enumerate({**own, **event}.items())]
    file = root / "casks" / number[:-3] / f"{number}.yaml"
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text("\n".join([*lines[: len(data) - 1], "events:", *lines[len(data) - 1 :]]) + "\n")


def _plain(value: Any) -> str:
    return value if isinstance(value, str) and _DAY.fullmatch(value) else flow_text(value)


def filled(dice: random.Random) -> Iterator[dict[str, Any]]:
    """Files of casks that were filled and gauged time and again, so that they are peers; entries of any of them may be late, void or put right."""
    for number in range(12):
        day, events = date(2012, 1, 1) + timedelta(dice.randint(0, 900)), [ev("2012-01-01", "receive", verdict="accept", berth="W1/01/1")]
        for _ in range(dice.randint(1, 4)):
            events += (fill := _one_fill(dice, day))
            day = date.fromisoformat(fill[-1]["date"]) + timedelta(dice.randint(1, 200))
        events = [{"id": f"e{n:07d}", **one} for n, one in enumerate(events, 1)]
        for n in range(dice.choice((0, 0, 1, 2))):
            target, when = dice.choice(events[1:]), date(2016, 1, 1) + timedelta(dice.randint(0, 3800))
            again = {**target, "id": f"g{n:07d}", "replaces": target["id"], "note": "read again"}
            events.append(dice.choice([again, ev(str(when), "void", id=f"g{n:07d}", of=target["id"], why="wrong cask")]))
        if dice.random() < 0.3:
            events.append(ev(str(max(day, date(2019, 1, 1))), "dispose", id="h0000001", how="sold"))
        in_order = sorted(events, key=lambda one: (one["date"], one["id"]))
        yield cask_data(*in_order, cask=f"TH-001{number:03d}", type=dice.choice(["barrel", "hogshead"]))


def _one_fill(dice: random.Random, day: date) -> list[dict[str, Any]]:
    """A filling, its gauges, draws and moves, and its emptying."""
    litres, abv, events = 190.0, 63.5, [ev(str(day), "fill", spirit="malt", litres=190.0, abv=63.5, at_20=True)]
    for _ in range(dice.randint(0, 4)):
        day += timedelta(dice.randint(20, 700))
        litres, abv = round(litres * dice.choice([0.98, 0.96, 0.8, 0.26, 1.01]), 1), round(abv - 0.4, 1)
        events.append(dice.choice([
            ev(str(day), "regauge", litres=litres, abv=abv, method="meter", **dice.choice([{"at_20": True}, {}])), ev(str(day), "move", berth=f"W{dice.randint(1, 3)}/02/1"),
            ev(str(day), "draw", litres=5.0, abv=abv, at_20=True), ev(str(day), "leak", at="stave-14", severity="weep"),
        ]))  # fmt: skip
    day += timedelta(dice.randint(1, 400))
    return [*events, ev(str(day), "empty", litres=round(litres * 0.97, 1), abv=abv, at_20=True)]


def days_of(seed: int) -> list[str]:
    """The days that are asked about, in the order of asking."""
    dice = random.Random(seed)
    return [str(date(2014, 1, 1) + timedelta(dice.randint(0, 4600))) for _ in range(3)]


def told(root: Path, day: str, *, disk: bool = True, questions: bool = True) -> list[Any]:
    """All that an answer says of a day."""
    with Index(root, root, NOW, disk=disk, memory=True) as opened:
        assert opened.answer(day) is not None
        tables = [rows(opened, f"SELECT * FROM {table} ORDER BY cask, 2, 3, 4") for table in ("cask", "due")]
        return [*tables, *(ask(opened) for ask in QUESTIONS.values())] if questions else tables


def held_to_the_files(root: Path, seed: int) -> None:
    """One day after the other, each as those before it left the index, is told as it is from the files alone; reports are asked of some of them."""
    with Index(root, root, NOW) as opened:
        assert opened.answer(TODAY) is not None
    for n, day in enumerate(days_of(seed)):
        assert told(root, day, questions=n > 0) == told(root, day, disk=False, questions=n > 0), (seed, day)
    assert told(root, TODAY) == told(root, TODAY, disk=False), seed


@pytest.fixture
def taken(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How many fills were taken from a later life."""
    seen: Counter[str] = Counter()
    real = earlier_fills.fills_of

    def counted(*args: Any, **more: Any) -> Any:
        found = real(*args, **more)
        seen["fills"] += sum(isinstance(one, EarlierFill) for one in found[1])
        return found

    monkeypatch.setattr("caskbook.index.worker.fills_of", counted)
    return seen


@pytest.mark.thorough
@pytest.mark.parametrize("most", [pytest.param(0, marks=pytest.mark.slow), 5000], ids=["large book", "small book"])
def test_past_days_of_random_histories(tmp_path: Path, most: int, taken: Counter[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(refresh, "_MOST_MOVED", most)
    for seed in range(most, most + 3):
        held_to_the_files(book_of(tmp_path / f"book{seed}", seed), seed)
    assert taken["fills"] > 10


@pytest.mark.slow
@pytest.mark.parametrize("most", [0, 5000], ids=["large book", "small book"])
def test_past_days_of_many_random_histories(tmp_path: Path, most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(refresh, "_MOST_MOVED", most)
    for seed in range(100_000 + most, 100_150 + most):
        held_to_the_files(book_of(tmp_path / f"book{seed}", seed), seed)


def opened_after(root: Path, day: str) -> Index:
    """The index, asked about today and then about a past day."""
    with Index(root, root, NOW) as index:
        assert index.answer(TODAY) is not None
    index.answer(day)
    return index


def plain_book(root: Path, *casks: dict[str, Any], house: str = "crew: [{initials: ab}]\ntimezone: UTC\n") -> Path:
    """A ledger of these casks."""
    root.mkdir()
    (root / "house.yaml").write_text(house)
    for data in casks:
        put_plainly(root, data)
    return root


GONE = cask_data(
    ev("2015-01-05", "receive", verdict="accept"), ev("2015-01-06", "fill", spirit="malt", litres=190.0, abv=63.0), ev("2018-03-01", "empty", litres=170.0, abv=61.0),
    ev("2018-03-05", "dispose", how="sold"), cask="TH-001001",
)  # fmt: skip
AGAIN = cask_data(
    ev("2013-01-05", "receive", verdict="accept", berth="W1/01/1"), ev("2013-01-06", "fill", spirit="malt", litres=190.0, abv=63.0, at_20=True),
    ev("2016-03-01", "empty", litres=170.0, abv=61.0, at_20=True), ev("2016-04-01", "fill", spirit="malt", litres=190.0, abv=63.0, at_20=True),
    ev("2022-03-01", "empty", litres=165.0, abv=60.0, at_20=True), cask="TH-001002",
)  # fmt: skip
LATE = cask_data(ev("2022-02-01", "receive", verdict="accept"), cask="TH-001003")


def days_known(index: Index, cask: str) -> list[tuple[str, int]]:
    """(from which day, how many lives) the index has of a cask."""
    found = index.held.store.execute("SELECT from_day, count(*) FROM life WHERE cask = ? GROUP BY 1", (cask,)).fetchall()
    return [(str(date.fromordinal(day)) if day else "", count) for day, count in found]


def test_a_cask_that_is_gone_is_known_since_its_last_entry_and_one_of_which_nothing_was_entered_for_ever(tmp_path: Path) -> None:
    root = plain_book(tmp_path / "book", GONE, AGAIN, LATE)
    with opened_after(root, "2020-06-30") as index:
        assert days_known(index, "TH-001001") == [("2018-03-05", 1)]
        assert days_known(index, "TH-001002") == [("2020-06-30", 1), (TODAY, 1)] or len(days_known(index, "TH-001002")) == 1
        assert ("", 1) in days_known(index, "TH-001003")


@pytest.mark.thorough
def test_a_cask_that_is_gone_is_told_otherwise_before_its_last_entry_and_before_the_settings_that_hold(tmp_path: Path) -> None:
    house = "crew: [{initials: ab}]\ntimezone: UTC\nexamine_valid_days: [{since: 2000-01-01, value: 10}, {since: 2019-05-01, value: 30}]\n"
    root = plain_book(tmp_path / "book", GONE, AGAIN, house=house)
    with opened_after(root, "2020-06-30") as index:
        assert days_known(index, "TH-001001") == [("2019-05-01", 1)]
    for day in ("2018-03-05", "2018-03-04", "2016-01-01"):
        assert told(root, day) == told(root, day, disk=False)


@pytest.mark.thorough
@pytest.mark.parametrize("head", [{}, {"prior": [{"contents": "malt", "fills": 2}]}])
@pytest.mark.parametrize(("house", "some"), [("", True), *((f"{key}: {flow_text(value)}\n", key == "due") for one in DATED for key, value in one.items())])
def test_a_fill_before_the_latest_is_taken_as_long_as_the_settings_are_the_same(
    tmp_path: Path, house: str, some: bool, head: dict[str, Any], taken: Counter[str]
) -> None:
    root = plain_book(tmp_path / "book", {**AGAIN, **head}, house="crew: [{initials: ab}]\ntimezone: UTC\n" + house)
    for day in ("2018-06-30", "2014-01-01"):
        assert told(root, TODAY) and told(root, day) == told(root, day, disk=False)
    assert (taken["fills"] > 0) == some


@pytest.mark.thorough
def test_of_a_fill_that_had_not_ended_and_of_the_latest_nothing_is_taken(tmp_path: Path, taken: Counter[str]) -> None:
    root = plain_book(tmp_path / "book", AGAIN)
    for day in ("2016-03-15", "2015-01-01", "2023-01-01"):
        taken.clear()
        with opened_after(root, day):
            assert taken["fills"] == (day == "2023-01-01")
        assert told(root, day) == told(root, day, disk=False)


def rows_of(root: Path, name: str, day: date) -> list[Any]:
    """What one process makes of one file as it is kept, on a day, after the index was asked about today; and of the file itself."""
    with Index(root, root, NOW) as index:
        assert index.answer(TODAY) is not None
        store = index.held.store
        version, key, data = store.execute("SELECT v.id, v.key, k.data FROM kept k JOIN version v ON v.id = k.version WHERE v.name = ?", (name,)).fetchone()
        opened = Task(Snapshot(root, root, 1, day, "", today=NOW.date()).open_ledger, day, key, beside=False)()
        return work_out(opened, [KeptFile(name, key, data), name])


def test_files_worked_out_together_are_told_as_each_by_itself(tmp_path: Path) -> None:
    root = book_of(tmp_path / "book", 7, shelves=1)
    with Index(root, root, NOW) as index:
        assert index.answer(TODAY) is not None
        found = index.held.store.execute("SELECT v.name, v.key, k.data FROM version v LEFT JOIN kept k ON k.version = v.id ORDER BY v.name").fetchall()
    items = [name if data is None else KeptFile(name, key, data) for name, key, data in found]
    items.insert(2, KeptFile(found[0][0], found[0][1], found[-1][2]))  # What is kept of it is of another cask: it is read.
    opened = Task(Snapshot(root, root, 1, date(2020, 6, 30), "", today=NOW.date()).open_ledger, date(2020, 6, 30), found[0][1], beside=False)()
    together = work_out(opened, items)
    assert together == [work_out(opened, [item])[0] for item in items] and together[2].key == found[0][1]
    assert any(one.needs for one in together) and not all(one.needs for one in together)


def test_a_cask_that_had_not_begun_is_told_by_its_head_as_by_its_file(tmp_path: Path) -> None:
    root = plain_book(tmp_path / "book", {**LATE, "wood": "american oak", "maker": "a shop", "parcel": "P-1", "made": 2009})
    for day in (date(2022, 1, 31), date(1999, 1, 1)):
        kept, read = rows_of(root, "casks/TH-001/TH-001003.yaml", day)
        assert {name: value for name, value in read.life.items() if value is not None} == {
            name: value for name, value in kept.life.items() if value is not None
        }
        assert (kept.from_day, kept.until_day, kept.needs) == (read.from_day, read.until_day, read.needs) == (0, date(2022, 2, 1).toordinal(), {})


@pytest.mark.thorough
@pytest.mark.parametrize(
    "words", [("due", "--all", "--format", "json"), ("list", "--format", "json"), ("report", "loss", "--format", "json"), ("report", "stock"), ("show", "TH-001003", "--format", "json")],
    ids=lambda words: " ".join(words[:2]),
)  # fmt: skip
def test_the_command_says_of_a_past_day_what_it_says_from_the_files(tmp_path: Path, words: tuple[str, ...]) -> None:
    root = book_of(tmp_path / "book", 7)
    assert caskbook("due", "--as-of", TODAY, "--records", str(root)).returncode in (0, 1)
    for day in ("2020-06-30", "2017-03-01"):
        with without_index():
            expected = answer(root, *words, day=day)
        assert answer(root, *words, day=day) == expected, day
        assert expected[1]
