"""How verdicts turn where the settings of the house are others: counted cask by cask."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from caskbook.words.due_names import DUE_NAMES
from caskbook.words.verdicts import RANK

Words = Mapping[str, str]
"""Rule → verdict, of one cask; a rule that says nothing of it is ok."""
_PRESSED = frozenset(("due", "blocked"))


@dataclass(frozen=True, slots=True, order=True)
class Turn:
    """One rule that says `then` where it said `now`."""

    rule: str
    now: str
    then: str

    @property
    def place(self) -> tuple[int, int, int]:
        """Turns in the order of the rules, what presses most first."""
        return DUE_NAMES.index(self.rule) if self.rule in DUE_NAMES else len(DUE_NAMES), RANK[self.then], RANK[self.now]


@dataclass(slots=True)
class Turns:
    """How many casks become due or blocked by any rule (`newly`), are it no more (`no_longer`), how many more wait for their emptying, or no
    longer do so without being due; and each turn with its casks, in the order in which they were counted."""

    newly: int = 0
    no_longer: int = 0
    at_emptying: int = 0
    no_longer_at_emptying: int = 0
    casks: int = 0
    turns: dict[Turn, list[str]] = field(default_factory=dict)

    def count(self, cask: str, before: Words, after: Words) -> None:
        """Count one cask, judged under either book of settings."""
        was, now = _by(before, "at-emptying"), _by(after, "at-emptying")
        pressed, presses = _by(before, *_PRESSED), _by(after, *_PRESSED)
        self.newly += bool(presses - pressed)
        self.no_longer += bool(pressed - presses)
        self.at_emptying += bool(now - was)
        self.no_longer_at_emptying += bool(was - now - presses)
        found = [Turn(rule, *both) for rule in before.keys() | after.keys() if (both := (before.get(rule, "ok"), after.get(rule, "ok")))[0] != both[1]]
        self.casks += bool(found)
        for turn in found:
            self.turns.setdefault(turn, []).append(cask)

    def in_order(self) -> list[tuple[Turn, list[str]]]:
        """Each turn with its casks, by rule, what presses most first."""
        return sorted(self.turns.items(), key=lambda one: one[0].place)


def _by(words: Words, *verdicts: str) -> set[str]:
    return {rule for rule, word in words.items() if word in verdicts}
