"""Every due rule, behind the others of its rank. What orders the lines is `_rank` of `judging.py`; the place here parts only lines that are else alike."""

from __future__ import annotations

from caskbook.due.claim import CLAIM
from caskbook.due.examine import EXAMINE
from caskbook.due.hold import HOLD
from caskbook.due.look import LOOK
from caskbook.due.loss import LOSS
from caskbook.due.nose import NOSE
from caskbook.due.rechar import RECHAR
from caskbook.due.regauge import REGAUGE
from caskbook.due.retest import RETEST
from caskbook.due.retire import RETIRE
from caskbook.due.rule import Rule

RULES: tuple[Rule, ...] = (
    LOOK,  # rank 1
    HOLD,  # rank 1
    NOSE,  # rank 2
    RETEST,  # rank 3
    EXAMINE,  # rank 3
    RECHAR,  # rank 4
    RETIRE,  # rank 4
    REGAUGE,  # rank 5
    LOSS,  # rank 5
    CLAIM,  # rank 5
)


def rule_named(name: str) -> Rule | None:
    """The rule of that name."""
    return next((rule for rule in RULES if rule.name == name), None)
