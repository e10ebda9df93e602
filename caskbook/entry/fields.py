"""What may be typed for a job: each field of its model, how it is read, its words, its range, and the names it answers to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from caskbook.model.cask import CaskHead
from caskbook.model.jobs import JOBS
from caskbook.model.jobs.work import WORK as WORK
from caskbook.model.typed import choices_of, kind_of, typed_of
from caskbook.words.job_table import jobs_with

_NEVER_TYPED = ("id", "date", "job", "source", "moved_from")
COMMON = ("by", "sheet", "note", "why", "replaces", "answers", "photo")
HEAD_KEYS = ("type", "capacity_l", "wood", "maker", "made", "staves", "heads", "hoops", "was", "owner", "prior", "charred", "parcel", "supplier")
HEAD_FILE = "head file"
"""Stands where a job stands, for a field that says what the cask is."""
NEW_FILE_JOBS = jobs_with("arrival")

_OTHER_NAMES: Mapping[str, tuple[str, ...]] = {
    "temp_c": ("temperature",), "capacity_l": ("holds",), "closed_as": ("because",), "approved_by": ("approved", "signed"),
    "at": ("on", "place"), "litres": ("liters", "l"), "abv": ("strength",), "minutes": ("min",), "seconds": ("secs",),
    "stave_mm": ("thinnest",), "dims_mm": ("dims", "dimensions"), "from": ("from_",), "spirit": ("liquor",),
    "verdict": ("found",), "psi": ("pressure",), "by": ("who",), "faults": ("smells",), "findings": ("defects",),
    "vat": ("batch",), "work_minutes": ("work", "minutes"), "material": ("materials",), "photo": ("photos", "picture"),
}  # fmt: skip
LISTS = ("findings", "leaks", "nose_faults", "places", "hoops", "staves", "heads", "ints", "texts", "casks", "parents", "prior", "answers", "racked", "days")
"""Kinds of fields that hold several values: an option given again adds to them."""
NAMING_KINDS = ("cask", "casks", "source", "parents", "racked")
"""Kinds of fields that name other casks."""
_NAMING = (("rack", "to"), ("convert", "as"), ("convert", "first_id"), ("swap-heads", "with"), ("run", "like"), ("top", "from"))
_UNIT_TAILS = ("_c", "_l", "_mm", "_kg")


@dataclass(frozen=True, slots=True)
class JobField:
    """One field. `kind` names how it is read; `words` the closed list, if any; `plausible` and `hard` are in its `unit`; `label` is
    what it is called on a form, `when` what help says of when it is to be given, both empty where nothing was thought of."""

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
    label: str = ""
    when: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """What it answers to after `--`, hyphens as underscores: the key first, then shorter and friendlier ones."""
        tails = [self.key.removesuffix(tail) for tail in _UNIT_TAILS if self.key.endswith(tail)]
        others = [name for name in _OTHER_NAMES.get(self.key, ()) if self.job not in JOBS or name not in JOBS[self.job].model_fields]
        return tuple(dict.fromkeys((self.key, *tails, *others)))

    @property
    def option(self) -> str:
        """As help shows it: --water for water_l."""
        tail = next((tail for tail in _UNIT_TAILS if self.key.endswith(tail)), "")
        return "--" + self.key.removesuffix(tail).replace("_", "-")


@cache
def job_fields(job: str) -> tuple[JobField, ...]:
    """The fields of a job that a person may give, its own first, those of every job after them."""
    model = JOBS[job]
    found = {field.alias or name: field for name, field in model.model_fields.items()}
    work = [key for key in WORK if key in found]
    own = [key for key in found if key not in (*_NEVER_TYPED, *COMMON, *WORK)]
    return tuple(_field(job, key, found[key]) for key in (*own, *work, *COMMON))


def meant_by(name: str, places: Sequence[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
    """The (job, key, …) places that a name means: `minutes` of a test is how long it was held, whatever job is typed with it."""
    kept = [place for place in places if place[1] == name or place[1] not in WORK]
    return kept if any(place[1] == name for place in kept) else [*places]


@cache
def head_fields() -> tuple[JobField, ...]:
    """The fields of a cask file's head, for the jobs that begin a file."""
    return tuple(_field(HEAD_FILE, key, CaskHead.model_fields[key]) for key in HEAD_KEYS)


def field_of(job: str, key: str) -> JobField | None:
    """One field by its key."""
    return next((field for field in job_fields(job) if field.key == key), None)


def names_casks(job: str, key: str) -> bool:
    """Whether what is typed there names casks. `job`: "run" and "head file" too."""
    if (job, key) in _NAMING:
        return True
    one = field_of(job, key) if job in JOBS else None
    return one is not None and one.kind in NAMING_KINDS


def _field(job: str, key: str, info: Any) -> JobField:
    """What may be typed for one field, out of its model: kind, words, unit, and the ranges that are usual and possible."""
    extra = info.json_schema_extra if isinstance(info.json_schema_extra, dict) else {}
    quantity = str(extra["kind"]) if "kind" in extra else None
    kind = "quantity" if quantity else kind_of(info)
    if kind == "litres":
        kind, quantity = "quantity", "litres"
    said, words = typed_of(info), choices_of(info) if kind == "choice" else ()
    plausible = extra.get("plausible")
    return JobField(
        job, key, kind, info.is_required(), info.description or "", words, said.words or None,
        str(extra.get("unit", "litres" if quantity == "litres" else "")), quantity, (plausible[0], plausible[1]) if plausible else None, _bounds(info),
        said.label, said.when,
    )  # fmt: skip


def _bounds(info: Any) -> tuple[float | None, float | None]:
    low = next((meta.ge for meta in info.metadata if hasattr(meta, "ge")), None)
    high = next((meta.le for meta in info.metadata if hasattr(meta, "le")), None)
    return low, None if high == 1e7 else high
