"""What pydantic says of wrong data, put in the trade's terms: one Fault per wrong value, with the value and what was expected."""

from __future__ import annotations

import re
import types
from collections.abc import Iterator, Sequence
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from caskbook.core.finding import Fault
from caskbook.model.ids import ID_FORM

Path = tuple[str | int, ...]
_WRONG_TYPES = {
    "int_type": "a whole number", "float_type": "a number", "string_type": "text", "bool_type": "true or false",
    "list_type": "a list (- one item a line)", "dict_type": "key: value pairs", "model_type": "key: value pairs",
    "date_type": "a day as 2024-02-29", "date_from_datetime_parsing": "a day as 2024-02-29", "int_from_float": "a whole number",
    "model_attributes_type": "key: value pairs", "date_parsing": "a day as 2024-02-29", "date_from_datetime_inexact": "a day",
}  # fmt: skip
_UNREAD_FIGURES = {"int_type": "a whole number", "float_type": "a number", "bool_type": "true or false"}
"""Of a setting it is said what it is for as well."""


def shown(value: object) -> str:
    """A value as a message shows it: short, on one line, nothing that a terminal would act on."""
    if value is None:
        return "nothing"
    if isinstance(value, dict | list):
        return "a list" if isinstance(value, list) else "key: value pairs"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and abs(value) >= 10**20:
        return "a number of over 20 digits"
    text = "".join(sign if sign.isprintable() else "?" for sign in str(value))
    text = text if len(text) <= 24 else text[:23] + "…"
    return f'"{text}"' if isinstance(value, str) else text


def nearest(word: object, choices: Sequence[str]) -> str | None:
    """The choice that was likely meant, only when close."""
    from difflib import get_close_matches  # It is needed only for a word that is not known.

    found = get_close_matches(str(word)[:40], choices, 1, 0.72)
    return found[0] if found else None


def explain_errors(error: ValidationError, data: Any, root: Path, model: type[BaseModel], what: str) -> list[Fault]:
    """One Fault per wrong value of `data`, which stands at `root` in the file and was read as `what` ("a test")."""
    grouped: dict[Path, list[ErrorDetails]] = {}
    for detail in error.errors(include_url=False):
        path = _path_in(data, detail)
        grouped.setdefault(path, []).append(detail)
    return [_fault(path, details, data, root, model, what) for path, details in grouped.items()]


def _path_in(data: Any, detail: ErrorDetails) -> Path:
    """The error's place in the data itself, without the names pydantic adds for members of a union."""
    path: list[str | int] = []
    place = data
    loc = detail["loc"]
    for n, step in enumerate(loc):
        inside = (isinstance(place, dict) and step in place) or (isinstance(place, list) and isinstance(step, int) and step < len(place))
        if inside:
            place = place[step]
            path.append(step)
        elif detail["type"] == "missing" and n == len(loc) - 1:
            path.append(step)
    if detail["type"] == "value_error" and ": " in detail["msg"] and isinstance(place, dict):
        field = detail["msg"].removeprefix("Value error, ").split(": ")[0]
        if field.isidentifier():
            path.append(field)
    return tuple(path)


