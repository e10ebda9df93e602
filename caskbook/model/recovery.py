"""A wrong event taken as well as it can be, so that one fault in a file does not cause a row of others."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, Literal, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError

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

    `lost` names these fields as the file does, `codes` the findings, `written` is the data, `likely` the mildest reading, by which
    the check judges. A lost day is an UnknownDay, no earlier than `before`. `unread` are fields that could not be read as they
    stand, each with the code of its finding; "" is the entry as a whole. None where nothing sound can be made of a head.
    """
    kept, likely = _recovered(model, data, error) if error is not None else (dict(data), model.model_validate(data))
    event = issubclass(model, Event)
    if likely is None and not event:
        return None
    kept = kept if likely is not None else _common_part(data)
    sound: Model = likely if likely is not None else Event.model_validate(kept)
    known = {key for key in kept if key in data and kept[key] is data[key]}
    names = {(field.alias or name): name for name, field in model.model_fields.items()}
    lost = frozenset(
        key for key in names if key not in known and (key in data or key in kept or key in unread or model.model_fields[names[key]].is_required())
    ) - {"job"}
    values = {name: getattr(sound, name, field.default) for name, field in model.model_fields.items()}
    values.update({names[key]: [] if _must_be_list(model.model_fields[names[key]]) else None for key in lost})
    if event:
        values.update(_identity(data, lost, before))
    elif "cask" in lost:
        values["cask"] = "".join(sign if sign.isprintable() else "?" for sign in str(data.get("cask", "?")))[:24]
    made: Any = model.model_construct({names[key] for key in (*known, *lost) if key in names}, **values)
    vars(made).update(lost=lost, codes=tuple(dict.fromkeys([*(fault.code for fault in faults), *unread.values()])), written=data, likely=likely)
    return made  # type: ignore[no-any-return]


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


def recovered(model: type[M], data: dict[str, Any], error: ValidationError) -> M | None:
    """`data` read as `model` with its wrong fields left out, or given the mildest value where they must be there.

    None where nothing sound can be made of it. Only for going on after the fault was reported; nothing recovered is ever written.
    """
    return _recovered(model, data, error)[1]


def _recovered(model: type[M], data: dict[str, Any], error: ValidationError) -> tuple[dict[str, Any], M | None]:
    """(what it was read from, the recovered one)."""
    tidy, wrong = dict(data), set[str]()
    for _ in range(5):
        for detail in error.errors(include_url=False):
            key = _key_of(detail["loc"], tidy)
            if detail["type"] == "value_error" and key is None:
                given = _lenient(model, tidy)  # What was wrong itself is given first: the rest may stand as it is written.
                tidy.update({key: given[key] for key in wrong & given.keys()} or given)
            elif key is not None:
                tidy.pop(key, None)
                wrong.add(key)
        try:
            whole = {**_mild(model, tidy), **tidy}
            return whole, model.model_validate(whole)
        except ValidationError as again:
            error = again
    return _bare(model, tidy)


def _bare(model: type[M], data: dict[str, Any]) -> tuple[dict[str, Any], M | None]:
    """Only what must be there, where the rest contradicts itself."""
    kept: dict[str, Any] = {key: data[key] for key in (*_COMMON, "cask", "format", "type", "capacity_l") if key in data}
    more_given = _lenient(model, kept)
    for more in ({}, {key: value for key, value in more_given.items() if key != "leaks"}, more_given):
        try:
            whole = {**_mild(model, kept), **kept, **more}
            return whole, model.model_validate(whole)
        except ValidationError:
            continue
    return {}, None


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


_LENIENT: dict[str, Any] = {
    "leaks": [{"at": "unseen"}], "psi": 10.0, "from": "unknown", "level": 1, "mark": "unknown", "abv": 60.0, "litres": 1.0, "capacity_l": 200.0,
}  # fmt: skip


def _lenient(model: type[BaseModel], data: dict[str, Any]) -> dict[str, Any]:
    """What satisfies the rules between fields: a fail leaked somewhere, wood came from somewhere."""
    fields = {(field.alias or name) for name, field in model.model_fields.items()}
    return {key: value for key, value in _LENIENT.items() if key in fields and key not in data}
