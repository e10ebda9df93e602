"""A wrong event taken as well as it can be, so that one fault in a file does not cause a row of others."""

from __future__ import annotations

from datetime import date
from typing import Any, Literal, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError

M = TypeVar("M", bound=BaseModel)
LONG_AGO = date(1, 1, 1)
_COMMON = ("id", "date", "job", "by", "sheet", "source", "replaces", "moved_from", "answers", "why", "note")


def mended(model: type[M], data: dict[str, Any], error: ValidationError) -> M | None:
    """`data` read as `model` with its wrong fields left out, or given the mildest value where they must be there.

    None where nothing sound can be made of it. Only for going on after the fault was reported; nothing mended is ever written.
    """
    tidy = dict(data)
    for _ in range(4):
        for detail in error.errors(include_url=False):
            key = _key_of(detail["loc"], tidy)
            if detail["type"] == "value_error" and key is None:
                tidy.update(_lenient(model, tidy))
            elif key is not None:
                tidy.pop(key, None)
        try:
            return model.model_validate({**_mild(model, tidy), **tidy})
        except ValidationError as again:
            error = again
    return _bare(model, tidy)


def _bare(model: type[M], data: dict[str, Any]) -> M | None:
    """Only what must be there, where the rest contradicts itself."""
    kept: dict[str, Any] = {key: data[key] for key in (*_COMMON, "cask", "format", "type", "capacity_l") if key in data}
    more_given = _lenient(model, kept)
    for more in ({}, {key: value for key, value in more_given.items() if key != "leaks"}, more_given):
        try:
            return model.model_validate({**_mild(model, kept), **kept, **more})
        except ValidationError:
            continue
    return None


def _key_of(loc: tuple[int | str, ...], data: dict[str, Any]) -> str | None:
    return next((step for step in loc if isinstance(step, str) and step in data), None)


def _mild(model: type[BaseModel], data: dict[str, Any]) -> dict[str, Any]:
    """The mildest value for each field that must be there and is not."""
    fields = {(field.alias or name): field for name, field in model.model_fields.items()}
    return {key: _mildest(key, field) for key, field in fields.items() if field.is_required() and key not in data}


_MILD: dict[str, Any] = {
    "id": "00000000", "date": LONG_AGO, "heads": ["A"], "staves": [1], "hoops": ["hoop-A-1"], "at": "unseen", "abv": 60.0, "job": "note",
    "children": ["X-0000"], "parents": [{"unnumbered": "unknown"}], "to": [], "from": [], "oak_since": "unknown", "psi": 10.0,
    "format": 1, "reasons": ["unknown"], "cask": "X-0000", "type": "custom",
}  # fmt: skip


def _mildest(key: str, field: Any) -> Any:
    if get_origin(field.annotation) is Literal and key not in _MILD:
        return get_args(field.annotation)[0]
    if key == "at" and get_origin(field.annotation) is list:
        return ["unseen"]
    if field.annotation is float:
        return _MILD.get(key, 1.0)
    return _MILD.get(key, "unknown")


def _lenient(model: type[BaseModel], data: dict[str, Any]) -> dict[str, Any]:
    """What satisfies the rules between fields: a fail leaked somewhere, wood came from somewhere."""
    filled: dict[str, Any] = {"leaks": [{"at": "unseen"}], "psi": 10.0, "from": "unknown", "level": 1, "mark": "unknown", "abv": 60.0, "litres": 1.0, "capacity_l": 200.0}
    fields = {(field.alias or name) for name, field in model.model_fields.items()}
    return {key: value for key, value in filled.items() if key in fields and key not in data}
