"""Casks of which the signs speak for retiring: those proposed, those that may be, and those to be watched, out of the verdicts of `retire`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal, Protocol, get_args

from caskbook.due.retire_words import read_reasons
from caskbook.model.house_due import RetireRule
from caskbook.work.known import Judged

Group = Literal["proposed", "at emptying", "cannot be told", "watched", "kept"]
GROUPS: tuple[Group, ...] = get_args(Group)
_OF_VERDICT: Mapping[str, Group] = {"due": "proposed", "at-emptying": "at emptying", "unknown": "cannot be told"}


class Told(Judged, Protocol):
    """A verdict of the rule with its reasons, however it is kept."""

    @property
    def reasons(self) -> tuple[str, ...]: ...
    @property
    def decided(self) -> str | None: ...


@dataclass(frozen=True, slots=True)
class Candidate:
    """One cask. `signs` in words, `hard` of them (the first ones) enough alone; `needed`: from how many together the house proposes it,
    None where nobody can tell its signs; `unknown`: what is not known and may be one more; `since`: the day since when it has been proposed;
    `decided`: by whom it is kept until when, in words."""

    cask: str
    type: str
    berth: str | None
    group: Group
    signs: tuple[str, ...]
    hard: int
    needed: int | None
    unknown: tuple[str, ...]
    since: date | None
    decided: str | None


@dataclass(frozen=True, slots=True)
class Candidates:
    """The candidates of a day, group by group. `judged`: how many casks the rule was asked about; `of_type`: how many signs the house needs where a type has its own number;
    `limits`: the settings of the rule, those of no type."""

    day: date
    casks: tuple[Candidate, ...]
    judged: int
    needed: int
    of_type: Mapping[str, int]
    limits: Mapping[str, Any]

    def of(self, group: Group) -> list[Candidate]:
        """The casks of a group."""
        return [one for one in self.casks if one.group == group]


def candidate_of(verdict: Told) -> Candidate | None:
    """What a verdict of the rule makes of its cask; None where there is no sign, or it is retired already."""
    told = read_reasons(verdict.reasons)
    if told is None and verdict.verdict != "unknown":
        return None
    signs, hard, unknown, needed = ((), 0, verdict.reasons, None) if told is None else (told.signs, told.hard, told.unknown, told.needed)
    if told is not None and not signs:
        return None
    group: Group = "kept" if verdict.decided else _OF_VERDICT.get(verdict.verdict, "watched")
    return Candidate(verdict.cask, verdict.type, verdict.berth, group, signs, hard, needed, unknown, verdict.since, verdict.decided)


def candidates_of(verdicts: Iterable[Told], day: date, judged: int, rules: Mapping[str | None, RetireRule]) -> Candidates:
    """The casks in their groups: what is due longest before the others, the most signs first, then by number. `rules`: type of cask → the house's settings of the rule, None: all others."""
    found: Sequence[Candidate] = [one for verdict in verdicts if (one := candidate_of(verdict)) is not None]
    rank = {group: at for at, group in enumerate(GROUPS)}
    ordered = sorted(found, key=lambda one: (rank[one.group], -one.hard, -len(one.signs), one.since or date.max, one.cask))
    general = rules[None]
    own = {kind: rule.points for kind, rule in rules.items() if kind is not None and rule.points != general.points}
    limits = {name: getattr(general, name) for name in RetireRule.model_fields if name != "off"}
    return Candidates(day, tuple(ordered), judged, general.points, own, limits)
