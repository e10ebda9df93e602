"""What the index knows of a house's settings: a number for their text, the time zone, how many cannot be read, and which due rules are off."""

from __future__ import annotations

import json
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from caskbook.core.days import DayError, parse_input_day, today_in
from caskbook.core.finding import CaskbookError
from caskbook.index.files_now import content_key
from caskbook.index.snapshot import HOUSE, opened_ledger
from caskbook.index.store import Store
from caskbook.ledger.atomic_write import read_bytes

if TYPE_CHECKING:
    from caskbook.model.house import House


class HouseSettings(NamedTuple):
    """The settings as the index keeps them; `wrong` counts those that cannot be read."""

    number: int
    timezone: str
    wrong: int


def house_settings(store: Store, root: Path, here: Path, revision: str = "", key: str | None = None, settings: bytes | None = None) -> HouseSettings:
    """What the index knows of the settings on disk, or of those of a revision (`key`: git's name of their text), or of those that are tried;
    they are read only where they were never seen."""
    if settings is not None or key is None:
        key = content_key(read_bytes(root / HOUSE) if settings is None else settings)
    query = "SELECT id, timezone, wrong FROM house WHERE key = ?"
    row = store.execute(query, (key,)).fetchone()
    if row is None:
        ledger = opened_ledger(root, here, revision, settings)
        wrong = ledger.house_file.at_default
        with store.transaction():
            values = (key, ledger.house.timezone, wrong, json.dumps(_off(ledger.house)), stores_row(ledger.house))
            store.execute("INSERT OR IGNORE INTO house (key, timezone, wrong, off, stores) VALUES (?, ?, ?, ?, ?)", values)
            store.set_meta("rules", json.dumps(_rules()))
        row = store.execute(query, (key,)).fetchone()
    return HouseSettings(*row)


def _rules() -> list[tuple[str, int]]:
    from caskbook.due import RULES

    return [(rule.name, rule.rank) for rule in RULES]


def _off(house: House) -> list[tuple[str, list[str]]]:
    """(first day, due rules that are off from it on) of each stretch between the days on which a setting changes."""
    from caskbook.due.off import rules_off

    return [(day.isoformat(), rules_off(house, day)) for day in (date.min, *house.starts)]


def stores_row(house: House) -> str:
    """What is kept of a house's stores: [first day as an ordinal, {type, or "" for the others: {prefix of a berth: store}}] for each
    period of its settings, in order, as JSON."""
    own = [kind for kind, settings in house.types.items() if isinstance(settings, dict) and "stores" in settings]
    periods = [(day.toordinal(), {kind: house.on(day, kind or None).stores for kind in ("", *own)}) for day in (date.min, *house.starts)]
    return json.dumps(periods, ensure_ascii=False)


def off_on(store: Store, number: int, day: date) -> list[str]:
    """The due rules that these settings switch off on a day, as `rules_off` names them."""
    row = store.execute("SELECT off FROM house WHERE id = ?", (number,)).fetchone()
    begun = [rules for since, rules in json.loads(row[0]) if since <= day.isoformat()] if row is not None else []
    return list(begun[-1]) if begun else []


def days_in_house(timezone: str, now: datetime, as_of: str | None) -> tuple[date, date]:
    """(the real day in the house, the day asked about). CaskbookError for a day that is none."""
    try:
        today = today_in(timezone, now)
    except DayError:
        today = now.date()
    if as_of is None:
        return today, today
    try:
        return today, parse_input_day(as_of, today)
    except DayError as error:
        raise CaskbookError(f"--as-of: {error}") from None
