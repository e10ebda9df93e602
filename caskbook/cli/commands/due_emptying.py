"""What `due --soon` counts at its foot: rules that wait for the emptying of every full cask, one line for each of which would bury the list."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from caskbook.cli.commands.due_wanted import Wanted
from caskbook.words.due_names import EVERY_EMPTYING

if TYPE_CHECKING:
    from caskbook.render.verdict import Judged


def set_apart(shown: Sequence[Judged], wanted: Wanted) -> tuple[Sequence[Judged], list[str]]:
    """(the verdicts that are listed, the lines that stand at the foot for the others). Programs get all of them in the list."""
    rules = wanted.set_apart
    if not wanted.for_people or not rules or "at-emptying" not in wanted.verdicts:
        return shown, []
    from caskbook.index.listing import DueRows

    kept: Sequence[Judged]
    if isinstance(shown, DueRows):
        kept, counts = shown.apart(rules)
    else:
        kept = [verdict for verdict in shown if verdict.verdict != "at-emptying" or verdict.rule not in rules]
        counts = Counter(verdict.rule for verdict in shown if verdict.verdict == "at-emptying" and verdict.rule in rules)
    same = ", with the same filters" if wanted.filters else ""
    lines = [_line(rule, counts[rule]) + same for rule in EVERY_EMPTYING if counts[rule]]
    return kept, ["", *lines] if lines else []


def _line(rule: str, count: int) -> str:
    done = f"is {EVERY_EMPTYING[rule]} whenever it is emptied" if count == 1 else f"are {EVERY_EMPTYING[rule]} whenever they are emptied"
    return f"{count} more {done}: caskbook due {rule} --soon"
