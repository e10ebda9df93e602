"""The JSON Schemas (2020-12) of a cask file and of house.yaml, made from the models, with descriptions and units."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from types import MappingProxyType
from typing import Annotated, Any, Union

from pydantic import BaseModel, Field

from caskbook.core.own_texts import need_texts
from caskbook.model.cask import CaskHead
from caskbook.model.house import whole_settings
from caskbook.model.house_file import HEADINGS
from caskbook.model.jobs import JOBS
from caskbook.words import CASK_TYPES

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_SINCE = {"type": "string", "format": "date", "pattern": r"^\d{4}-\d\d-\d\d$", "description": "first day it is in force"}
_LIMITS = ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum")
Schema = dict[str, Any]
AnyEvent = Annotated[Union[tuple(JOBS.values())], Field(discriminator="job")]  # type: ignore[valid-type]  # noqa: UP007


class CaskFile(CaskHead):
    """A whole cask file: the head, and the events by job."""

    events: list[AnyEvent]  # type: ignore[valid-type]


def cask_schema() -> Schema:
    """The schema of a cask file: the head, and every job as one member of `events`."""
    need_texts()
    made = _tidied(CaskFile.model_json_schema(by_alias=True, ref_template="#/$defs/{model}"))
    for job, model in JOBS.items():
        definition = made["$defs"][model.__name__]
        definition["description"] = f"{job}: {(model.__doc__ or '').splitlines()[0]}"
    return _whole(made, "cask.schema.json", "A cask file: what the cask is, and what happened to it")


def house_schema() -> Schema:
    """The schema of house.yaml: every setting plain, or dated as a list of {since, value}; types override settings."""
    need_texts()
    _build(whole_settings())
    made = _tidied(whole_settings().model_json_schema(by_alias=True, ref_template="#/$defs/{model}"))
    made["properties"]["job_hours"]["propertyNames"] = {"enum": list(JOBS)}
    for name in ("DueRules", *(key for key in made["$defs"] if key.endswith("Rule"))):
        _date_properties(made["$defs"][name], keep=() if name != "DueRules" else tuple(made["$defs"][name]["properties"]))
    _date_properties(made, keep=("due",))
    _allow_bare(made["properties"], HEADINGS)
    _allow_bare(made["$defs"]["DueRules"]["properties"], made["$defs"]["DueRules"]["properties"])
    overrides = {name: {"$ref": "#"} for name in CASK_TYPES}
    made["properties"]["types"] = {
        "type": ["object", "null"],
        "description": "settings for one type of cask",
        "properties": overrides,
        "additionalProperties": False,
    }
    return _whole(made, "house.schema.json", "The house's own settings")


def _build(model: type[BaseModel]) -> None:
    """Make a model that waits for its first use, and those of its settings: without that pydantic before 2.13 cannot tell their defaults."""
    model.model_rebuild()
    for field in model.model_fields.values():
        default = field.get_default(call_default_factory=True)
        if isinstance(default, BaseModel):
            _build(type(default))


@cache
def schema_texts() -> Mapping[str, str]:
    """File name → text of both schemas, as they are kept under version control; made once, for it takes a quarter of a second."""
    made = {"cask.schema.json": cask_schema(), "house.schema.json": house_schema()}
    return MappingProxyType({name: json.dumps(schema, indent=2, ensure_ascii=False) + "\n" for name, schema in made.items()})


def _whole(made: Schema, name: str, title: str) -> Schema:
    return {"$schema": DIALECT, "$id": name, "title": title, **made}


def _date_properties(definition: Schema, keep: tuple[str, ...]) -> None:
    for name, plain in definition["properties"].items():
        if name in keep:
            continue
        entry = {"type": "object", "properties": {"since": _SINCE, "value": plain}, "required": ["since", "value"], "additionalProperties": False}
        dated = {"type": "array", "minItems": 1, "items": entry, "description": "by date: the value in force from each day on"}
        definition["properties"][name] = {"description": plain.get("description", name), "anyOf": [plain, dated]}


def _allow_bare(properties: Schema, headings: Iterable[str]) -> None:
    """A heading with nothing under it, all its lines still comments, sets nothing and is no fault."""
    for name in headings:
        if name in properties:
            told = properties[name]
            choices = told.pop("anyOf", None) or [{"$ref": told.pop("$ref")}]
            told["anyOf"] = [*choices, {"type": "null"}]


def _tidied(schema: Schema) -> Schema:
    """Without the titles pydantic makes up and the reading hints for typed input; whole limits as 0, which some versions write as 0.0."""

    def visit(node: Any, is_properties: bool = False, limit: bool = False) -> Any:
        if isinstance(node, list):
            return [visit(item) for item in node]
        if not isinstance(node, dict):
            return int(node) if isinstance(node, float) and node.is_integer() and limit else node
        dropped: Callable[[str], bool] = (lambda key: False) if is_properties else (lambda key: key in ("title", "kind"))
        return {key: visit(value, key in ("properties", "$defs") and not is_properties, key in _LIMITS) for key, value in node.items() if not dropped(key)}

    tidy: Schema = visit(schema)
    return tidy
