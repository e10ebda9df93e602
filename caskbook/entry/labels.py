"""What a field is called where it is asked for, as a printed form would have it: "litres put in (L)", "which head (A or B)"."""

from __future__ import annotations

from collections.abc import Mapping

from caskbook.entry.fields import JobField

# What a key is called wherever it stands, where its field has no label of its own.
_OF_KEY: Mapping[str, str] = {
    "by": "done by", "why": "the reason", "result": "the test", "psi": "air pressure", "water_l": "water", "findings": "what was found", "faults": "what it smells of",
    "abv": "strength", "temp_c": "temperature", "approved_by": "approved by", "type": "type of cask",
    "capacity_l": "nominal litres", "head": "which head", "heads": "which heads", "action": "what was done", "method": "how", "seen": "seen", "reasons": "the reasons",
    "wet_mm": "wet dip", "dry_mm": "dry dip", "gross_kg": "gross weight", "oak_since": "in oak since", "cured_by": "cured by",
    "residue_l": "left in it", "claim_by": "claim until", "instead_of": "in place of", "stow": "how it lies", "soaked": "how deep it has soaked",
    "stave_mm": "thinnest stave", "depth_mm": "how deep", "tare_kg": "tare", "dims_mm": "dimensions", "bore_mm": "bore", "staves_after": "staves now",
    "hoops_after": "hoops now", "pieces_after": "pieces now", "look_again": "look again on", "until": "until (day)", "litres_out": "litres that came out",
    "contents": "what is in it", "form": "it came", "made": "made in", "was": "marks it bore", "prior": "held before us",
    "charred": "charred before us", "ref": "paper or number", "done": "what was done", "pieces": "pieces", "wood": "oak",
}  # fmt: skip
_OF_JOB: Mapping[tuple[str, str], str] = {
    ("char", "heads"): "its heads", ("char", "seconds"): "burn", ("char", "fuel"): "what it was fired with", ("sulphur", "grams"): "sulphur burnt",
    ("sample", "ml"): "sample", ("look", "at"): "where it leaks", ("dispose", "to"): "to whom", ("season", "wine"): "wine put in", ("head", "which"): "which pieces",
    ("stave", "from"): "from (cask or stock)", ("head", "from"): "from (cask or stock)", ("hoop", "from"): "from (cask or stock)", ("mark", "old"): "what it said before",
    ("top", "from"): "out of", ("decide", "until"): "until",
}  # fmt: skip
EXAMPLES: Mapping[str, str] = {
    "findings": "stave-1 cracked 2; joint-3 weep", "leaks": "joint-3, croze-A-14", "nose_faults": "acetic, musty", "parents": "TH-004501 25; old butt 6",
    "prior": "bourbon 1; oloroso 2", "dims": "bung 660 head 560 length 840", "texts": "one thing; another",
}  # fmt: skip
"""How a list is typed, by the kind of its field."""
_EXAMPLES_OF_KEY: Mapping[str, str] = {"reasons": "thin staves; third fail"}
"""What is better said for one field than for its kind."""
_UNITS: Mapping[str, str] = {"litres": "L", "grams": "g", "seconds": "s", "minutes": "min"}


def example_of(one: JobField) -> str | None:
    """How a list is typed, where that wants an example."""
    return _EXAMPLES_OF_KEY.get(one.key) or EXAMPLES.get(one.kind)


def label_of(one: JobField) -> str:
    """The field's name on a form; where none was thought of, its key as words."""
    return one.label or _OF_JOB.get((one.job, one.key)) or _OF_KEY.get(one.key) or one.key.replace("_", " ")


def short_unit(unit: str) -> str:
    """The unit as it stands behind a figure."""
    return _UNITS.get(unit, unit)
