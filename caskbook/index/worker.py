"""What one process does with one file: read it, live it to a day, judge it, and turn that into the rows of the index."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from caskbook.cask import Cask
from caskbook.days import add_days
from caskbook.due import RULES, Verdict, changes_on, judge
from caskbook.house import House
from caskbook.index.columns import CASK
from caskbook.index.schema import NEVER, stored
from caskbook.index.trees import content_key
from caskbook.ledger import Ledger, Shelf
from caskbook.life import Life, corrections, live
from caskbook.life.facts import Facts, facts_of
from caskbook.life.fitness import exam_day
from caskbook.record import Record

FACTS = tuple(column.name for column in stored(CASK))
_JSON = tuple(column.name for column in CASK if column.kind in ("list", "map"))
LETTER = {"due": "d", "blocked": "b", "soon": "s", "at-emptying": "e", "unknown": "u", "ok": "o"}
UNREADABLE = "?"
PLACE = {rule.name: n for n, rule in enumerate(RULES)}


@dataclass
class Logged:
    """The files of a ledger, with a note of each that was read and what it held."""

    shelf: Shelf
    like: str = ""
    seen: dict[str, str | None] = field(default_factory=dict)
    shown: str = ""

    def __post_init__(self) -> None:
        self.shown = self.shelf.shown

    def names(self) -> Any:
        """As the shelf has them."""
        return self.shelf.names()

    def read(self, name: str) -> bytes | None:
        """As the shelf does."""
        self.seen[name] = UNREADABLE
        data = self.shelf.read(name)
        self.seen[name] = None if data is None else content_key(data, self.like)
        return data


@dataclass(frozen=True)
class Task:
    """Opens a ledger in each process. `open_ledger` gives it; `like` is a name of content of the kind used."""

    open_ledger: Callable[[], Ledger]
    day: date
    like: str = ""

    def __call__(self) -> Opened:
        ledger = self.open_ledger()
        shelf = Logged(ledger.shelf, self.like)
        ledger.shelf = shelf
        return Opened(ledger, shelf, self.day)


@dataclass
class Opened:
    """A ledger whose reading is noted, and the day asked about."""

    ledger: Ledger
    shelf: Logged
    day: date


@dataclass(slots=True)
class Found:
    """One file worked out. `key` is the name of the content that was read; `needs` name → key of other files that were used;
    `life` the columns of `LIFE` that follow them, `due`, `quiet` and `fills` rows."""

    name: str
    key: str | None
    joins: list[str]
    needs: dict[str, str | None]
    from_day: int
    until_day: int
    life: dict[str, Any]
    due: list[tuple[Any, ...]]
    quiet: str
    fills: list[tuple[Any, ...]]


def work_out(opened: Opened, name: str) -> Found:
    """The rows of one file on the day."""
    shelf, ledger = opened.shelf, opened.ledger
    shelf.seen.clear()
    record = ledger.read_file(name)
    key = shelf.seen.pop(name, None)
    day = opened.day
    if record.cask is None:
        return Found(name, key, [], {}, 0, NEVER, {"unreadable": 1, "begun": 0, "here": 0, "words": ""}, [], "", [])
    life = ledger.life_of(record.cask, day)
    facts = facts_of(life)
    verdicts = judge(life, facts) if life.begun else []
    return Found(
        name, key, joins_of(record, ledger.house), dict(shelf.seen), day.toordinal(), _until(life, facts, verdicts),
        _life_row(life, facts, verdicts), _due_rows(verdicts), _quiet(verdicts), _fill_rows(life),
    )  # fmt: skip


def joins_of(record: Record, house: House) -> list[str]:
    """Numbers that the file says are the same cask."""
    if b"same-as" not in record.data or record.cask is None:
        return []
    return list(live(record.cask, house, date.max).state.joined)


def _until(life: Life, facts: Facts, verdicts: list[Verdict]) -> int:
    """The first later day on which anything but what grows day by day may differ, if nothing is entered."""
    st, day = life.state, life.day
    days = [changes_on(life, verdicts), *(start for start in life.house.starts if start > day), *_later(life, day)]
    if life.begun and st.form != "gone":
        settings = life.house.on(day, st.type)
        examined = exam_day(st)
        if examined is not None:
            days.append(add_days(examined, settings.examine_valid_days + 1))
        if st.last_pass is not None:
            days.append(add_days(st.last_pass.date, settings.test_valid_days + 1))
    if facts.wood_left is not None:
        days.append(add_days(day, 1))
    return min((one.toordinal() for one in days if one is not None and one > day), default=NEVER)


def _later(life: Life, day: date) -> list[date]:
    """Days of later events; of a cask with joined files, the next day: their events are not at hand here."""
    if life.state.joined:
        return [add_days(day, 1)]
    return [event.date for event in life.cask.events if event.date > day]


def _life_row(life: Life, facts: Facts, verdicts: list[Verdict]) -> dict[str, Any]:
    st = life.state
    filling = st.filling if st.contents == "spirit" else None
    filling = filling if filling is not None and filling.is_spirit else None
    row = {name: getattr(facts, name) for name in FACTS}
    for name in _JSON:
        row[name] = json.dumps(row[name], default=str, ensure_ascii=False) if row[name] else None
    for name, value in row.items():
        if isinstance(value, date):
            row[name] = value.isoformat()
    row.update(
        begun=int(life.begun),
        here=int(life.begun and facts.state not in ("gone", "away", "missing")),
        words="".join(LETTER[v.verdict] for v in _by_place(verdicts)),
        filling_from=filling.start.toordinal() if filling else None,
        filling_since_char=max(filling.start, st.last_char or filling.start).toordinal() if filling else None,
        wood_days=st.wood_days if life.begun else None,
        wood_days_since_char=st.wood_days_since_char if facts.years_in_wood_since_char is not None else None,
        unreadable=0,
    )
    return row


def _by_place(verdicts: list[Verdict]) -> list[Any]:
    found = {verdict.rule: verdict for verdict in verdicts}
    return [found.get(rule.name, _NOT_ASKED) for rule in RULES]


@dataclass(frozen=True)
class _NotAsked:
    verdict: str = "-"


_NOT_ASKED = _NotAsked()
LETTER["-"] = "-"


def _due_rows(verdicts: list[Verdict]) -> list[tuple[Any, ...]]:
    return [(PLACE[v.rule], v.verdict, *_told(v)) for v in verdicts if v.verdict != "ok"]


def _told(v: Verdict) -> tuple[Any, ...]:
    since = v.since.isoformat() if v.since else None
    changes = v.changes_on.isoformat() if v.changes_on else None
    return since, int(v.well_past), v.severity, "\n".join(v.reasons), v.decided, changes


def _quiet(verdicts: list[Verdict]) -> str:
    """The verdicts that call for nothing, out of the way."""
    rows = [[PLACE[v.rule], *_told(v)] for v in verdicts if v.verdict == "ok"]
    return json.dumps(rows, ensure_ascii=False, separators=(",", ":"))


def _fill_rows(life: Life) -> list[tuple[Any, ...]]:
    return [
        (f.event, f.count, f.spirit, f.start.isoformat(), f.end.isoformat() if f.end else None, f.litres, f.abv, int(f.is_spirit), int(f.short))
        for f in life.state.fillings
    ]


def event_rows(cask: Cask) -> list[tuple[Any, ...]]:
    """The rows of the table `event` of one file, all entries, in file order."""
    fallen = corrections(cask.events).fallen
    rows = []
    for row, event in enumerate(cask.events):
        data = event.model_dump(mode="json", by_alias=True, exclude_unset=True, exclude_none=True)
        rows.append(
            (row, event.id, event.date.isoformat(), event.job, data.get("by"), data.get("sheet"), data.get("note"), int(event.id not in fallen),
             fallen.get(event.id), data.get("litres"), data.get("abv"), data.get("psi"), json.dumps(data, ensure_ascii=False))
        )  # fmt: skip
    return rows


def tell(opened: Opened, name: str) -> tuple[str, str | None, list[tuple[Any, ...]]]:
    """(name, key, rows of `event`) of one file."""
    opened.shelf.seen.clear()
    record = opened.ledger.read_file(name)
    return name, opened.shelf.seen.get(name), event_rows(record.cask) if record.cask is not None else []
