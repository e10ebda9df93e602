"""A wrong event taken as well as it can be, so that one fault in a file does not cause a row of others."""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from datetime import date
from functools import cache
from types import UnionType
from typing import Any, Literal, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ConfigDict, ValidationError, create_model

from caskbook.core.days import UnknownDay
from caskbook.core.finding import Fault
from caskbook.model.jobs.base import Event, Model

M = TypeVar("M", bound=Model)
LONG_AGO = date(1, 1, 1)
NONE: Mapping[str, str] = {}
_COMMON = ("id", "date", "job", "by", "sheet", "source", "replaces", "moved_from", "answers", "why", "note")


def as_written(
    model: type[M], data: dict[str, Any], error: ValidationError | None, faults: list[Fault], before: date | None = None, unread: Mapping[str, str] = NONE
) -> M | None:
    """What `data` says as a `model`, and no more: a field that is wrong, or lacks, is None (an empty list where it is one).

    Each field that is right by itself is kept, whatever is wrong beside it; of fields that contradict each other only these are lost.
    `lost` names what is lost as the file does, `codes` the findings, `written` is the data, `likely` the mildest reading, by which
    the check judges. A lost day is an UnknownDay, no earlier than `before`. `unread` are fields that could not be read as they
    stand, each with the code of its finding; "" is the entry as a whole. None where nothing sound can be made of a head.
    """
    event, names = issubclass(model, Event), _names(model)
    values, wrong = _sound(model, data)
    absent = {key for key, name in names.items() if key not in data and (key in unread or model.model_fields[name].is_required())}
    lost = _with_contradicted(model, values, frozenset(wrong & names.keys() | absent) - {"job"})
    likely, given = (
        (model.model_validate(data), set[str]())
        if error is None
        else _likely(model, {key: data[key] for key in names if key in data and key not in lost}, lost)
    )
    if likely is None and not event:
        return None
    lost |= given
    whole = {name: values.get(name, field.default) for name, field in model.model_fields.items()}
    whole.update({names[key]: [] if _must_be_list(model.model_fields[names[key]]) else None for key in lost})
    if event:
        whole.update(_identity(data, lost, before))
    elif "cask" in lost:
        whole["cask"] = "".join(sign if sign.isprintable() else "?" for sign in str(data.get("cask", "?")))[:24]
    made: Any = model.model_construct({*values.keys(), *(names[key] for key in lost)}, **whole)
    vars(made).update(lost=lost, codes=tuple(dict.fromkeys([*(fault.code for fault in faults), *unread.values()])), written=data, likely=likely)
    return made  # type: ignore[no-any-return]


def _names(model: type[BaseModel]) -> dict[str, str]:
    """The fields of a model: as a file calls them → as the model does."""
    return {(field.alias or name): name for name, field in model.model_fields.items()}


@cache
def _parts(model: type[BaseModel]) -> type[BaseModel]:
    """The fields of a model, each judged by itself: none has to be there, no rule ties one to another."""
    fields: dict[str, Any] = {}
    for name, field in model.model_fields.items():
        alone = copy(field)
        alone.default = None
        fields[name] = (field.annotation, alone)
    return create_model(f"{model.__name__}Parts", __config__=ConfigDict(strict=True, extra="ignore"), **fields)


def _sound(model: type[BaseModel], data: Mapping[str, Any]) -> tuple[dict[str, Any], set[str]]:
    """(by the model's name each field of `data` that is right by itself, as it is read; the keys of those that are wrong)."""
    wrong, parts = set[str](), _parts(model)
    try:
        read = parts.model_validate(dict(data))
    except ValidationError as error:
        wrong = {str(detail["loc"][0]) for detail in error.errors(include_url=False)}
        read = parts.model_validate({key: value for key, value in data.items() if key not in wrong})
    return {name: getattr(read, name) for name in read.model_fields_set}, wrong


def _with_contradicted(model: type[BaseModel], values: Mapping[str, Any], lost: frozenset[str]) -> frozenset[str]:
    """`lost`, and the fields that contradict each other, or lack another one."""
    if not issubclass(model, Event):
        return lost
    names = _names(model)
    while True:
        whole = {name: values.get(name, None if field.is_required() else field.default) for name, field in model.model_fields.items()}
        made = model.model_construct(**{**whole, **{names[key]: None for key in lost}})
        vars(made).update(lost=lost)
        more = lost.union(*(broken.lost for broken in made.broken()))
        if more == lost:
            return lost
        lost = more


def _common_part(data: dict[str, Any]) -> dict[str, Any]:
    """The fields that every job has, those of them that are right, of an entry of which nothing else could be read."""
    common = {key: data[key] for key in _COMMON if key in data}
    while True:
        whole = {"id": _MILD["id"], "date": LONG_AGO, **common}
        try:
            Event.model_validate(whole)
            return whole
        except ValidationError as error:
            for key in {str(detail["loc"][0]) for detail in error.errors(include_url=False)}:
                del common[key]


