"""What the column `data` of the table `event` holds, job by job: each field of its model with its unit and what it says."""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

from pydantic import BaseModel

from caskbook.entry.fields import field_of
from caskbook.entry.labels import label_of
from caskbook.model.jobs import JOBS
from caskbook.model.jobs.base import Event
from caskbook.model.query_columns import CASK, EVENT
from caskbook.model.typed import choices_of

_PLAIN: Mapping[Any, str] = {bool: "0 or 1", int: "int", float: "real", date: "ISO day", str: "text", Any: "text"}
_UNITS = ("litres", "mm", "kg")
_FINDINGS = "codes of what `check` finds wrong in it; what nobody wrote a sound value of is null"


class DataField(NamedTuple):
    """One field of an entry's JSON. `job` is empty for what every job may have; `field` is its path behind `$.`, `[]` standing for each
    item of a list; `kind` as the columns of the tables have it, "int or text" where it may be either."""

    job: str
    field: str
    kind: str
    unit: str
    meaning: str


def data_fields() -> Iterator[DataField]:
    """What every entry may have, then the fields of each job beside that, in the order of the job table."""
    for name, info in Event.model_fields.items():
        yield from _field("", name, info)
    yield DataField("", "findings", "JSON list", "", _FINDINGS)
    yield DataField("", "written", "text", "", "of an entry of no known job: how it stands in the file")
    for job, model in JOBS.items():
        for name, info in model.model_fields.items():
            if name not in Event.model_fields or name == "why" and info.annotation != Event.model_fields["why"].annotation:
                yield from _field(job, name, info)


def _field(job: str, name: str, info: Any, path: str = "") -> Iterator[DataField]:
    """A field, and behind it those of the maps that it holds."""
    key = info.alias or name
    kind, model = _kind(info.annotation)
    extra = info.json_schema_extra if isinstance(info.json_schema_extra, dict) else {}
    unit = str(extra.get("unit") or _unit(key, kind, info.description or ""))
    yield DataField(job, path + key, kind, unit, _meaning(job, path + key, info, unit))
    for inner, its in model.model_fields.items() if model is not None else ():
        yield from _field(job, inner, its, f"{path}{key}[]." if kind == "JSON list" else f"{path}{key}.")


def _unit(key: str, kind: str, said: str) -> str:
    """The unit of a figure whose field does not name it apart: as its text ends, else as its key does."""
    behind = said.rpartition(", ")[2]
    return ("litres" if key == "litres" else "% vol" if key == "abv" else behind if behind in _UNITS else "") if kind == "real" else ""


def _meaning(job: str, path: str, info: Any, unit: str) -> str:
    """What the model says of it, else what it is called where it is asked for, or as a column of the table `cask`; with the words that it may be."""
    key = path.rpartition(".")[2]
    typed = field_of(job, key) if job and key == path else None
    column = next((one.meaning for one in (CASK if job else EVENT) if one.name == key), "") if typed is None else ""
    said = (info.description or "").removesuffix(f", {unit}" if unit else "") or (label_of(typed) if typed is not None else column or key.replace("_", " "))
    words = ", ".join(word for word in choices_of(info) if word not in ("unknown", "never"))
    return f"{said}: {words}" if words and words not in said else said


def _kind(annotation: Any) -> tuple[str, type[BaseModel] | None]:
    """(the kind, the model of the map that it is, or of each item) of a type as it stands in JSON."""
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _kind(inner[0])
    if origin in (Union, types.UnionType):
        kinds = [_kind(one) for one in inner if one is not type(None)]
        return " or ".join(dict.fromkeys(kind for kind, _ in kinds)), next((model for _, model in kinds if model is not None), None)
    if origin is list:
        return "JSON list", _kind(inner[0])[1]
    if origin is Literal:
        return ("0 or 1" if inner == (True,) else "int" if all(isinstance(one, int) for one in inner) else "text"), None
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return "JSON map", annotation
    return _PLAIN.get(annotation, "JSON map"), None
