"""What can be set in house.yaml, in words: each setting's name, meaning, unit, default and what it takes, out of the models."""

from __future__ import annotations

import json
import types
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from caskbook.model.house import USUAL_FLOORS, Settings, whole_settings

_PLAIN = {bool: "true or false", int: "a whole number", float: "a number", str: "words"}
_MANY = {int: "whole numbers", float: "numbers", str: "words"}


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting. `name` as it is asked for (due.rechar.due_at), `default` as YAML writes it, `takes` in words; `deprecated`: without effect."""

    name: str
    says: str
    unit: str
    default: str
    takes: str
    deprecated: bool = False

    @property
    def without(self) -> str:
        """What holds where the setting is left out, with its unit."""
        shown = {"null": "none", "[]": "none", "{}": "none"}.get(self.default, self.default)
        if self.name == "stave_floor_mm":
            return ", ".join([shown, *(f"{floor:g} {self.unit} for a {kind}" for kind, floor in USUAL_FLOORS.items())])
        number = self.unit and shown[:1].isdigit()
        return f"{shown} {self.unit}" if number else shown


@cache
def settings() -> tuple[Setting, ...]:
    """Every setting, those of the due rules last, in the order of the models."""
    own = [_setting(name, field) for name, field in Settings.model_fields.items() if name != "due_"]
    return (*own, *_of_rules())


def _of_rules() -> Iterator[Setting]:
    rules = whole_settings().model_fields["due"].annotation
    assert isinstance(rules, type) and issubclass(rules, BaseModel)
    for rule, info in rules.model_fields.items():
        model = info.annotation
        assert isinstance(model, type) and issubclass(model, BaseModel)
        for name, field in model.model_fields.items():
            yield _setting(f"due.{rule}.{name}", field)


def _setting(name: str, field: FieldInfo) -> Setting:
    extra = field.json_schema_extra if isinstance(field.json_schema_extra, dict) else {}
    return Setting(
        name,
        field.description or "",
        str(extra.get("unit", "")),
        as_yaml(field.get_default(call_default_factory=True)),
        _takes(field),
        bool(extra.get("deprecated")),
    )


def as_yaml(value: Any) -> str:
    """A default as it is written in one line of YAML."""
    if isinstance(value, float):
        return repr(int(value)) if value.is_integer() else repr(value)
    if isinstance(value, list) and all(isinstance(one, str) for one in value):
        return f"[{', '.join(value)}]"
    return value if isinstance(value, str) else json.dumps(value)


def _takes(field: FieldInfo) -> str:
    return " ".join([_type_words(field.annotation), *_bounds(field.metadata)])


def _bounds(metadata: Iterable[Any]) -> list[str]:
    signs = {"gt": "above", "ge": "from", "lt": "below", "le": "to"}
    flat = [one for meta in metadata for one in (meta.metadata if isinstance(meta, FieldInfo) else [meta])]
    return [f"{word} {getattr(meta, key):g}" for key, word in signs.items() for meta in flat if getattr(meta, key, None) is not None]


def _type_words(kind: Any) -> str:
    """What a setting takes, in words, from the type of its field."""
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return " ".join([_type_words(inner[0]), *_bounds(inner[1:])])
    if origin is Literal:
        return " or ".join(str(choice) for choice in inner)
    if origin in (Union, types.UnionType):
        return ", or ".join(_type_words(one) for one in inner if one is not type(None))
    if origin is list:
        return f"a list of {_MANY.get(inner[0]) or _type_words(inner[0])}"
    if origin is dict:
        return f"lines of {_type_words(inner[0]) if get_origin(inner[0]) is Literal else 'NAME'}: {_type_words(inner[1])}"
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return "{" + ", ".join(field.alias or name for name, field in kind.model_fields.items()) + "}"
    return _PLAIN.get(kind, "a value")


def settings_named(word: str) -> tuple[Setting, ...]:
    """The setting of this name, or those whose name ends in it, as due_at does for due.rechar.due_at."""
    exact = tuple(one for one in settings() if one.name == word)
    return exact or tuple(one for one in settings() if one.name.endswith(f".{word}"))


def settings_of_rule(rule: str) -> tuple[Setting, ...]:
    """The settings of a due rule."""
    return tuple(one for one in settings() if one.name.startswith(f"due.{rule}."))
