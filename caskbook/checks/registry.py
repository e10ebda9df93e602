"""Every family of findings, in tuples one can read. Each file states its codes with their severities, in its RULES and its CODES.

RULES are asked about one cask's file, with what triggers each of them; CODES are reported by whatever else the file does, or, in a
module of `docs/`, by what lies below the checks: the reading of a file, the form of its data, the fold, the folder of casks.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache
from types import ModuleType

from caskbook.checks import (
    against_itself,
    chronology,
    contents,
    dips,
    donors,
    family,
    head_corrected,
    identity,
    joined_life,
    law,
    likely,
    liquor,
    measured,
    named_twice,
    people,
    putting_right,
    racks,
    room,
    tops,
    twins,
)
from caskbook.checks.rule import Rule
from caskbook.core.finding import Severity

# The rules on one cask's file. Those of the last five look at other casks too.
FAMILIES: tuple[ModuleType, ...] = (
    identity,
    putting_right,
    head_corrected,
    chronology,
    people,
    likely,
    liquor,
    measured,
    named_twice,
    against_itself,
    room,
    contents,
    dips,
    law,
    joined_life,
    donors,
    family,
    racks,
    tops,
    twins,
)
RULES: tuple[Rule, ...] = tuple(rule for one in FAMILIES for rule in one.RULES)


def modules() -> tuple[ModuleType, ...]:
    """Every module that explains codes in its docstrings and states them: loaded when one is asked for, since a check needs few."""
    from caskbook.checks import copied, house_names, house_rules, landed_attributes, landed_beside, tree_names, vats
    from caskbook.checks.docs import beside, form, landed, ledger, policy, policy_wood, values, work, workplaces, yaml_text

    whole_ledger = (vats, copied, house_rules, house_names, beside, tree_names)
    since_a_revision = (landed, landed_beside, landed_attributes)
    below_the_checks = (yaml_text, values, form, ledger, work, workplaces, policy, policy_wood)
    return (*FAMILIES, *whole_ledger, *since_a_revision, *below_the_checks)


@lru_cache(maxsize=4096)
def rules_on(things: frozenset[str]) -> tuple[Rule, ...]:
    """The rules that may have something to say of a file with these jobs and keys; a large ledger is checked the sooner for it."""
    return tuple(rule for rule in RULES if rule.is_asked(things))


@cache
def severities() -> Mapping[str, Severity]:
    """Code → its severity before the house has its say, of every code there is."""
    found: dict[str, Severity] = {}
    for module in modules():
        for rule in getattr(module, "RULES", ()):
            found |= rule.codes
        found |= getattr(module, "CODES", {})
    return found
