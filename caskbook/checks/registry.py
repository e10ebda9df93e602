"""All rules on one cask's file, in a tuple you can read. Those of OTHERS look at other casks too."""

from __future__ import annotations

from functools import lru_cache

from caskbook.checks import (
    chronology,
    contents,
    donors,
    family,
    identity,
    law,
    likely,
    liquor,
    measured,
    people,
    putting_right,
    racks,
    room,
    twins,
)
from caskbook.checks.context import Rule

OWN: tuple[Rule, ...] = (
    *identity.RULES,
    *putting_right.RULES,
    *chronology.RULES,
    *people.RULES,
    *likely.RULES,
    *liquor.RULES,
    *measured.RULES,
    *room.RULES,
    *contents.RULES,
    *law.RULES,
)
OTHERS: tuple[Rule, ...] = (*donors.RULES, *family.RULES, *racks.RULES, *twins.RULES)
RULES: tuple[Rule, ...] = OWN + OTHERS

# Rules that have nothing to say of a file in which none of these jobs or keys occurs; a large ledger is checked the sooner for it.
_CORRECTING = frozenset({"void", "moved", "replaces"})
_DECLARED = frozenset({"laws"})
ONLY_WITH: dict[Rule, frozenset[str]] = {
    putting_right.targets: _CORRECTING,
    putting_right.circles: _CORRECTING,
    putting_right.rivals: _CORRECTING,
    putting_right.reasons: frozenset({"replaces"}),
    putting_right.early_voids: frozenset({"void", "moved"}),
    putting_right.named_events: frozenset({"look", "grade", "drive", "hoop", "peg", "answers"}),
    chronology.future: frozenset({"future"}),
    chronology.claim_day: frozenset({"receive"}),
    chronology.oak_day: frozenset({"fill", "rack-in", "top", "receive"}),
    chronology.head_days: frozenset({"receive"}),
    chronology.until_day: frozenset({"season", "decide", "leak"}),
    likely.words: frozenset({"receive", "examine", "nose", "test"}),
    liquor.gain: frozenset({"regauge", "empty"}),
    measured.off_nominal: frozenset({"measure"}),
    measured.unlike_inside: frozenset({"measure"}),
    room.no_room: frozenset({"top", "rack-in", "rack-out", "regauge"}),
    room.not_there: frozenset({"draw", "rack-out"}),
    room.not_accounted: frozenset({"empty"}),
    contents.shares: frozenset({"rack-in", "rack-out"}),
    contents.received: frozenset({"receive"}),
    contents.too_much: frozenset({"receive", "season", "empty"}),
    law.size: _DECLARED,
    law.wood: _DECLARED,
    law.new_oak: _DECLARED,
    law.leaving: _DECLARED,
    donors.donors: donors.TAKING,
    family.parents: frozenset({"made-from"}),
    family.children: frozenset({"convert"}),
    racks.racked: frozenset({"rack-in", "rack-out"}),
    twins.moved: frozenset({"moved"}),
    twins.copied: frozenset({"moved_from"}),
    twins.swapped: frozenset({"swap-heads"}),
    twins.same: frozenset({"same-as", "receive"}),
    twins.ring: frozenset({"same-as"}),
}


@lru_cache(maxsize=4096)
def rules_on(things: frozenset[str]) -> tuple[Rule, ...]:
    """The rules that may have something to say of a file with these jobs and keys."""
    return tuple(rule for rule in RULES if rule not in ONLY_WITH or ONLY_WITH[rule] & things)
