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
    measured,
    people,
    putting_right,
    racks,
    room,
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
    *measured.RULES,
    *room.RULES,
    *law.RULES,
)
OTHERS: tuple[Rule, ...] = (*donors.RULES, *family.RULES, *racks.RULES, *twins.RULES)
RULES: tuple[Rule, ...] = OWN + OTHERS

# Rules that have nothing to say of a file in which none of these jobs occurs; a large ledger is checked the sooner for it.
ONLY_WITH: dict[Rule, frozenset[str]] = {
    chronology.until_day: frozenset({"season", "decide", "leak"}),
    likely.words: frozenset({"receive", "examine", "nose", "test"}),
    liquor.gain: frozenset({"regauge", "empty"}),
    measured.off_nominal: frozenset({"measure"}),
    room.no_room: frozenset({"top", "rack-in", "regauge"}),
    room.not_there: frozenset({"draw", "rack-out"}),
    room.not_accounted: frozenset({"empty"}),
    law.leaving: frozenset({"empty"}),
    donors.donors: donors.TAKING,
    family.parents: frozenset({"made-from"}),
    family.children: frozenset({"convert"}),
    racks.racked: frozenset({"rack-in", "rack-out"}),
    twins.moved: frozenset({"moved"}),
    twins.swapped: frozenset({"swap-heads"}),
    twins.same: frozenset({"same-as", "receive"}),
}
ALL: tuple[tuple[Rule, frozenset[str] | None], ...] = tuple((rule, ONLY_WITH.get(rule)) for rule in RULES)
