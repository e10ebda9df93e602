"""What a table of an export is made of, and how one is made of a table of `query`: the same meaning, under a name that no engine has to quote."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from caskbook.model.query_columns import Column

Type = Literal["text", "integer", "double", "decimal", "boolean", "date"]
_TYPES: Mapping[str, Type] = {"text": "text", "int": "integer", "real": "double", "bool": "boolean", "day": "date", "list": "text", "map": "text"}
_AS_JSON = {"list": "; a list as JSON", "map": "; a map as JSON"}
DECIMALS = 2
"""Figures behind the point of a `decimal`: litres that count, to the hundredth."""


@dataclass(frozen=True, slots=True)
class Field:
    """One column of an export. `source`: the column of the table of `query` that it has its values from, `map.key` one value of a map, `#map` how many it has; empty where the
    rows are of no such table. `daily`: whether it is reckoned to the day asked about, so that it changes though nothing was entered."""

    name: str
    type: Type
    meaning: str
    unit: str = ""
    nullable: bool = True
    source: str = ""
    daily: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """One table. `parts`: what its folders are named by, behind the ledger: as_of, year or nothing."""

    name: str
    meaning: str
    fields: tuple[Field, ...]
    parts: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """The names of its columns, in order."""
        return tuple(field.name for field in self.fields)


def of_query(columns: Iterable[Column], renamed: Mapping[str, str], never_null: Iterable[str], dropped: Iterable[str] = ()) -> tuple[Field, ...]:
    """The columns of a table of `query` as those of an export, in their order. `renamed`: name → name here; `never_null`: names here; `dropped`: names there."""
    certain, gone = set(never_null), set(dropped)
    found = []
    for column in columns:
        if column.name not in gone:
            name = renamed.get(column.name, column.name)
            meaning = column.meaning + _AS_JSON.get(column.kind, "")
            daily = "d.day" in column.sql or "d.iso" in column.sql
            found.append(Field(name, _TYPES[column.kind], meaning, column.unit, name not in certain, column.name, daily))
    return tuple(found)
