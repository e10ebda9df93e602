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
from second.compare import CREW
from second.histories import HOUSES
from second.ledger import write

from caskbook.index import earlier_fills, refresh
from caskbook.index.index import Index
from caskbook.loss.fill_summary import EarlierFill
from caskbook.yaml.write import flow_text
from index.test_beside import QUESTIONS
from index.test_kept_files import rows

_DAY = re.compile(r"\d{4}-\d\d-\d\d")
NOW = datetime(2026, 12, 31, 9, 0, tzinfo=UTC)
TODAY = "2026-12-30"
DATED: list[dict[str, Any]] = [
    {"in_drink_percent": [{"value": 2.0}, {"from": "2021-05-01", "value": 3.5}]},
    {"stores": [{"value": {"W": "wood house"}}, {"from": "2020-02-01", "value": {"W1": "racked", "W3": "dunnage"}}]},
    {"due": [{"value": {"loss": {"fewest_peers": 2}}}, {"from": "2019-07-01", "value": {"loss": {"fewest_peers": 3}}}]},
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


@pytest.mark.parametrize("most", [0, 5000], ids=["large book", "small book"])
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
