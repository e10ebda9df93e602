"""What may be typed for a job: each field of its model, how it is read, its words, its range, and the names it answers to."""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from caskbook.model.cask import CaskHead
from caskbook.model.jobs import JOBS

_NEVER_TYPED = ("id", "date", "job", "source", "moved_from")
COMMON = ("by", "sheet", "note", "why", "replaces", "answers")
HEAD_KEYS = ("type", "capacity_l", "wood", "maker", "made", "staves", "heads", "hoops", "was", "owner", "prior", "charred", "parcel", "supplier")
HEAD_FILE = "head file"
"""Stands where a job stands, for a field that says what the cask is."""
NEW_FILE_JOBS = ("receive", "raise", "made-from")

# How a field is read that is neither a measured figure nor a word of a closed list.
_KINDS: Mapping[str, str] = {
    "findings": "findings", "leaks": "leaks", "claim_by": "day", "look_again": "day", "until": "day", "oak_since": "oak",
    "contents": "word", "spirit": "word", "fuel": "word", "wine": "wine", "faults": "nose_faults", "instead_of": "cask",
    "with": "cask", "children": "casks", "parents": "parents", "soaked": "fraction", "which": "ints", "head": "head",
    "heads": "heads", "closes": "event", "replaces": "event", "of": "event", "dims_mm": "dims", "reasons": "texts", "done": "texts",
    "at_20": "flag", "at": "place", "staves": "int", "hoops": "hoops", "hoops_after": "int", "staves_after": "int",
    "pieces_after": "int", "staves_saved": "int", "heads_saved": "int", "hoops_saved": "int", "from": "source",
    "answers": "answers", "inherited": "yaml", "level": "choice", "to": "text", "berth": "text", "mark": "text", "text": "text",
    "old": "text", "ref": "text", "approved_by": "text", "why": "text", "note": "text", "by": "text", "sheet": "text",
    "type": "choice", "capacity_l": "litres", "wood": "wood", "maker": "text", "made": "when", "was": "texts", "owner": "text",
    "prior": "prior", "charred": "charred", "parcel": "text", "supplier": "text",
}  # fmt: skip
_KINDS_OF_JOB: Mapping[tuple[str, str], str] = {
    ("stave", "staves"): "staves", ("flag", "at"): "places", ("measure", "heads"): "ints", ("measure", "hoops"): "int",
    ("bung", "to"): "stave", ("moved", "to"): "cask", ("rack-out", "to"): "racked", ("rack-in", "from"): "racked",
    ("top", "from"): "text", ("same-as", "of"): "cask", (HEAD_FILE, "heads"): "ints", (HEAD_FILE, "hoops"): "int",
    ("correct", "heads"): "ints", ("correct", "hoops"): "int",
}  # fmt: skip
# The list of trade words a closed list is typed from.
_VOCABULARY: Mapping[tuple[str, str], str] = {
    ("test", "result"): "result", ("test", "cured_by"): "cured_by", ("receive", "verdict"): "receive_verdict",
    ("return", "verdict"): "receive_verdict", ("examine", "verdict"): "examine_verdict", ("nose", "verdict"): "nose_verdict",
    ("toast", "level"): "toast_level", ("peg", "kind"): "peg_kind", ("look", "seen"): "seen", ("leak", "severity"): "leak",
    ("look", "closed_as"): "because", (HEAD_FILE, "type"): "type", ("correct", "type"): "type",
}  # fmt: skip
_OTHER_NAMES: Mapping[str, tuple[str, ...]] = {
    "temp_c": ("temperature",), "capacity_l": ("holds",), "closed_as": ("because",), "approved_by": ("approved", "signed"),
    "at": ("on", "place"), "litres": ("liters", "l"), "abv": ("strength",), "minutes": ("min",), "seconds": ("secs",),
    "stave_mm": ("thinnest",), "dims_mm": ("dims", "dimensions"), "from": ("from_",), "spirit": ("liquor",),
    "verdict": ("found",), "psi": ("pressure",), "by": ("who",), "faults": ("smells",), "findings": ("defects",),
}  # fmt: skip
_UNIT_TAILS = ("_c", "_l", "_mm", "_kg")