def value_at(data: Any, path: Path) -> Any:
    """What stands at a path in data; None where it leads nowhere."""
    for step in path:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _fault(path: Path, details: list[ErrorDetails], data: Any, root: Path, model: type[BaseModel], what: str) -> Fault:
    """The fault that pydantic's details about one value come to, in the trade's terms."""
    detail = details[0]
    where = root + path
    value = value_at(data, path)
    key = str(path[-1]) if path else ""
    kind = detail["type"]
    inner = _model_at(model, path[:-1])
    if kind == "extra_forbidden":
        return _unknown_key(where, key, inner, what if len(path) == 1 else f"`{_named(path[:-1])}`")
    if kind == "missing":
        return Fault("missing-field", "error", f"{what} needs `{key}`: nothing found", where, f"add `{key}:` with {_expected(inner, key)}")
    if kind == "value_error":
        return _rule_broken(where, detail, key, value)
    if what == "house.yaml" and isinstance(value, str | bool) and all(d["type"] in _UNREAD_FIGURES for d in details):
        return _wrong_word(where, details, path, value, inner)
    if all(d["type"] in _WRONG_TYPES for d in details):
        wanted = _WRONG_TYPES[kind]
        hint = (
            'put it in quotes: "…"' if wanted == "text" and value is not None else _converted(inner, key, value) or f"write {_expected(inner, key) or wanted}"
        )
        return Fault("wrong-type", "error", f"`{_named(path)}` is {shown(value)}: expected {wanted}", where, hint)
    bounds = next((d for d in details if d["type"].startswith(("greater", "less"))), None)
    if bounds is not None and not isinstance(value, str):
        return _out_of_range(where, bounds, path, value, inner)
    return _wrong_word(where, details, path, value, inner)


def _named(path: Path) -> str:
    return next((str(step) for step in reversed(path) if isinstance(step, str)), "it")


def _unknown_key(where: Path, key: str, model: type[BaseModel] | None, what: str) -> Fault:
    fields = field_names(model) if model else []
    near = nearest(key, fields)
    hint = f"write `{near}` if you meant that" if near else f"use one of: {', '.join(fields)}" if fields else "take it out"
    return Fault("unknown-key", "error", f"`{shown(key)[1:-1]}` is no field of {what}", where, hint, on_key=True)


def _rule_broken(where: Path, detail: ErrorDetails, key: str, value: object) -> Fault:
    text = detail["msg"].removeprefix("Value error, ")
    field, _, rule = text.partition(": ")
    if not field.isidentifier():
        return Fault("wrong-form", "error", f"`{_named(where)}` is {shown(value)}: {text}"[:200], where, "write it in the form shown")
    if value is None:
        return Fault("missing-field", "error", rule, where, f"add `{field}:`")
    return Fault("fields-disagree", "error", rule, where, f"mend `{field}` or what it disagrees with")


def _out_of_range(where: Path, detail: ErrorDetails, path: Path, value: object, model: type[BaseModel] | None) -> Fault:
    context = detail.get("ctx", {})
    bound = next((f"{limit:g}" for name in ("ge", "gt", "le", "lt") if (limit := context.get(name)) is not None), "")
    side = "at least" if detail["type"].startswith("greater") else "at most"
    side = f"more than {bound}" if detail["type"] == "greater_than" else f"{side} {bound}"
    unit = _unit(model, _named(path))
    message = f"`{_named(path)}` is {shown(value)}: expected {side}{unit.removesuffix('s') if bound == '1' else unit}"
    return Fault("out-of-range", "error", message, where, "correct the figure; if it was another unit, convert it")


def _wrong_word(where: Path, details: list[ErrorDetails], path: Path, value: object, model: type[BaseModel] | None) -> Fault:
    """The fault of a value that is none of its field's words, or not in its form, with the nearest word where one is near."""
    key = _named(path)
    field = _field(model, key)
    choices = list(_literals(field.annotation)) if field is not None else []
    if not choices and field is not None:
        choices = [str(choice) for meta in field.metadata for choice in _literals(meta)]
    if choices:
        near = nearest(value, choices)
        hint = f"write `{near}` if you meant that" if near else f"write one of: {', '.join(choices)}"
        expected = " or ".join([", ".join(choices[:-1]), choices[-1]] if len(choices) > 1 else choices)
        expected = expected if len(expected) < 50 else f"one of {len(choices)} words"
        return Fault("unknown-word", "error", f"`{key}` is {shown(value)}: expected {expected}", where, hint)
    if (word := _plain_word(details[0], value)) is not None:
        return Fault("wrong-form", "error", f"`{key}` is {shown(value)}: expected {_SMALL}"[:200], where, f"write `{word}`" if word else f"write {_SMALL}")
    wanted = _expected(model, key)
    wanted = wanted if wanted != _NO_FORM else details[0]["msg"].lower()
    if all(detail["type"] in _UNREAD_FIGURES for detail in details):
        unit = _unit(model, key).strip()
        wanted = f"{_UNREAD_FIGURES[details[0]['type']]}{f' ({unit})' if unit else ''}; {wanted}"
    return Fault("wrong-form", "error", f"`{key}` is {shown(value)}: expected {wanted}"[:200], where, "write it in the form shown")


