"""One job for one cask as it is to be written, and what a run puts on each of its entries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from caskbook.model.ids import DIGITS, RandomBits
from caskbook.model.jobs import own_why
from caskbook.model.jobs.spirit import EMPTIED_WHY


@dataclass(frozen=True)
class Entry:
    """One job for one cask, as it is to be written, but for its id. `data` has job and date; `head` begins a new file.

    Entries of one run with the same `shared` word get one id. `doubts`: figures out of the usual range, as (key, text).
    `closed_on`: the day on which a close that goes without saying was done, where it is not the job's. `event_id`: an id settled
    already, as for the rows of a sheet. `row`: the line of the sheet that it stands on; `assumed`: keys that the row does not say, and
    that came from whose shift it is, so that they make no other row of it. `puts_right`: it is what stands already, on its right day.
    """

    cask: str
    data: Mapping[str, Any]
    head: Mapping[str, Any] | None = None
    before: str | None = None
    shared: str | None = None
    doubts: tuple[tuple[str, str], ...] = ()
    closed_on: date | None = None
    comment: str = ""
    event_id: str | None = None
    row: int | None = None
    assumed: frozenset[str] = frozenset()
    puts_right: bool = False

    @property
    def job(self) -> str:
        """The job's word."""
        return str(self.data["job"])

    @property
    def day(self) -> date:
        """The day of the job."""
        day = self.data["date"]
        assert isinstance(day, date)
        return day


def run_sheet(day: date, by: str | None, bits: RandomBits) -> str:
    """The reference of a run on several casks: run-20261125-ab-x7k2."""
    tail = "".join(DIGITS[bits(5)] for _ in range(4))
    who = "".join(sign for sign in (by or "x") if sign.isalnum() or sign == "-")
    return f"run-{day:%Y%m%d}-{who}-{tail}"


def with_why(data: Mapping[str, Any], why: str | None) -> dict[str, Any]:
    """The reason of an entry made against the house's rules, on the event: in `why`, or in `note` where `why` is a closed list."""
    if not why:
        return dict(data)
    if data["job"] == "empty" and why not in EMPTIED_WHY:
        return {key: value for key, value in data.items() if key != "why" or value != why} | {"note": own_note(str(data.get("note") or ""), why)}
    return {**data, "why": data.get("why") or why}


def put_right_for(data: Mapping[str, Any], reason: str, *, keeps: bool = False) -> dict[str, Any]:
    """The reason of putting an entry right, on the one in its place: in `why`, or in `note` where `why` is a field of the job itself, or
    `keeps` the reason of the work."""
    if keeps or own_why(str(data["job"])):
        return {**data, "note": own_note(str(data.get("note") or ""), reason)}
    return {**data, "why": reason}


def own_note(old: str, new: str) -> str:
    """A note with what it said before, once."""
    if not old or new == old or new.startswith(f"{old}; "):
        return new
    return old if old.endswith(f"; {new}") or not new else f"{old}; {new}"
