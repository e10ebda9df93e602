"""What asks for work in the weeks of a plan: out of the index, and out of the files of the casks that turn, that are tipped or that have to be looked into."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from caskbook.due import RULES, Rule, judge, rule_named
from caskbook.due.case import case_of
from caskbook.due.retest import repairs_open
from caskbook.ledger.files import Ledger
from caskbook.life import Life
from caskbook.life.carried import Defect
from caskbook.life.facts import facts_of
from caskbook.loss import PeerTable, losses_of
from caskbook.work.coming import Files, files_of, tipped, turns
from caskbook.work.job import Why
from caskbook.work.known import Judged, Known

_PRESSING = {"due", "blocked"}


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
    """A verdict that is due or blocked, from a day on; the life it was judged on, None where the index knew it."""

    verdict: Judged
    due: date | None
    life: Life | None = None
    tip: bool = False


_Found = dict[tuple[str, str], list[_Seen]]


@dataclass
class Gathering:
    """The work of a book from a day up to another. `tips`: cask → the day on which it is to be emptied; `refused` are those that cannot be, with
    the reason; `open_on_tipped`: how many findings stand open on the others once they are empty."""

    known: Known
    ledger: Ledger
    day: date
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
        """The same as `_later` of a cask of which each rule can be judged by itself, from the first day on that the index has for it. `first`:
        rule → that day."""
        files, found = files_of(self.ledger, cask, self.day), []
        lives: dict[date, Life] = {}
        for name, day in first.items():
            on: date | None = day
            while on is not None and on <= self.until:
                if on not in lives:
                    lives[on] = files.life(on)
                life, rule = lives[on], _rule(name)
                verdict = judge(life, facts_of(life), (rule,))[0]
                if verdict.verdict in _PRESSING:
                    found.append((on, RULES.index(rule), _Seen(verdict, on, life if rule.calls else None)))
                on = verdict.changes_on
        return [seen for *_, seen in sorted(found, key=lambda one: one[:2])]

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
        """The work of a cask that is emptied on a day: what cannot wait until then, and what follows. The rest falls away."""
        files = self.files(cask)
        empty = tipped(files, day)
        if isinstance(empty, str):
            self.refused.append((cask, f"cannot be emptied on {day}: {empty}"))
            return
        after: _Found = {}
        for seen in self._later(empty, day, excess=losses_of(files.life(day), self._peers).running(), tip=True):
            _note(after, cask, seen)
        self.open_on_tipped += len(empty.life(day).state.defects)
        for key in [key for key in found if key[0] == cask]:
            first, rule = found[key][0], _rule(key[1])
            if key in after:
                del after[key]
            elif rule.kind != "must" or (first.due is not None and first.due > day):
                self._fallen.append(Call(first.verdict, rule, first.due, rule.jobs[:1], why="falls away with the tip"))
                del found[key]
        found.update(after)

    def _resolved(self, found: _Found, retiring: Mapping[str, date]) -> Iterator[Call]:
        """Each as a call: by the first of its verdicts that calls for a job, else as one that is blocked. `retiring`: cask → the day on which its
        retirement is proposed, from which on some work is in vain."""
        for (cask, name), seen in found.items():
            rule = _rule(name)
            calls = [(one, self._jobs(rule, one, one.verdict.verdict)) for one in seen]
            one, jobs = next(((one, jobs) for one, jobs in calls if jobs), (seen[0], ()))
            vain = rule.if_kept and retiring.get(cask, date.max) <= max(one.due or self.day, self.day)
            why: Why | None = "retirement proposed" if vain else None if jobs else "blocked"
            case = case_of(life, facts_of(life)) if jobs and rule.name == "retest" and (life := self._life(one)) else None
            defects = repairs_open(case) if case is not None and why is None else ()
            yield Call(one.verdict, rule, one.due, jobs or self._jobs(rule, one, "due"), one.tip, why, defects)

    def _jobs(self, rule: Rule, seen: _Seen, word: str) -> tuple[str, ...]:
        """The jobs that a verdict calls for in this word."""
        if rule.calls is None:
            return () if word == "blocked" else rule.jobs[:1]
        life = self._life(seen)
        return rule.calls(case_of(life, facts_of(life)), word)

    def _life(self, seen: _Seen) -> Life:
        return seen.life if seen.life is not None else self.files(seen.verdict.cask).life(self.day)


def _note(found: _Found, cask: str, seen: _Seen) -> None:
    """Put a verdict down, once for each word."""
    rows = found.setdefault((cask, seen.verdict.rule), [])
    if all(one.verdict.verdict != seen.verdict.verdict for one in rows):
        rows.append(seen)


def _rule(name: str) -> Rule:
    rule = rule_named(name)
    assert rule is not None, name
    return rule
