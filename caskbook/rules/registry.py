"""All rules on one cask's file, in a tuple you can read. Those of OTHERS look at other casks too."""

from __future__ import annotations

from caskbook.rules import (
    chronology,
    donors,
    family,
    identity,
    law,
    likely,
    liquor,
    people,
    putting_right,
    racks,
    twins,
)
from caskbook.rules.context import Rule

OWN: tuple[Rule, ...] = (
    *identity.RULES,
    *putting_right.RULES,
    *chronology.RULES,
    *people.RULES,
    *likely.RULES,
    *liquor.RULES,
    *law.RULES,
)
OTHERS: tuple[Rule, ...] = (*donors.RULES, *family.RULES, *racks.RULES, *twins.RULES)
RULES: tuple[Rule, ...] = OWN + OTHERS
