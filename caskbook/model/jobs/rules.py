"""Rules between the fields of an entry: one that is broken, and how the JSON Schema says them."""

from typing import Any, NamedTuple

from pydantic import ConfigDict


class Broken(NamedTuple):
    """A rule between the fields of an entry that it does not keep. `text` begins with the field at which it is told, "from: …"; `lost` are, as
    a file calls them, the fields of which nobody can tell then what was meant."""

    text: str
    lost: tuple[str, ...]


def when(field: str, value: Any, *needed: str) -> dict[str, Any]:
    """JSON Schema of a rule between fields: where `field` is `value`, the fields named must be there."""
    return {"if": {"properties": {field: {"const": value}}, "required": [field]}, "then": {"required": list(needed)}}


def any_of(*fields: str) -> dict[str, Any]:
    """JSON Schema: at least one of these fields must be there."""
    return {"anyOf": [{"required": [field]} for field in fields]}


def between(*rules: dict[str, Any]) -> ConfigDict:
    """Model settings that carry rules between fields into the JSON Schema."""
    return ConfigDict(json_schema_extra={"allOf": list(rules)})
