"""The wood that open findings ask for: staves, head pieces and hoops, by type of cask."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from caskbook.life.carried import Defect
from caskbook.words.repairs import Part, part_wanted

RULE = (
    "a place at which the examination found it cracked, broken, porous, thin, soaked through, green or wormy wants a new stave or head piece, "
    "a missing or burst hoop a new one; a leak, a weeping joint, a loose hoop, a smell or a stain wants none (common practice, no source)"
)


def parts_wanted(defects: Iterable[Defect]) -> Counter[Part]:
    """How many parts these findings of one cask ask for: each place once."""
    places: dict[tuple[Part, str], None] = {}
    for one in defects:
        part = part_wanted(one.defect, one.at)
        if part is not None:
            places[part, _place(part, one.at)] = None
    return Counter(part for part, _ in places)


def _place(part: Part, at: str) -> str:
    """The place of the part: a croze or chime at a number is of that stave, which is counted once."""
    kind, _, rest = at.partition("-")
    number = rest.rpartition("-")[2]
    return f"stave-{number}" if part == "stave" and kind in ("croze", "chime") and number.isdecimal() else at
