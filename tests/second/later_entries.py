"""Entries that put others right, whatever their days; and the file as it would be if the book ended on a day."""

from __future__ import annotations

import random
from datetime import date, timedelta
from typing import Any

Event = dict[str, Any]
DATED: dict[str, Any] = {
    "test_limit_psi": [{"since": date(2000, 1, 1), "value": 12}, {"since": date(2017, 3, 1), "value": 11}, {"since": date(2021, 6, 15), "value": 12}],
    "drive_unproves": [{"since": date(2000, 1, 1), "value": True}, {"since": date(2019, 2, 1), "value": False}],
}
"""Settings that are others from a day on."""
_STAYS = ("void", "moved", "same-as", "correct")
"""What holds for all days."""


def put_right(dice: random.Random, data: dict[str, Any], number: int) -> None:
    """So many entries of a file more that put some entry right, of whatever day: the replacement is of its day, an earlier or a later one."""
    for n in range(number):
        target, own = dice.choice(data["events"][1:] or data["events"]), f"y{n:07d}"
        day = date.fromisoformat(target["date"]) + timedelta(dice.choice([0, 0, 0, 1, 30, 300, -1, -30, -300]))
        if target["job"] in ("void", "moved", "same-as") or dice.random() < 0.2:
            entry = {"date": str(max(day, date.fromisoformat(target["date"]))), "job": "void", "by": "ab", "of": target["id"], "why": "wrong"}
        else:
            entry = {
                **target,
                "date": str(max(day, date.fromisoformat(data["events"][0]["date"]))),
                "replaces": target["id"],
                "why": target.get("why", "misread"),
            }
        data["events"].append({**entry, "id": own})
    data["events"].sort(key=lambda one: (one["date"], one["id"]))


def cut(data: dict[str, Any], day: date) -> dict[str, Any]:
    """The file with a bare note in the place of each entry of a later day: it puts out of force what that did, and says nothing else."""

    def bare(entry: Event) -> Event:
        if entry["date"] <= str(day) or entry["job"] in _STAYS:
            return entry
        kept = {key: entry[key] for key in ("replaces", "moved_from") if key in entry}
        return {
            **{key: entry[key] for key in ("id", "date")},
            "job": "note",
            "by": "ab",
            "note": "nothing",
            **kept,
            **({"why": "misread"} if "replaces" in kept else {}),
        }

    return {**data, "events": [bare(entry) for entry in data["events"]]}
