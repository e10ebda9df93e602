"""What a field is called where it is asked for, as a printed form would have it: "litres put in (L)", "which head (A or B)"."""

from __future__ import annotations

from collections.abc import Mapping

from caskbook.entry.fields import JobField

# What a key is called wherever it stands, where its field has no label of its own.
_OF_KEY: Mapping[str, str] = {
    "by": "done by", "why": "the reason", "result": "the test", "psi": "air pressure", "water_l": "water", "findings": "what was found", "faults": "what it smells of",
    "abv": "strength", "temp_c": "temperature", "seconds": "burn", "grams": "sulphur burnt", "ml": "sample", "approved_by": "approved by", "type": "type of cask",
    "capacity_l": "nominal litres", "head": "which head", "heads": "which heads", "action": "what was done", "method": "how", "seen": "seen", "reasons": "the reasons",
    "wet_mm": "wet dip", "dry_mm": "dry dip", "gross_kg": "gross weight", "oak_since": "in oak since", "cured_by": "cured by",
}  # fmt: skip
EXAMPLES: Mapping[str, str] = {
    "findings": "stave-1 cracked 2; joint-3 weep", "leaks": "joint-3, croze-A-14", "nose_faults": "acetic, musty", "parents": "TH-004501 25; old butt 6",
    "prior": "bourbon 1; oloroso 2", "dims": "bung 660 head 560 length 840", "texts": "thin staves; third fail",
}  # fmt: skip
"""How a list is typed, by the kind of its field."""
_UNITS: Mapping[str, str] = {"litres": "L", "grams": "g", "seconds": "s", "minutes": "min"}


def label_of(one: JobField) -> str:
    """The field's name on a form; where none was thought of, its key as words."""
    return one.label or _OF_KEY.get(one.key) or one.key.replace("_", " ")


def short_unit(unit: str) -> str:
    """The unit as it stands behind a figure."""
    return _UNITS.get(unit, unit)