def unread_entry(item: Any, code: str, before: date | None = None) -> Event:
    """An entry of no known job, only to be shown: its id, day and initials as far as they are right, its job as written with ?
    behind it, every other field lost. It is no event: it counts for nothing and puts nothing out of force."""
    data = item if isinstance(item, dict) else {}
    common = _common_part({**data, "job": "note"})
    sound = Event.model_validate(common)
    lost = frozenset({"job", *(key for key in Event.model_fields if (key in data or key in ("id", "date")) and common.get(key) is not data.get(key, common))})
    job = data.get("job")
    word = "".join(sign if sign.isprintable() else "?" for sign in job)[:24] if isinstance(job, str) else ""
    values: dict[str, Any] = {name: None if name in lost else getattr(sound, name) for name in Event.model_fields}
    values.update(_identity({**data, "job": f"{word} ?".strip()}, lost, before))
    made = Event.model_construct({key for key in common if key in data and key not in lost}, **values)
    vars(made).update(lost=lost, codes=(code,), written=data if data else {"entry": item}, likely=None)
    return made


def _must_be_list(field: Any) -> bool:
    return bool(field.is_required() and get_origin(field.annotation) is list)


def _identity(data: dict[str, Any], lost: frozenset[str], before: date | None) -> dict[str, Any]:
    """The id and the day, by which events are told apart and ordered: the id's own text, or ? where there is none."""
    found: dict[str, Any] = {"job": data["job"]}
    if "id" in lost:
        text = str(data["id"]) if isinstance(data.get("id"), str) else ""
        found["id"] = "".join(sign if sign.isprintable() else "?" for sign in text)[:64] or "?"
    if "date" in lost:
        near = before or date(1900, 1, 1)
        found["date"] = UnknownDay(near.year, near.month, near.day)
    return found


_MILD: dict[str, Any] = {
    "id": "00000000", "date": LONG_AGO, "heads": ["A"], "staves": [1], "hoops": ["hoop-A-1"], "at": "unseen", "abv": 60.0, "job": "note",
    "children": ["X-0000"], "parents": [{"unnumbered": "unknown"}], "to": [], "from": [], "oak_since": "unknown", "psi": 10.0,
    "format": 1, "reasons": ["unknown"], "cask": "X-0000", "type": "custom",
}  # fmt: skip


_LENIENT: dict[str, Any] = {
    "leaks": [{"at": "unseen"}], "psi": 10.0, "from": "unknown", "level": 1, "mark": "unknown", "abv": 60.0, "litres": 1.0, "capacity_l": 200.0, "vat": "unknown", "to": 1,
    "findings": [{"at": "unseen", "defect": "unknown"}],
}  # fmt: skip
"""What satisfies the rules between fields: a fail leaked somewhere, wood came from somewhere."""


def _likely(model: type[M], sound: Mapping[str, Any], lost: frozenset[str]) -> tuple[M | None, set[str]]:
    """(the mildest reading of what is `sound`, only for going on after the fault was reported, never written; the fields that it
    gives beside those that must be there). What was `lost` is given first, then the other words of a choice are tried, then what nobody
    spoke of is given, then the bounds of a figure. None where a field has no mild value, or none that goes with the others."""
    fields = {(field.alias or name): field for name, field in model.model_fields.items()}
    choices = {key: _mild_values(model, key, field) for key, field in fields.items() if field.is_required() and key not in sound}
    if not all(choices.values()):
        return None, set()
    mild = {key: values[0] for key, values in choices.items()}
    turns = [{**mild, key: value} for key, values in choices.items() for value in values[1:]]
    again = [{key: value} for key in lost - choices.keys() if key in fields for value in _mild_values(model, key, fields[key])]
    lenient = {key: value for key, value in _LENIENT.items() if key in fields and key not in sound and key not in mild}
    givens = [*({key: value} for key, value in lenient.items()), {key: value for key, value in lenient.items() if key != "leaks"}, lenient]
    tries = [(mild, {}), *((mild, more) for more in again), *((turn, {}) for turn in turns), *((turn, more) for more in givens for turn in (mild, *turns))]
    tries += [({**mild, key: bound}, {}) for key in choices for bound in _bounds(fields[key])]
    for turn, more in tries:
        try:
            return model.model_validate({**turn, **more, **sound}), set(more)
        except ValidationError:
            continue
    return None, set()


def _bounds(field: Any) -> list[float]:
    """The least and the most that a figure may be, a count as a count, or what lies just inside them."""
    inside: dict[str, tuple[float, ...]] = {"ge": (0,), "gt": (0.001, 1), "le": (0,), "lt": (-0.001, -1)}
    found = [(getattr(rule, name, None), steps) for rule in field.metadata for name, steps in inside.items()]
    return [bound + step for bound, steps in found if isinstance(bound, int | float) for step in steps]


def _mild_values(model: type[BaseModel], key: str, field: Any) -> list[Any]:
    """The values that a field which must be there may take, the mildest first: every word of a choice, else one."""
    kinds = get_args(field.annotation) if get_origin(field.annotation) in (Union, UnionType) else (field.annotation,)
    words = [word for kind in kinds if get_origin(kind) is Literal for word in get_args(kind)]
    if words and key not in _MILD:
        return list(words)
    bounds = [bound for rule in field.metadata for name in ("ge", "le", "gt", "lt") if (bound := getattr(rule, name, None)) is not None]
    usual = [_MILD[key], [_MILD[key]]] if key in _MILD else []
    any_kind = (1.0, 1, "unknown", *bounds, *_MILD.values(), *(one[0] for one in _MILD.values() if isinstance(one, list) and one))
    for value in (*usual, *words, *any_kind, *([one] for one in any_kind), {}, [{"cask": _MILD["cask"], "litres": 1.0, "abv": _MILD["abv"]}]):
        if not _sound(model, {key: value})[1]:
            return [value]
    return []
