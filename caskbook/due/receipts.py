"""What became of a received cask: until when its supplier takes claims, what was found in time, whether it was looked into, its first test."""

from __future__ import annotations

from datetime import date
from typing import Any, NamedTuple

from caskbook.due.claim import claimable
from caskbook.life import Life
from caskbook.life.receipt import claim_day
from caskbook.model.jobs import Event
from caskbook.model.jobs.arrival import Receive
from caskbook.words.job_table import jobs_with

FAILED, PASSED = "fail", "pass"
NOT_YET, FILLED_FIRST, LEFT = "not yet tested", "filled before any test", "left before any test"
_LIQUOR_IN, _ENDS = frozenset(jobs_with("liquor-in")), frozenset(jobs_with("ends"))


class Received(NamedTuple):
    """A receipt. `day`: of it; `claims_to`: the last day for a claim, None where nothing tells of one; `tested`: the day of the first test before anything was filled into the cask, and
    `result` what it said, FAILED or PASSED, else why there is none; `examined`: the first day on which it was looked into; `faults`: the days
    of what was found from the receipt to the last day for a claim; `decided`: the outcome of the last decision on a claim; `left`: the day on
    which the cask left the book."""

    day: date
    claims_to: date | None
    tested: date | None
    result: str
    examined: date | None
    faults: tuple[date, ...]
    decided: str
    left: date | None

    def as_row(self) -> list[Any]:
        """The receipt as JSON has it, days as ISO text."""
        return [value.isoformat() if isinstance(value, date) else [day.isoformat() for day in value] if isinstance(value, tuple) else value for value in self]

    @classmethod
    def of_row(cls, row: list[Any]) -> Received:
        """The receipt back from `as_row`."""
        day, to, tested, result, examined, faults, decided, left = row
        found = tuple(map(date.fromisoformat, faults))
        return cls(date.fromisoformat(day), _day(to), _day(tested), result, _day(examined), found, decided, _day(left))


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


def received_of(life: Life) -> Received | None:
    """The receipt of a life that was received, and what followed; None of a cask made here, and of a life that is told in part."""
    receipt = next((event for event in life.events if isinstance(event, Receive)), None)
    if receipt is None or life.in_part:
        return None
    last = claim_day(life, receipt, life.state.settings)
    after = life.events[life.events.index(receipt) :]
    tested, result = _first_test(receipt, after)
    examined = next((event.date for event in after if event.job == "examine"), None)
    faults = tuple(event.date for event in after if last is not None and event.date <= last and claimable(event))
    decided = next((str(event.outcome) for event in reversed(after) if event.job == "decide" and event.rule == "claim"), "")  # type: ignore[attr-defined]
    left = next((event.date for event in after if event.job in _ENDS), None)
    return Received(receipt.date, last, tested, result, examined, faults, decided, left)


def _first_test(receipt: Receive, after: list[Event]) -> tuple[date | None, str]:
    """(day, result) of the first test before anything is filled in, else (None, why there is none). What leaked and was cured in one go with the
    pass is a fail, as it is one in the life of the cask."""
    if receipt.full:
        return None, FILLED_FIRST
    for event in after:
        if event.job == "test":
            return event.date, FAILED if event.result == "fail" or event.cured_by else PASSED  # type: ignore[attr-defined]
        if event.job in _LIQUOR_IN:
            return None, FILLED_FIRST
        if event.job in _ENDS:
            return None, LEFT
    return None, NOT_YET
