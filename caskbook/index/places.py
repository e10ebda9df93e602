"""Where a cask lay on the day of an entry, and in which store, as SQL of the views: by the settings of the day asked about."""

from __future__ import annotations

import json
from collections.abc import Mapping

from caskbook.index.answer import Answer


def berth_of_entry(answer: Answer) -> str:
    """SQL of the berth at an entry, for rows a, l and e: of a cask with several files by all of them, else as its own file has it."""
    return _of_going_on(answer, _STAY, 'e."berth"')


def store_of_entry(answer: Answer) -> str:
    """SQL of the store of that berth."""
    return store_of(answer, berth_of_entry(answer), _of_going_on(answer, "g.type", "l.type"))


_STAY = (
    "(SELECT json_extract(s.value, '$[2]') FROM json_each(g.stays) s"
    " WHERE (json_extract(s.value, '$[0]'), json_extract(s.value, '$[1]')) <= (e.date, e.id) ORDER BY s.key DESC LIMIT 1)"
)


def _of_going_on(answer: Answer, asked: str, alone: str) -> str:
    """SQL that asks the row `g` of the cask that goes on, where the entry's cask has several files; else what is so without it."""
    if not answer.joined:
        return alone
    rows = f"SELECT {asked} FROM main.answer_life b JOIN main.life g ON g.id = b.life WHERE b.answer = {answer.number} AND b.cask = a.cask AND g.cask = a.cask"
    return f"CASE WHEN l.cask <> a.cask OR l.stays IS NOT NULL THEN ({rows}) ELSE {alone} END"


def store_of(answer: Answer, berth: str, kind: str) -> str:
    """SQL of the store that a berth lies in, both of SQL; `kind`: of the type of its cask."""
    by_type = stores_on(answer)
    rest = _by_prefix(by_type.pop("", {}), berth)
    own = " ".join(f"WHEN {_text(name)} THEN {_by_prefix(stores, berth)}" for name, stores in by_type.items())
    return f"CASE {kind} {own} ELSE {rest} END" if own else rest


def stores_on(answer: Answer) -> dict[str, dict[str, str]]:
    """Type, or "" for the others → prefix of a berth → store, on the day asked about."""
    row = answer.store.execute("SELECT stores FROM house WHERE id = ?", (answer.snapshot.house,)).fetchone()
    day, found = answer.day.toordinal(), dict[str, dict[str, str]]()
    for since, stores in json.loads(row[0]) if row is not None and row[0] else ():
        found = dict(stores) if since <= day else found
    return found


def _by_prefix(stores: Mapping[str, str], berth: str) -> str:
    """The longest prefix that fits decides, a number at its end being whole, as for a cask today (`Settings.store_of`)."""
    longest_first = sorted(stores.items(), key=lambda one: (-len(one[0]), one[0]))
    cases = " ".join(f"WHEN {_begins(prefix, berth)} THEN {_text(store)}" for prefix, store in longest_first)
    return f"CASE {cases} END" if cases else "NULL"


def _begins(prefix: str, berth: str) -> str:
    begun = f"substr({berth}, 1, {len(prefix)}) = {_text(prefix)}"
    return f"{begun} AND substr({berth}, {len(prefix) + 1}, 1) NOT BETWEEN '0' AND '9'" if prefix[-1:].isdigit() else begun


def _text(value: str) -> str:
    return "'" + value.replace("'", "''") + "'"