@dataclass(frozen=True, slots=True)
class JobField:
    """One field. `kind` names how it is read; `words` the closed list, if any; `plausible` and `hard` are in its `unit`."""

    job: str
    key: str
    kind: str
    must: bool
    says: str
    words: tuple[str, ...] = ()
    vocabulary: str | None = None
    unit: str = ""
    quantity: str | None = None
    plausible: tuple[float, float] | None = None
    hard: tuple[float | None, float | None] = (None, None)

    @property
    def names(self) -> tuple[str, ...]:
        """What it answers to after `--`, hyphens as underscores: the key first, then shorter and friendlier ones."""
        tails = [self.key.removesuffix(tail) for tail in _UNIT_TAILS if self.key.endswith(tail)]
        return tuple(dict.fromkeys((self.key, *tails, *_OTHER_NAMES.get(self.key, ()))))

    @property
    def option(self) -> str:
        """As help shows it: --water for water_l."""
        tail = next((tail for tail in _UNIT_TAILS if self.key.endswith(tail)), "")
        return "--" + self.key.removesuffix(tail).replace("_", "-")


@cache
def job_fields(job: str) -> tuple[JobField, ...]:
    """The fields of a job that a person may give, its own first, those of every job after them."""
    model = JOBS[job]
    found = {field.alias or name: (name, field) for name, field in model.model_fields.items()}
    own = [key for key in found if key not in (*_NEVER_TYPED, *COMMON)]
    return tuple(_field(job, key, found[key][1], model) for key in (*own, *COMMON))


@cache
def head_fields() -> tuple[JobField, ...]:
    """The fields of a cask file's head, for the jobs that begin a file."""
    return tuple(_field(HEAD_FILE, key, CaskHead.model_fields[key], CaskHead) for key in HEAD_KEYS)


def must_keys(job: str) -> list[str]:
    """Fields a job always needs."""
    return [field.key for field in job_fields(job) if field.must]


def field_of(job: str, key: str) -> JobField | None:
    """One field by its key."""
    return next((field for field in job_fields(job) if field.key == key), None)


def _field(job: str, key: str, info: Any, model: type[BaseModel]) -> JobField:
    """What may be typed for one field, out of its model: kind, words, unit, and the ranges that are usual and possible."""
    extra = info.json_schema_extra if isinstance(info.json_schema_extra, dict) else {}
    words = tuple(dict.fromkeys(_literals(info.annotation)))
    kind = _KINDS_OF_JOB.get((job, key))
    quantity = str(extra["kind"]) if "kind" in extra else None
    if quantity:
        kind = "quantity"
    elif kind is None:
        kind = _choice_or(key, words)
    if kind == "litres":
        kind, quantity = "quantity", "litres"
    if key == "level" and job == "char":
        words = ("1", "2", "3", "4", "5", "house")
    low, high = _bounds(info)
    plausible = extra.get("plausible")
    vocabulary = _VOCABULARY.get((job, key)) or ("stow" if key == "stow" else None)
    return JobField(
        job, key, kind, info.is_required(), info.description or "", words if kind == "choice" else (), vocabulary,
        str(extra.get("unit", "litres" if quantity == "litres" else "")), quantity, (plausible[0], plausible[1]) if plausible else None, (low, high),
    )  # fmt: skip


def _choice_or(key: str, words: tuple[str, ...]) -> str:
    if key in ("from", "oak_since", "wood", "charred", "at_20") or set(words) == {"A", "B"}:
        return _KINDS[key]
    return "choice" if words else _KINDS[key]


def _bounds(info: Any) -> tuple[float | None, float | None]:
    low = next((meta.ge for meta in info.metadata if hasattr(meta, "ge")), None)
    high = next((meta.le for meta in info.metadata if hasattr(meta, "le")), None)
    return low, None if high == 1e7 else high


def _literals(annotation: Any) -> Iterator[str]:
    origin = get_origin(annotation)
    if origin is Literal:
        yield from (str(choice) for choice in get_args(annotation) if isinstance(choice, str))
    elif origin in (Union, types.UnionType, list, Annotated):
        for inner in get_args(annotation):
            yield from _literals(inner)
