"""The verdicts on a life as rows of the index."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from caskbook.due import RULES, Verdict
from caskbook.due.losses import LossCase
from caskbook.index.fill_rows import iso
from caskbook.index.quiet import quiet_text
from caskbook.words.verdicts import LETTER

RULE_NUMBER = {rule.name: n for n, rule in enumerate(RULES)}


def words_of(verdicts: Sequence[Verdict], case: LossCase | None) -> str:
    """A letter for each rule; that of `loss` stands until its peers are known."""
    found = {verdict.rule: LETTER[verdict.verdict] for verdict in verdicts}
    if case is not None:
        found["loss"] = LETTER["ok"]
    return "".join(found.get(rule.name, "-") for rule in RULES)


def due_rows(verdicts: Sequence[Verdict]) -> list[tuple[Any, ...]]:
    """A row for each that is not ok: its rule, its word, then as `verdict_row` has it."""
    return [(RULE_NUMBER[v.rule], v.verdict, *verdict_row(v)) for v in verdicts if v.verdict != "ok"]


def verdict_row(v: Verdict) -> tuple[Any, ...]:
    """(since, well past, severity, reasons, decided, on which day its word changes) as the index keeps them."""
    since, changes = iso(v.since), iso(v.turns_on)
    return since, int(v.well_past), v.severity, "\n".join(v.reasons), v.decided, changes


def quiet_row(verdicts: Sequence[Verdict]) -> str:
    """The verdicts that call for nothing, out of the way."""
    return quiet_text(((RULE_NUMBER[v.rule], *verdict_row(v)) for v in verdicts if v.verdict == "ok"), len(RULES))