_SMALL = "small letters and figures, with - between words"
_WORD = re.compile("[a-z0-9][a-z0-9'-]*")
_NO_FORM = "its value"


def _plain_word(detail: ErrorDetails, value: object) -> str | None:
    """How a word is written that stands in capitals or in several; empty where it cannot be told, None where something else is wrong."""
    if detail["type"] != "string_pattern_mismatch" or detail.get("ctx", {}).get("pattern") != f"^{_WORD.pattern}$" or not isinstance(value, str):
        return None
    word = "-".join(value.casefold().split())
    return word if _WORD.fullmatch(word) else ""


_FORMS = {
    "id": f"an event id, {ID_FORM}", "cask": "a cask id such as TH-004217",
    "of": "the id of an event (or a cask)", "to": "a cask id, or a name", "from": "a cask id such as TH-001187",
    "replaces": "the id of an event", "closes": "the id of a leak event", "with": "a cask id such as TH-004217",
    "date": "a day as 2024-02-29",
}  # fmt: skip


def _expected(model: type[BaseModel] | None, key: str) -> str:
    field = _field(model, key)
    if field is None:
        return _FORMS.get(key, "a value")
    choices = list(_literals(field.annotation))
    if choices:
        return "one of " + ", ".join(choices)
    return _FORMS.get(key) or field.description or _NO_FORM


def _unit(model: type[BaseModel] | None, key: str) -> str:
    field = _field(model, key)
    extra = field.json_schema_extra if field is not None else None
    return f" {extra['unit']}" if isinstance(extra, dict) and "unit" in extra else ""


def _converted(model: type[BaseModel] | None, key: str, value: object) -> str | None:
    """What to write where a figure stands with its unit, as text; None where it is no such figure."""
    field = _field(model, key)
    extra = field.json_schema_extra if field is not None else None
    if not isinstance(value, str) or not isinstance(extra, dict) or "kind" not in extra:
        return None
    from caskbook.gauging.units import UnitError, parse_quantity, plain_number  # It is needed only for such a figure.

    try:
        found = parse_quantity(value, str(extra["kind"]))
    except UnitError:
        return None
    return f"write {plain_number(found.value)}: {found.echo}" if found.echo else f"write {plain_number(found.value)} alone: it is in {extra['unit']}"


def field_names(model: type[BaseModel]) -> list[str]:
    """The keys a file may use for this model."""
    return [field.alias or name for name, field in model.model_fields.items()]


def _field(model: type[BaseModel] | None, key: str) -> Any:
    if model is None:
        return None
    return next((field for name, field in model.model_fields.items() if (field.alias or name) == key), None)


def _members(annotation: Any) -> Iterator[Any]:
    """Every type an annotation speaks of, unions, lists and Annotated opened."""
    if get_origin(annotation) in (Union, types.UnionType, list, Annotated, dict):
        for inner in get_args(annotation):
            yield from _members(inner)
    else:
        yield annotation


def _literals(annotation: Any) -> Iterator[str]:
    for member in _members(annotation):
        if get_origin(member) is Literal:
            yield from (str(choice) for choice in get_args(member))


def _model_at(model: type[BaseModel], path: Path) -> type[BaseModel] | None:
    """The model that reads the map at `path`."""
    at: type[BaseModel] | None = model
    for step in path:
        if isinstance(step, int) or at is None:
            continue
        field = _field(at, step)
        found = [m for m in _members(field.annotation) if isinstance(m, type) and issubclass(m, BaseModel)] if field else []
        at = found[0] if found else None
    return at
