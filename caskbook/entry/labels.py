"""What a field is called where it is asked for, as a printed form would have it: "litres put in (L)", "which head (A or B)"."""

from __future__ import annotations

from collections.abc import Mapping

from caskbook.entry.fields import HEAD_FILE, JobField

_OF_JOB: Mapping[tuple[str, str], str] = {
    ("receive", "verdict"): "taken in", ("examine", "verdict"): "the cask is", ("nose", "verdict"): "it noses", ("return", "verdict"): "taken back in",
    ("fill", "litres"): "litres filled", ("draw", "litres"): "litres drawn", ("top", "litres"): "litres put in", ("empty", "litres"): "litres that came out",
    ("season", "litres"): "litres of wine put in", ("rack-out", "to"): "into which casks", ("toast", "level"): "toast", ("char", "level"): "char level",
    ("bung", "to"): "to which stave", ("send", "to"): "sent to", ("dispose", "to"): "to whom", ("peg", "at"): "where", ("leak", "at"): "where it leaks",
    ("flag", "at"): "where", ("mark", "at"): "on", ("mark", "text"): "what the mark says", ("mark", "kind"): "kind of mark", ("peg", "kind"): "kind of peg",
    ("stave", "staves"): "which staves", ("hoop", "hoops"): "which hoops", ("test", "leaks"): "where it leaked", ("leak", "severity"): "how much",
    ("swap-heads", "with"): "with which cask", ("same-as", "of"): "the other number", ("void", "of"): "which entry", ("moved", "of"): "which entry",
    ("convert", "children"): "casks it became", ("made-from", "parents"): "casks it came from", ("dispose", "how"): "how it left", ("note", "note"): "the note",
    ("treat", "for"): "against", ("decide", "rule"): "which rule", ("empty", "why"): "why it is empty", (HEAD_FILE, "staves"): "number of staves",
    (HEAD_FILE, "heads"): "pieces in head A and B", (HEAD_FILE, "hoops"): "number of hoops",
}  # fmt: skip
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
    return _OF_JOB.get((one.job, one.key)) or _OF_KEY.get(one.key) or one.key.replace("_", " ")


def short_unit(unit: str) -> str:
    """The unit as it stands behind a figure."""
    return _UNITS.get(unit, unit)
