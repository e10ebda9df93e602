"""The jobs that a verdict calls for, and verdicts of the days ahead with their jobs, as they are worked out of a life and as they are kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple
from datetime import date
from typing import Any, NamedTuple

from caskbook.due import Rule, Verdict
from caskbook.due.case import case_of
from caskbook.due.retest import repairs_open
from caskbook.life import Life
from caskbook.life.carried import Defect
from caskbook.life.facts import facts_of


class Called(NamedTuple):
    """The jobs that a verdict calls for, in the order of the bench; `if_due`: those that it would call for if it were due; `defects`: the findings that
    they mend."""

    jobs: tuple[str, ...]
    if_due: tuple[str, ...]
    defects: tuple[Defect, ...] = ()

    def as_row(self) -> list[Any]:
        """The same as JSON has it."""
        return [self.jobs, self.if_due, [astuple(one) for one in self.defects]]

    @classmethod
    def of_row(cls, row: Sequence[Any]) -> Called:
        """Back from `as_row`."""
        jobs, if_due, defects = row
        return cls(tuple(jobs), tuple(if_due), tuple(Defect(*one) for one in defects))


def called_by(rule: Rule, word: str) -> Called | None:
    """What a verdict of a rule in this word calls for on any cask; None where that hangs on the cask."""
    return Called(() if word == "blocked" else rule.jobs[:1], rule.jobs[:1]) if rule.calls is None else None


def called_on(life: Life, rule: Rule, word: str) -> Called:
    """The same on a cask as its life has it."""
    plain = called_by(rule, word)
    if plain is not None or rule.calls is None:
        return plain or Called((), ())
    case = case_of(life, facts_of(life))
    return Called(rule.calls(case, word), rule.calls(case, "due"), repairs_open(case) if rule.name == "retest" else ())


class Ahead(NamedTuple):
    """A verdict that is due or blocked from a later day on if nothing is entered, and what it calls for."""

    day: date
    verdict: Verdict
    called: Called

    def as_row(self) -> list[Any]:
        """The same as JSON has it, days as ISO text."""
        values = [value.isoformat() if isinstance(value, date) else value for value in astuple(self.verdict)]
        return [self.day.isoformat(), values, self.called.as_row()]

    @classmethod
    def of_row(cls, row: Sequence[Any]) -> Ahead:
        """Back from `as_row`."""
        day, (cask, kind, berth, rule, word, since, well_past, reasons, decided, changes_on, severity, turns_on), called = row
        verdict = Verdict(cask, kind, berth, rule, word, _day(since), well_past, tuple(reasons), decided, _day(changes_on), severity, _day(turns_on))
        return cls(date.fromisoformat(day), verdict, Called.of_row(called))


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)
