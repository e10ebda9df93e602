"""What asks for work in the weeks of a plan: out of the index, and out of the files of the casks that turn, that are tipped or that have to be looked into."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Any

from caskbook.due import RULES, Rule, judge, rule_named
from caskbook.ledger.files import Ledger
from caskbook.life import Life
from caskbook.life.carried import Defect
from caskbook.life.facts import facts_of
from caskbook.loss import PeerTable, losses_of
from caskbook.work.called import Ahead, Called, called_by, called_on
from caskbook.work.coming import Files, files_of, tipped, turns
from caskbook.work.job import Why
from caskbook.work.known import Judged, Known

_PRESSING = {"due", "blocked"}
_TURNS, _CALLS = "turns", "calls"
"""Kinds of notes: [the last day looked at, what is ahead up to it], and {rule and word: what it calls for on the day}."""


@dataclass(frozen=True, slots=True)
class Call:
    """A rule that calls for work on a cask: `due`, since when or on which day; `jobs`, in the order of the bench; `tip`: by a planned emptying;
    `why`: why nothing of it is planned; `defects`: the findings that the jobs mend."""

    verdict: Judged
    rule: Rule
    due: date | None
    jobs: tuple[str, ...]
    tip: bool = False
    why: Why | None = None
    defects: tuple[Defect, ...] = ()


@dataclass(frozen=True, slots=True)
class _Seen:
    """A verdict that is due or blocked, from a day on; the life it was judged on, or what it calls for, None where the index knew the verdict alone."""

    verdict: Judged
    due: date | None
    life: Life | None = None
    tip: bool = False
    called: Called | None = None


_Found = dict[tuple[str, str], list[_Seen]]


@dataclass
class Gathering:
    """The work of a book from a day up to another. `tips`: cask → the day on which it is to be emptied; `refused` are those that cannot be, with
    the reason; `open_on_tipped`: how many findings stand open on the others once they are empty."""

    known: Known
    ledger: Ledger
    day: date
    begin: date
    until: date
    tips: Mapping[str, date] = field(default_factory=dict)
    refused: list[tuple[str, str]] = field(default_factory=list)
    open_on_tipped: int = 0
    _files: dict[str, Files] = field(default_factory=dict)
    _fallen: list[Call] = field(default_factory=list)

    def calls(self) -> list[Call]:
        """Every call for work, each rule once a cask."""
        found = self._without_tips()
        for cask, day in self.tips.items():
            self._tip(found, cask, day)
        kept = {key: seen for key, seen in found.items() if seen}
        retiring: dict[str, date] = {}
        for (cask, name), seen in kept.items():
            days = [one.due or self.day for one in seen if one.verdict.verdict == "due"]
            if days and _rule(name).kind == "retire":
                retiring[cask] = min(days)
        return [*self._resolved(kept, retiring), *self._fallen]

    @cached_property
    def _kept_turns(self) -> Mapping[str, Any]:
        return self.known.notes.of(_TURNS)

    @cached_property
    def _kept_calls(self) -> dict[str, Any]:
        return dict(self.known.notes.of(_CALLS))

    @cached_property
    def _peers(self) -> PeerTable:
        return self.known.peers()

    def _without_tips(self) -> _Found:
        """Every verdict that is due or blocked on the day, or becomes so up to the last one if nothing is entered."""
        found: _Found = {}
        for row in self.known.pressing:
            found.setdefault((row.cask, row.rule), []).append(_Seen(row, row.since))
        house = self.ledger.house
        first = {} if any(self.day < start <= self.until for start in house.starts) else self.known.turns(self.until)
        for cask in self.known.turning(self.until):
            for seen in self._turned(cask, first[cask]) if cask in first else self._later(self.files(cask), self.day, self._peers):
                if self.known.takes(cask, seen.verdict.type, seen.verdict.berth):
                    _note(found, cask, seen)
        return found

    def _turned(self, cask: str, first: Mapping[str, date]) -> list[_Seen]:
        """The same as `_later` of a cask of which each rule can be judged by itself, from the first day on that the index has for it; out of the notes
        where they reach as far. `first`: rule → that day."""
        until, rows = self._kept_turns.get(cask, ("", ()))
        if until >= self.until.isoformat():
            found = [Ahead.of_row(row) for row in rows]
        else:
            files = files_of(self.ledger, cask, self.day)
            found = self._ahead(files, first)
            self.known.notes.keep(_TURNS, cask, files.read, [self.until.isoformat(), [one.as_row() for one in found]])
        return [_Seen(one.verdict, one.day, called=one.called) for one in found if one.day <= self.until]

    def _ahead(self, files: Files, first: Mapping[str, date]) -> list[Ahead]:
        """What becomes due or blocked by these rules, each from its first day on, in order of days."""
        found: list[tuple[date, int, Ahead]] = []
        lives: dict[date, Life] = {}
        for name, day in first.items():
            on: date | None = day
            while on is not None and on <= self.until:
                if on not in lives:
                    lives[on] = files.life(on)
                life, rule = lives[on], _rule(name)
                verdict = judge(life, facts_of(life), (rule,))[0]
                if verdict.verdict in _PRESSING:
                    found.append((on, RULES.index(rule), Ahead(on, verdict, called_on(life, rule, verdict.verdict))))
                on = verdict.changes_on
        return [ahead for *_, ahead in sorted(found, key=lambda one: one[:2])]

    def _later(self, files: Files, day: date, peers: PeerTable | None = None, excess: int = 0, *, tip: bool = False) -> Iterator[_Seen]:
        """What is due or blocked on the day or later, nothing being entered; of the day itself only where it is a tip's."""
        for turn in turns(files, day, self.until, peers=peers, excess_losses=excess):
            for verdict in turn.verdicts:
                if verdict.verdict in _PRESSING and (tip or turn.day > day):
                    yield _Seen(verdict, turn.day, turn.life, tip)

    def files(self, cask: str) -> Files:
        """The files of a cask as they were known on the day."""
        if cask not in self._files:
            self._files[cask] = files_of(self.ledger, cask, self.day)
        return self._files[cask]

    def _tip(self, found: _Found, cask: str, day: date) -> None:
        """The work of a cask that is emptied on a day: what cannot wait until then, if the plan has begun by then, and what follows. The rest falls away."""
        files = self.files(cask)
        empty = tipped(files, day)
        if isinstance(empty, str):
            unread = files.life(day).unread
            why = f"what is in it nobody can tell, for it cannot be read: {', '.join(unread)}" if unread else empty
            self.refused.append((cask, f"cannot be emptied on {day}: {why}"))
            return
        after: _Found = {}
        for seen in self._later(empty, day, excess=losses_of(files.life(day), self._peers).running(), tip=True):
            _note(after, cask, seen)
        self.open_on_tipped += len(empty.life(day).state.defects)
        for key in [key for key in found if key[0] == cask]:
            first, rule = found[key][0], _rule(key[1])
            if key in after:
                del after[key]
            elif rule.kind != "must" or day < self.begin or (first.due is not None and first.due > day):
                self._fallen.append(Call(first.verdict, rule, first.due, rule.jobs[:1], why="falls away with the tip"))
                del found[key]
        found.update(after)

    def _resolved(self, found: _Found, retiring: Mapping[str, date]) -> Iterator[Call]:
        """Each as a call: by the first of its verdicts that calls for a job, else as one that is blocked. `retiring`: cask → the day on which its
        retirement is proposed, from which on some work is in vain."""
        for (cask, name), seen in found.items():
            rule = _rule(name)
            calls = [(one, self._called(rule, one)) for one in seen]
            one, called = next(((one, called) for one, called in calls if called.jobs), calls[0])
            vain = rule.if_kept and retiring.get(cask, date.max) <= max(one.due or self.day, self.day)
            why: Why | None = "retirement proposed" if vain else None if called.jobs else "blocked"
            yield Call(one.verdict, rule, one.due, called.jobs or called.if_due, one.tip, why, called.defects if why is None else ())

    def _called(self, rule: Rule, seen: _Seen) -> Called:
        """What a verdict calls for; of one that the index knew it is noted, where it had to be read out of the file."""
        about, found = seen.verdict, seen.called or called_by(rule, seen.verdict.verdict)
        if found is not None:
            return found
        if seen.life is not None:
            return called_on(seen.life, rule, about.verdict)
        kept, key = self._kept_calls.get(about.cask, {}), f"{rule.name} {about.verdict}"
        if key in kept:
            return Called.of_row(kept[key])
        files = self.files(about.cask)
        found = called_on(files.life(self.day), rule, about.verdict)
        self._kept_calls[about.cask] = kept | {key: found.as_row()}
        self.known.notes.keep(_CALLS, about.cask, files.read, self._kept_calls[about.cask])
        return found


def _note(found: _Found, cask: str, seen: _Seen) -> None:
    """Put a verdict down, once for each word."""
    rows = found.setdefault((cask, seen.verdict.rule), [])
    if all(one.verdict.verdict != seen.verdict.verdict for one in rows):
        rows.append(seen)


def _rule(name: str) -> Rule:
    rule = rule_named(name)
    assert rule is not None, name
    return rule
